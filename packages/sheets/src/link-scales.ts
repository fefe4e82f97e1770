import {
  type CutName,
  contactsOf,
  detents,
  type GuideProblem,
  isSettable,
  type Link,
  type OutputName,
  opposite,
  outputsOf,
  outputWords,
  outside,
  type PinLink,
  type PlannedGuide,
  type Proof,
  resectionFromIntact,
  rowsFor,
  type SeatLink,
  type Setting,
  type Settings,
  type Side,
  saidQuantity,
  seatLateralMm,
  seatLink,
  seatsFor,
  senseSeen,
  senseWord,
  signWords,
  spoken,
  walk,
  wearName,
} from '@kerfline/knee';
import { detailCircle } from './detail-circle.ts';
import type { Drawing } from './drawing.ts';
import { ringRow } from './ring-row.ts';
import { type Engraved, type LegEdge, twoEdgedScale } from './two-edged-scale.ts';

/** Everything that is drawn of one link that is set: its scale, and what stands beside or above it. */
export interface LinkScale {
  readonly link: Link;
  /** Beside the name of the link: how it is drawn and what was wanted. */
  readonly note: string;
  readonly scale: Drawing;
  readonly above: Drawing | undefined;
  readonly beside: Drawing | undefined;
  /** Where the setting stands on the drawing, and the ends of the drawing, in the link's own unit. */
  readonly now: number;
  readonly range: readonly [number, number];
  /** Settings that a step to the left or right on the drawing leads to; undefined at an end. */
  readonly left: Setting | undefined;
  readonly right: Setting | undefined;
  /** The setting at a place of the drawing, mm from its left edge. */
  readonly at: (mm: number) => Setting;
}

const angleWord = (name: OutputName, deg: number, digits: number): string => {
  const { positive, unit } = outputWords[name];
  const q = saidQuantity({ value: deg, unit, ...(positive ? { positive } : {}), sd: null, method: '' }, digits);
  return `${q.value} ${q.word}`.trim();
};

/** Words for the lower and the higher end of an output. */
const ends = (name: OutputName): readonly [string, string] => {
  const { positive, label } = outputWords[name];
  if (!positive) return ['', label];
  const [up, down] = signWords(positive);
  return [down, up];
};

/** Half the room that an engraved word takes, mm. */
const wordRoomMm = 8;

/** Length that a scale may take on paper, mm. */
const roomMm = 96;

/** Whether a depth is what this link sets. */
const setsDepth = (link: Link): boolean =>
  link.kind === 'dial' ||
  link.kind === 'feeler' ||
  link.kind === 'thread' ||
  link.kind === 'peg' ||
  link.kind === 'pin';

/** A change of an angle by one unit of a link that is worth a lower edge, radians. */
const worthAnEdge = 1e-3;

/** The angle of its guide's cuts that a link moves most, per unit of the link; none when it hardly moves any. */
function angleOf(link: Link, outputsAt: (by: number) => Partial<Record<OutputName, number>>): OutputName | undefined {
  if (link.kind !== 'slide' && link.kind !== 'ring' && link.kind !== 'swing') return undefined;
  const [here, there] = [outputsAt(0), outputsAt(1)];
  let most: OutputName | undefined;
  let moved = worthAnEdge;
  for (const [name, value] of Object.entries(there) as [OutputName, number][]) {
    const by = Math.abs(value - here[name]!);
    if (outputWords[name].unit === 'deg' && by > moved) [most, moved] = [name, by];
  }
  return most;
}

interface Axis {
  readonly range: readonly [number, number];
  /** From a place on the scale to the link's own setting: -1 when the drawing runs the other way. */
  readonly sign: 1 | -1;
  readonly engraved: readonly Engraved[];
  readonly mmPerUnit: number;
  readonly ends: readonly [string, string] | undefined;
  readonly drawn: string;
  /** Places a hand can set, if they are few. */
  readonly stops: readonly number[] | undefined;
}

/** As the reader faces the patient, lateral of a left leg is to the right, of a right leg to the left. */
const readerSign = (link: Link, side: Side): 1 | -1 => {
  if (link.kind !== 'slide' || (link.toward !== 'medial' && link.toward !== 'lateral')) return 1;
  const lateralRight = side === 'left';
  return (link.toward === 'lateral') === lateralRight ? 1 : -1;
};

const ratio = (mmPerUnit: number): string => (mmPerUnit === 1 ? 'life size' : `drawn ${mmPerUnit} : 1`);

