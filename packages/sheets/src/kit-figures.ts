import type { Side } from '@kerfline/knee';
import { box, line, type Mark, type Point, text } from './drawing.ts';
import { type Figure, moved, room, sizes, trimmed, widthOf } from './kit-page.ts';

/** A place on the metal and what is engraved there. */
export interface Engraved {
  readonly at: number;
  readonly says: string;
}

/** Places for words side by side: each as near its own place as its neighbours let it be, in the same order. */
function spread(wanted: readonly number[], apart: (i: number) => number): readonly number[] {
  const order = wanted.map((_, i) => i).sort((a, b) => wanted[a]! - wanted[b]!);
  // Neighbours that touch move together, about the middle of what they want.
  let groups: { members: number[]; first: number }[] = [];
  const offsets = (members: readonly number[]): readonly number[] => {
    const out: number[] = [];
    members.forEach((i, k) => {
      out.push(k === 0 ? 0 : out[k - 1]! + (apart(members[k - 1]!) + apart(i)) / 2);
    });
    return out;
  };
  const placed = (members: number[]): { members: number[]; first: number } => {
    const from = offsets(members);
    return { members, first: members.reduce((sum, i, k) => sum + wanted[i]! - from[k]!, 0) / members.length };
  };
  for (const i of order) {
    groups.push(placed([i]));
    for (let n = groups.length; n > 1; n = groups.length) {
      const [before, last] = [groups[n - 2]!, groups[n - 1]!];
      const end = before.first + offsets(before.members).at(-1)!;
      if (end + (apart(before.members.at(-1)!) + apart(last.members[0]!)) / 2 <= last.first + 1e-9) break;
      groups = [...groups.slice(0, -2), placed([...before.members, ...last.members])];
    }
  }
  const at: number[] = [];
  for (const { members, first } of groups) {
    offsets(members).forEach((offset, k) => {
      at[members[k]!] = first + offset;
    });
  }
  return at;
}

/** Engraved words under their places, each on a leader of its own. */
function engravedUnder(items: readonly { readonly x: number; readonly says: string }[], from: number): Figure {
  const places = spread(
    items.map((item) => item.x),
    (i) => widthOf(items[i]!.says, sizes.numeral) + 1.2,
  );
  const aside = items.some((item, i) => Math.abs(item.x - places[i]!) > 0.2);
  const base = from + (aside ? 7 : 3.2);
  return {
    height: base + 1.4,
    marks: items.flatMap(({ x, says }, i): readonly Mark[] => [
      ...(aside
        ? [
            line(
              [
                [x, from],
                [places[i]!, base - sizes.numeral + 0.2],
              ],
              { tone: 'line', weight: 'hair' },
            ),
          ]
        : []),
      text([places[i]!, base], says, sizes.numeral, 'metal', { anchor: 'middle' }),
    ]),
  };
}

const endsText = ([before, after]: readonly [string, string]): string =>
  [before === '' ? '' : `\u2190 ${before}`, after === '' ? '' : `${after} \u2192`]
    .filter((words) => words !== '')
    .join(' | ');

export interface Ruler {
  readonly range: readonly [number, number];
  readonly ticks: readonly number[];
  readonly engraved: readonly Engraved[];
  readonly ends: readonly [string, string];
}

/** A ruler at life size; one that is longer than the page goes on below. */
export function rulerFigure(ruler: Ruler): Figure {
  const pad = 10;
  const [low, high] = ruler.range;
  const stretch = room - 2 * pad;
  const marks: Mark[] = [];
  let top = 0;
  for (let from = low; from < high || from === low; from += stretch) {
    const to = Math.min(high, from + stretch);
    const inside = (at: number): boolean => at >= from - 1e-9 && at <= to + 1e-9;
    const x = (at: number): number => pad + at - from;
    const under = engravedUnder(
      ruler.engraved.filter((e) => inside(e.at)).map((e) => ({ x: x(e.at), says: e.says })),
      4.2,
    );
    const numerals = new Set(ruler.engraved.map((e) => e.at.toFixed(6)));
    marks.push(
      moved(
        [0, top],
        [
          line(
            [
              [x(from), 0.6],
              [x(to), 0.6],
            ],
            { weight: 'edge' },
          ),
          ...ruler.ticks.filter(inside).map((at) =>
            line(
              [
                [x(at), 0.6],
                [x(at), numerals.has(at.toFixed(6)) ? 4 : 2.4],
              ],
              { weight: 'outline' },
            ),
          ),
          ...under.marks,
        ],
      ),
    );
    top += under.height;
    if (!(to < high)) break;
  }
  const words = endsText(ruler.ends);
  if (words !== '') {
    marks.push(text([pad, top + 3], words, sizes.words, 'caption'));
    top += 5;
  }
  return { height: top, marks };
}

