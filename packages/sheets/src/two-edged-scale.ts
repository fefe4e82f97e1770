import { box, type Drawing, line, type Mark, text } from './drawing.ts';

/** One engraved mark: where it is on the metal, in the link's own unit, and its numeral if it has one. */
export interface Engraved {
  readonly at: number;
  readonly numeral?: string | undefined;
}

/** What one place of the scale does to the leg. */
export interface LegEdge {
  /** Output at a setting, in the unit shown. */
  readonly outputAt: (setting: number) => number;
  /** Step of the numerals on the lower edge. */
  readonly step: number;
  /** A signed output as people say it, such as "2.95 varus". */
  readonly said: (output: number) => string;
  /** Words for the two ends, lower and higher output. */
  readonly ends: readonly [string, string];
  /** Wanted output, marked by a dashed line; none when it is not wanted by value. */
  readonly wanted: number | undefined;
  /** One deviation of the output. */
  readonly sd: number;
}

/** A scale with two edges: the upper is what the hand sees on the metal, the lower what that place does to this leg. */
export interface TwoEdgedScale {
  readonly engraved: readonly Engraved[];
  /** First and last place drawn, in the link's own unit. */
  readonly range: readonly [number, number];
  /** mm on paper for one unit of the link; 1 is life size for a slide. */
  readonly mmPerUnit: number;
  readonly setting: number;
  /** Beside the pointer, such as "set 2 marks". */
  readonly says: string;
  /** Words above the ends of the upper edge, such as "toward the other leg". */
  readonly ends?: readonly [string, string] | undefined;
  readonly leg: LegEdge | undefined;
}

const sizes = { numeral: 3.2, legNumeral: 3, value: 3.9, note: 3, tick: 2.4, small: 1.2 } as const;
/** Rows of the drawing from the top, mm. */
const rows = {
  words: 3.4,
  pointer: 4.6,
  top: 7.4,
  middle: 14,
  bottom: 20.6,
  bracket: 22,
  value: 26.4,
  end: 28,
} as const;
/** Numerals nearer than this to the pointer step aside, mm. */
const stepAside = 2.4;

/** The lower edge at a few places: between them it is as good as straight. */
interface SampledEdge {
  readonly settings: readonly number[];
  readonly outputs: readonly number[];
}
const samples = 12;

const sampled = (edge: LegEdge, [low, high]: readonly [number, number]): SampledEdge => {
  const settings = Array.from({ length: samples + 1 }, (_, k) => low + ((high - low) * k) / samples);
  return { settings, outputs: settings.map(edge.outputAt) };
};

/** The setting at which the leg's edge reaches an output; undefined when it lies beyond the ends. */
function placeOf({ settings, outputs }: SampledEdge, output: number): number | undefined {
  for (let k = 0; k < samples; k += 1) {
    const [a, b] = [outputs[k]!, outputs[k + 1]!];
    if (output < Math.min(a, b) - 1e-9 || output > Math.max(a, b) + 1e-9 || a === b) continue;
    return settings[k]! + ((output - a) / (b - a)) * (settings[k + 1]! - settings[k]!);
  }
  return undefined;
}

/** Where the leg's edge crosses whole steps of its output. */
function legTicks(edge: SampledEdge, step: number): readonly { readonly at: number; readonly output: number }[] {
  const first = Math.ceil(Math.min(...edge.outputs) / step - 1e-9);
  const last = Math.floor(Math.max(...edge.outputs) / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, k) => (first + k) * step).flatMap((output) => {
    const at = placeOf(edge, output);
    return at === undefined ? [] : [{ at, output }];
  });
}

/** About how wide words are, mm. */
const widthOf = (words: string, size: number): number => words.length * size * 0.46;

const shownStep = (value: number, step: number): string => Math.abs(value).toFixed(step < 1 ? 1 : 0);