/** Places that a seat or a row of holes puts a block at: in its own unit, with what is engraved there. */
function placesOf(
  link: SeatLink | PinLink,
  side: Side,
  seat: string | undefined,
): readonly { readonly at: number; readonly says: string; readonly setting: Setting }[] {
  return link.kind === 'pin'
    ? rowsFor(link, seat).map((row) => ({
        at: row.offsetMm,
        says: row.says ?? row.id,
        setting: { value: row.offsetMm, row: row.id },
      }))
    : seatsFor(link, side).map((s) => {
        const value = seatLateralMm(s, side);
        return { at: value, says: s.says, setting: { value, seat: s.id } };
      });
}

function axisOf(link: Link, side: Side, settingNow: number, seat: string | undefined): Axis | undefined {
  const sign = readerSign(link, side);
  switch (link.kind) {
    case 'slide': {
      if (link.sizes) return undefined;
      const low = sign === 1 ? link.range[0] : -link.range[1];
      const high = sign === 1 ? link.range[1] : -link.range[0];
      const mmPerUnit = high - low <= roomMm / 2 ? 2 : 1;
      const every = link.marks?.everyMm ?? 1;
      const numeralEvery = every < 4 ? every * 5 : every;
      const engraved: Engraved[] = [];
      const minor = every < 4 ? every : every / 2;
      // Numerals count from the zero that is engraved.
      const zero = sign * link.zero;
      for (let k = Math.ceil((low - zero) / minor - 1e-9); zero + k * minor <= high + 1e-9; k += 1) {
        const from = k * minor;
        const onNumeral = Math.abs(from / numeralEvery - Math.round(from / numeralEvery)) < 1e-9;
        engraved.push({
          at: zero + from,
          ...(onNumeral ? { numeral: String(Math.abs(Math.round((from / every) * 1e6) / 1e6)) } : {}),
        });
      }
      const seen = senseSeen(link.toward, side);
      const own = `${seen ? `${seen}, ` : ''}${senseWord(link.toward)}`;
      const seenOther = senseSeen(opposite(link.toward), side);
      const other = `${seenOther ? `${seenOther}, ` : ''}${senseWord(opposite(link.toward))}`;
      const twoWay = link.range[0] < link.zero;
      if (link.gauge) {
        return {
          range: [low, high],
          sign,
          engraved,
          mmPerUnit,
          ends: ['nearer the shin at the lower mark', 'farther'],
          drawn: `no scale on the metal: by caliper, ${ratio(mmPerUnit)}`,
          stops: undefined,
        };
      }
      return {
        range: [low, high],
        sign,
        engraved,
        mmPerUnit,
        ends: twoWay ? (sign === 1 ? [other, own] : [own, other]) : ['', own],
        drawn: `${every === 1 ? 'mm marks' : `${every} mm marks`}, ${ratio(mmPerUnit)}`,
        stops: undefined,
      };
    }
    case 'seat':
    case 'pin': {
      const holes = placesOf(link, side, seat);
      const sorted = holes.map(({ at }) => at).sort((a, b) => a - b);
      if (sorted.length < 2) return undefined;
      const [low, high] = [sorted[0]!, sorted[sorted.length - 1]!];
      const mmPerUnit = Math.max(1, Math.min(8, Math.floor(roomMm / 2 / (high - low))));
      // Words are longer than numerals: they need room at both ends.
      const room = wordRoomMm / mmPerUnit;
      return {
        range: [low - room, high + room],
        sign: 1,
        engraved: holes.map(({ at, says }) => ({ at, numeral: says })),
        mmPerUnit,
        ends: link.kind === 'pin' ? ['', 'deeper'] : undefined,
        drawn: link.kind === 'pin' ? `rows of holes, ${ratio(mmPerUnit)}` : 'fixed in metal',
        stops: sorted,
      };
    }
    case 'ring':
    case 'dial':
    case 'feeler':
    case 'peg': {
      const sorted = [...link.values].sort((a, b) => a - b);
      const bothWays = link.kind === 'ring' && sorted[0]! < 0;
      const [low, high] = [sorted[0]!, sorted[sorted.length - 1]!];
      const mmPerUnit = Math.max(
        1,
        Math.min(link.kind === 'ring' ? 13 : 10, Math.floor(roomMm / Math.max(1, high - low))),
      );
      return {
        range: [low, high],
        sign: 1,
        engraved: sorted.map((at) => ({ at, numeral: String(Math.abs(at)) })),
        mmPerUnit,
        ends: bothWays && link.kind === 'ring' ? [senseWord(opposite(link.turn)), senseWord(link.turn)] : undefined,
        drawn: link.kind === 'ring' ? `1° as ${mmPerUnit} mm` : ratio(mmPerUnit),
        stops: sorted,
      };
    }
    case 'swing': {
      if (link.step === null) return undefined;
      const stops = detents({ ...link, step: link.step });
      const [low, high] = [stops[0]!, stops[stops.length - 1]!];
      return {
        range: [low, high],
        sign: 1,
        engraved: stops.map((at) => ({ at, numeral: String(Math.abs(at)) })),
        mmPerUnit: Math.max(4, Math.min(9, Math.floor(roomMm / Math.max(1, high - low)))),
        ends: undefined,
        drawn: 'one click per degree',
        stops,
      };
    }
    case 'thread':
      return Math.abs(settingNow) < 1e-9
        ? undefined
        : {
            range: link.range,
            sign: 1,
            engraved: Array.from({ length: Math.floor((link.range[1] - link.range[0]) / link.pitchMm) + 1 }, (_, k) => {
              const at = (Math.ceil(link.range[0] / link.pitchMm) + k) * link.pitchMm;
              return { at, numeral: String(Math.abs(Math.round(at / link.pitchMm))) };
            }).filter((m) => m.at <= link.range[1]),
            mmPerUnit: 5,
            ends: [senseWord(opposite(link.toward)), senseWord(link.toward)],
            drawn: 'numerals are turns',
            stops: undefined,
          };
    default:
      return undefined;
  }
}