/** Holes of a row at their true distances, stepped sideways so that each can be seen. */
export function holesFigure(places: readonly Engraved[], ends: readonly [string, string]): Figure {
  const sorted = [...places].sort((a, b) => a.at - b.at);
  const low = sorted[0]?.at ?? 0;
  const high = sorted.at(-1)?.at ?? 0;
  const pad = 8;
  const radius = 1.5;
  const lanes = 3;
  const x = (at: number): number => pad + at - low;
  const bottom = lanes * 3.6 + 1;
  const under = engravedUnder(
    sorted.map((p) => ({ x: x(p.at), says: p.says })),
    bottom,
  );
  const words = endsText(ends);
  return {
    height: under.height + (words === '' ? 0 : 5),
    marks: [
      box(0, 0, high - low + 2 * pad, bottom, { weight: 'outline' }),
      ...sorted.flatMap((p, i): readonly Mark[] => {
        const y = 2.2 + (i % lanes) * 3.6;
        return [
          { kind: 'circle', at: [x(p.at), y], radius, weight: 'outline', fill: 'paper' },
          line(
            [
              [x(p.at), y + radius],
              [x(p.at), bottom],
            ],
            { tone: 'hair', weight: 'hair' },
          ),
        ];
      }),
      ...under.marks,
      ...(words === '' ? [] : [text([0, under.height + 3], words, sizes.words, 'caption')]),
    ],
  };
}

/** Length of the lines of a fan, mm. */
const fanMm = 100;

/** Engraved angles as true angles from one corner: the metal can be laid on it. Positive turns up or down on the page. */
export function fanFigure(angles: readonly Engraved[], up: 1 | -1, corner: string): Figure {
  const reach = (deg: number): Point => [
    fanMm * Math.cos((deg * Math.PI) / 180),
    -up * fanMm * Math.sin((deg * Math.PI) / 180),
  ];
  const tips = angles.map((a) => reach(a.at));
  const lowest = Math.max(0, ...tips.map(([, y]) => y));
  const highest = Math.min(0, ...tips.map(([, y]) => y));
  const labels = spread(
    tips.map(([, y]) => y),
    () => sizes.numeral + 0.4,
  );
  const shift = 3 - Math.min(highest, ...labels);
  const bottom = Math.max(lowest, ...labels) + shift;
  return {
    height: bottom + 6,
    marks: [
      ...angles.flatMap((angle, i): readonly Mark[] => {
        const [x, y] = tips[i]!;
        return [
          line(
            [
              [0, shift],
              [x, y + shift],
            ],
            { weight: angle.at === 0 ? 'edge' : 'outline' },
          ),
          line(
            [
              [x, y + shift],
              [fanMm + 9, labels[i]! + shift],
            ],
            { tone: 'line', weight: 'hair' },
          ),
          text([fanMm + 10, labels[i]! + shift + 1], angle.says, sizes.numeral, 'metal'),
        ];
      }),
      ...(angles.some((a) => a.at === 0)
        ? []
        : [
            line(
              [
                [0, shift],
                [fanMm, shift],
              ],
              { tone: 'line', weight: 'hair', dash: 'chain' },
            ),
          ]),
      text([0, bottom + 4.4], corner, sizes.words, 'caption'),
    ],
  };
}

/** Rings in a row with the face that is up on one side. */
export function ringsFigure(values: readonly number[], face: string | undefined, side: Side | undefined): Figure {
  const apart = Math.min(14, room / values.length);
  const radius = Math.min(5.4, apart * 0.44);
  return {
    height: 2 * radius + 6,
    marks: [
      ...values.flatMap((value, i): readonly Mark[] => {
        const x = radius + i * apart;
        return [
          { kind: 'circle', at: [x, radius], radius, weight: 'outline', fill: 'paper' },
          { kind: 'circle', at: [x, radius], radius: radius - 0.8, tone: 'line', weight: 'hair' },
          text([x, radius + (face ? 2 : 1.2)], String(value), 3.4, 'metal', { anchor: 'middle', bold: true }),
          ...(face ? [text([x, radius - 1.6], face, 1.7, 'metal', { anchor: 'middle' })] : []),
        ];
      }),
      text(
        [0, 2 * radius + 4],
        face === undefined || side === undefined ? 'exchangeable' : `${side.toUpperCase()} knee: face ${face} up`,
        sizes.words,
        'caption',
      ),
    ],
  };
}

/** The gap of a slit between its faces, at life size; the face the saw leans on is the heavy one. */
export function slitFigure(gapMm: number, retained: boolean): Figure {
  const width = 60;
  const face = (y: number, heavy: boolean): Mark =>
    line(
      [
        [0, y],
        [width, y],
      ],
      { weight: heavy ? 'cut' : 'outline' },
    );
  return {
    height: gapMm + 9,
    marks: [
      box(0, 1, width, 3, { fill: 'hatch' }),
      box(0, 4 + gapMm, width, 3, { fill: 'hatch' }),
      face(4, !retained),
      face(4 + gapMm, retained),
      text([width + 2, 3.6], 'toward the piece', sizes.words, 'caption'),
      text([width + 2, 7 + gapMm], 'toward the bone that stays', sizes.words, 'caption'),
    ],
  };
}

/** Shims at their true thickness. */
export function shimsFigure(values: readonly number[]): Figure {
  const highest = Math.max(...values);
  return {
    height: highest + 6,
    marks: values.flatMap((value, i): readonly Mark[] => [
      box(i * 22, highest - value, 16, value, { weight: 'outline', fill: 'paper' }),
      text([i * 22 + 8, highest + 4], trimmed(value), sizes.numeral, 'metal', { anchor: 'middle' }),
    ]),
  };
}

export const rodFigure = (diameterMm: number): Figure => ({
  height: diameterMm + 1,
  marks: [
    { kind: 'circle', at: [diameterMm / 2, diameterMm / 2], radius: diameterMm / 2, weight: 'outline', fill: 'paper' },
    text([diameterMm + 3, diameterMm / 2 + 1], `${trimmed(diameterMm)} mm`, sizes.numeral, 'metal'),
  ],
});