/** Draws a two-edged scale; a scale without a leg's edge has its upper half only. */
export function twoEdgedScale(scale: TwoEdgedScale): Drawing {
  const [low, high] = scale.range;
  const x = (setting: number): number => (setting - low) * scale.mmPerUnit;
  const width = x(high);
  const pointer = x(scale.setting);
  const bottom = scale.leg ? rows.bottom : rows.middle;
  const pad = 2.5;
  const marks: Mark[] = [box(-pad, rows.top, width + 2 * pad, bottom - rows.top, { fill: 'paper' })];
  const aside = (at: number): { readonly x: number; readonly anchor: 'start' | 'middle' | 'end' } => {
    const off = at - pointer;
    if (Math.abs(off) > stepAside || Math.abs(off) < 1e-6) return { x: at, anchor: 'middle' };
    return off > 0
      ? { x: Math.max(at, pointer + 0.9), anchor: 'start' }
      : { x: Math.min(at, pointer - 0.9), anchor: 'end' };
  };
  if (scale.leg) {
    const { leg } = scale;
    const edge = sampled(leg, scale.range);
    const slope = (leg.outputAt(scale.setting + 0.5) - leg.outputAt(scale.setting - 0.5)) / scale.mmPerUnit;
    // One deviation of the output, as a length along the scale.
    const spread = Math.abs(slope) > 1e-9 ? leg.sd / Math.abs(slope) : 0;
    marks.push({
      kind: 'smudge',
      centre: pointer,
      sd: spread,
      top: rows.middle,
      height: rows.bottom - rows.middle,
      clip: [-pad, width + pad],
    });
    for (const tick of legTicks(edge, leg.step)) {
      const at = aside(x(tick.at));
      marks.push(
        line(
          [
            [x(tick.at), rows.bottom],
            [x(tick.at), rows.bottom - 1.8],
          ],
          { tone: 'foretold', weight: 'outline' },
        ),
        text([at.x, rows.bottom - 2.4], shownStep(tick.output, leg.step), sizes.legNumeral, 'foretold', {
          anchor: at.anchor,
        }),
      );
    }
    const wanted = leg.wanted === undefined ? undefined : placeOf(edge, leg.wanted);
    if (wanted !== undefined && Math.abs(x(wanted) - pointer) > 0.15) {
      marks.push(
        line(
          [
            [x(wanted), rows.middle],
            [x(wanted), rows.bottom],
          ],
          { tone: 'foretold', weight: 'outline', dash: 'short' },
        ),
      );
    }
    const [from, to] = [pointer - spread, pointer + spread];
    const said = `${leg.said(leg.outputAt(scale.setting))} ± ${leg.sd.toFixed(1)}`;
    const room = widthOf(said, sizes.value) / 2 - pad;
    const middle = Math.min(Math.max(pointer, room), Math.max(room, width - room));
    marks.push(
      line(
        [
          [Math.max(from, -pad), rows.bracket - 0.9],
          [Math.max(from, -pad), rows.bracket],
          [Math.min(to, width + pad), rows.bracket],
          [Math.min(to, width + pad), rows.bracket - 0.9],
        ],
        { tone: 'foretold', weight: 'outline' },
      ),
      text([middle, rows.value], said, sizes.value, 'foretold', { anchor: 'middle' }),
    );
    const [lowEnd, highEnd] = edge.outputs[0]! < edge.outputs[samples]! ? leg.ends : [leg.ends[1], leg.ends[0]];
    // The words of the ends stand aside where the value needs the room.
    const half = widthOf(said, sizes.value) / 2;
    if (middle - half > widthOf(lowEnd, sizes.note) - pad + 2) {
      marks.push(text([-pad, rows.value], lowEnd, sizes.note, 'foretold'));
    }
    if (middle + half < width + pad - widthOf(highEnd, sizes.note) - 2) {
      marks.push(text([width + pad, rows.value], highEnd, sizes.note, 'foretold', { anchor: 'end' }));
    }
    marks.push(
      line(
        [
          [-pad, rows.middle],
          [width + pad, rows.middle],
        ],
        { tone: 'line', weight: 'hair' },
      ),
    );
  }
  for (const mark of scale.engraved) {
    const at = x(mark.at);
    if (at < -1e-6 || at > width + 1e-6) continue;
    marks.push(
      line(
        [
          [at, rows.top],
          [at, rows.top + (mark.numeral === undefined ? sizes.small : sizes.tick)],
        ],
        { weight: 'outline' },
      ),
    );
    if (mark.numeral === undefined) continue;
    const on = Math.abs(at - pointer) < 1e-6;
    const side = aside(at);
    marks.push(
      text([side.x, rows.top + 5.6], mark.numeral, sizes.numeral, on ? 'set' : 'metal', { anchor: side.anchor }),
    );
  }
  const onNumeral = scale.engraved.some((m) => m.numeral !== undefined && Math.abs(x(m.at) - pointer) < 1e-6);
  marks.push(
    box(-pad, rows.top, width + 2 * pad, bottom - rows.top, { weight: 'outline' }),
    line(
      [
        [pointer - 1.6, rows.pointer],
        [pointer + 1.6, rows.pointer],
        [pointer, rows.top],
      ],
      { closed: true, fill: 'set' },
    ),
    // The red line crosses both edges, but leaves the numeral it stands on alone.
    line(
      [
        [pointer, rows.top - 0.2],
        [pointer, onNumeral ? rows.top + sizes.tick : rows.middle],
      ],
      { tone: 'set', weight: 'edge' },
    ),
    line(
      [
        [pointer, onNumeral ? rows.middle - 0.4 : rows.middle],
        [pointer, scale.leg ? bottom + 1 : bottom],
      ],
      { tone: 'set', weight: 'edge' },
    ),
  );
  const words = scale.says;
  const right = pointer < width * 0.72;
  marks.push(
    text([right ? pointer + 2.6 : pointer - 2.6, rows.words + 2.6], words, 3.5, 'set', {
      anchor: right ? 'start' : 'end',
    }),
  );
  if (scale.ends) {
    const own = widthOf(words, 3.5) + 3;
    const [from, to] = right ? [pointer - 2, pointer + 2.6 + own] : [pointer - 2.6 - own, pointer + 2];
    if (from > widthOf(scale.ends[0], sizes.note))
      marks.push(text([-pad, rows.words + 2.6], scale.ends[0], sizes.note, 'caption'));
    if (to < width - widthOf(scale.ends[1], sizes.note)) {
      marks.push(text([width + pad, rows.words + 2.6], scale.ends[1], sizes.note, 'caption', { anchor: 'end' }));
    }
  }
  return {
    label: `${scale.says}${scale.leg ? `; gives ${scale.leg.said(scale.leg.outputAt(scale.setting))} give or take ${scale.leg.sd.toFixed(1)}` : ''}`,
    box: [-pad - 0.8, 1.6, width + 2 * pad + 1.6, (scale.leg ? rows.end : rows.middle + 2) - 1.6],
    marks,
  };
}