const depthCut = (problem: GuideProblem): CutName | undefined =>
  problem.guide.outputs.map((o) => o.cut).find((cut) => contactsOf(cut) !== undefined);

/** What the lower edge of a link's scale shows: the angle it makes, or for a depth the lateral piece, or the bone that is left. */
function legEdge(problem: GuideProblem, called: Settings, link: Link, sign: 1 | -1, proof: Proof): LegEdge | undefined {
  const placed = (setting: number) =>
    walk(
      problem.guide,
      problem.leg,
      { ...called, [link.id]: { ...called[link.id], value: sign * setting } as Setting },
      problem.components,
      problem.made,
    );
  if (setsDepth(link)) {
    const depth = { step: 1, said: (mm: number) => `${mm.toFixed(1)} mm`, wanted: undefined };
    const left = problem.guide.outputs.some((o) => o.cut === 'kneecap')
      ? proof.cuts.kneecap?.planes.kneecapRemnant
      : undefined;
    if (left && left.sd !== null) {
      return {
        ...depth,
        outputAt: (setting) => outputsOf(placed(setting), problem.leg).kneecapRemnant!,
        ends: ['', `${outputWords.kneecapRemnant.label}, mm`],
        sd: left.sd,
      };
    }
    const cut = depthCut(problem);
    const contacts = cut && contactsOf(cut);
    const piece = cut && proof.cuts[cut]?.pieces?.lateral;
    if (!contacts || !piece) return undefined;
    const site = contacts[1];
    return {
      ...depth,
      outputAt: (setting) => {
        const plane = placed(setting).cuts.find((c) => c.cut === cut)!;
        return resectionFromIntact(plane, problem.leg, site) - problem.leg.number(wearName(site)) - plane.kerf;
      },
      ends: ['', 'lateral piece, mm'],
      sd: piece.sd,
    };
  }
  const now = sign * called[link.id]!.value;
  const name = angleOf(link, (by) => outputsOf(placed(now + by), problem.leg));
  const q =
    name &&
    Object.values(proof.cuts)
      .flatMap((cut) => Object.entries(cut.planes))
      .find(([n]) => n === name)?.[1];
  if (!name || !q || q.sd === null) return undefined;
  const target = problem.targets.find((t) => t.output === name);
  return {
    outputAt: (setting) => outside(outputsOf(placed(setting), problem.leg)[name]!, 'deg'),
    step: 1,
    // A slide may be read to a fraction of a mark; a click or a ring may not.
    said: (deg) => angleWord(name, deg, link.kind === 'slide' ? 2 : 1),
    ends: ends(name),
    wanted: target && outside(target.value, 'deg'),
    sd: q.sd,
  };
}

const trimmed = (value: number): string => String(Number(value.toFixed(2)));

function says(link: Link, setting: Setting): string {
  const { amount } = spoken(link, setting.value);
  if (link.kind === 'slide' && link.marks && link.marks.everyMm > 1) {
    const marks = amount / link.marks.everyMm;
    return `set ${trimmed(marks)} ${marks === 1 ? 'mark' : 'marks'}`;
  }
  if (link.kind === 'slide') return `set ${trimmed(amount)} mm`;
  if (link.kind === 'seat') return link.seats.find((s) => s.id === setting.seat)?.says ?? '';
  if (link.kind === 'pin') return 'pins here';
  if (link.kind === 'ring' && link.values.some((v) => v < 0)) return `set ${trimmed(amount)}`;
  if (link.kind === 'thread') return `set ${trimmed(amount / link.pitchMm)} turns`;
  return `set ${trimmed(link.kind === 'ring' || link.kind === 'dial' || link.kind === 'feeler' ? setting.value : amount)}`;
}

/** The scales of one guide that are set by the plan, in the order of its links. */
export function linkScales(planned: PlannedGuide, settings: Settings, proof: Proof, side: Side): readonly LinkScale[] {
  const { problem, exact } = planned;
  const seat = settings[seatLink(problem.guide)?.id ?? '']?.seat;
  return problem.guide.links.flatMap((link): readonly LinkScale[] => {
    const setting = settings[link.id];
    if (!isSettable(link) || !setting || (link.setBy ?? 'plan') !== 'plan' || link.kind === 'peg') return [];
    const axis = axisOf(link, side, setting.value, seat);
    if (!axis) return [];
    const { sign } = axis;
    const place = sign * setting.value;
    const zero = link.kind === 'slide' ? sign * link.zero : 0;
    const wanted = sign * exact[link.id]!.value;
    const edge = legEdge(problem, settings, link, sign, proof);
    const step =
      link.kind === 'thread'
        ? (link.settable ?? link.pitchMm)
        : link.kind === 'slide'
          ? (link.settable ?? 1) * (link.marks?.everyMm ?? 1)
          : 1;
    const places = link.kind === 'pin' || link.kind === 'seat' ? placesOf(link, side, seat) : [];
    const with_ = (at: number): Setting =>
      places.find((p) => p.at === at)?.setting ?? { ...setting, value: sign * at + 0 };
    const nearestStop = (at: number): number => {
      const inside = Math.min(axis.range[1], Math.max(axis.range[0], at));
      return axis.stops
        ? axis.stops.reduce((a, b) => (Math.abs(b - inside) < Math.abs(a - inside) ? b : a))
        : Math.min(axis.range[1], Math.max(axis.range[0], zero + Math.round((inside - zero) / step) * step));
    };
    const neighbour = (by: 1 | -1): Setting | undefined => {
      if (axis.stops) {
        const next = axis.stops[axis.stops.findIndex((s) => Math.abs(s - place) < 1e-9) + by];
        return next === undefined ? undefined : with_(next);
      }
      const on = zero + (Math.round((place - zero) / step) + by) * step;
      return on < axis.range[0] - 1e-9 || on > axis.range[1] + 1e-9 ? undefined : with_(on);
    };
    const off = wanted - place;
    const isSlide = link.kind === 'slide';
    const drawing = twoEdgedScale({
      engraved: axis.engraved,
      range: axis.range,
      mmPerUnit: axis.mmPerUnit,
      setting: place,
      says: says(link, setting),
      ends: axis.ends,
      leg: edge,
    });
    return [
      {
        link,
        note: axis.drawn,
        scale: drawing,
        above:
          link.kind === 'ring' && link.faces
            ? ringRow({
                values: link.values,
                taken: setting.value,
                word: undefined,
                face: link.faces[side],
                apartMm: axis.mmPerUnit,
              })
            : undefined,
        beside:
          isSlide && Math.abs(off) > 0.05 && Math.abs(off) < 3.5
            ? detailCircle({
                offMm: off,
                magnification: 16,
                numeral: trimmed(Math.abs(place - zero) / (link.marks?.everyMm ?? 1)),
              })
            : undefined,
        now: place,
        range: axis.range,
        left: neighbour(-1),
        right: neighbour(1),
        at: (mm) => with_(nearestStop(axis.range[0] + (mm + drawing.box[0]) / axis.mmPerUnit)),
      },
    ];
  });
}
