import { err, ok, type Result } from '@kerfline/geometry';
import { belief, propagate, sdOf } from '@kerfline/uncertainty';
import { outside, type Positive, type Q } from '../../quantity.ts';
import { type Refusal, refusal } from '../../refusal.ts';
import type { Side } from '../../side.ts';
import { type FilmReading, isAfter } from './film.ts';
import { filmFaults } from './film-findings.ts';
import { flatOf } from './film-marks.ts';
import { looseWay } from './loose-way.ts';
import { markPlace } from './mark-catalogue.ts';
import { literatureSpreads, type MarkSpreads } from './mark-spread.ts';

type Flat = readonly [number, number];

/** An angle of components against axes: the marks it needs, and what they say; points are mm right and up. */
interface ComponentAngle {
  readonly name: string;
  /** In words for people. */
  readonly label: string;
  readonly view: 'after-front' | 'after-lateral';
  readonly positive?: Positive;
  readonly marks: readonly string[];
  /** Radians; `lateral` is 1 where lateral lies at the right of the picture, else -1. */
  readonly of: (points: readonly Flat[], lateral: 1 | -1) => number;
  readonly method: string;
}

const minus = (a: Flat, b: Flat): Flat => [a[0] - b[0], a[1] - b[1]];
const middle = (a: Flat, b: Flat): Flat => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
const dot = (a: Flat, b: Flat): number => a[0] * b[0] + a[1] * b[1];

/** How far the lateral end of a line stands up, against square to an axis that points up; radians. */
function lateralEndUp(medial: Flat, lateralEnd: Flat, up: Flat, lateral: 1 | -1): number {
  const line = minus(lateralEnd, medial);
  const square: Flat = [lateral * up[1], -lateral * up[0]];
  return Math.atan2(dot(line, up), dot(line, square));
}

/** How far the front end of a line stands up against square to an axis, whichever way the picture faces; radians. */
function frontEndUp(front: Flat, rear: Flat, up: Flat): number {
  const line = minus(front, rear);
  const square: Flat = [up[1], -up[0]];
  const along = dot(line, square);
  return Math.atan2(dot(line, up), Math.abs(along));
}

const right = Math.PI / 2;
const ankles = [['plafondCentre'], ['malleolusMedial', 'malleolusLateral']] as const;
const ankleOf = (points: readonly Flat[]): Flat => (points.length === 1 ? points[0]! : middle(points[0]!, points[1]!));

const angles: readonly ComponentAngle[] = [
  {
    name: 'componentLDFA',
    label: 'femoral component, lateral angle to the axis of the femur',
    view: 'after-front',
    marks: ['componentDistalMedial', 'componentDistalLateral', 'hipCentre', 'femoralKneeCentre'],
    of: ([m, l, hip, knee], lateral) => right - lateralEndUp(m!, l!, minus(hip!, knee!), lateral),
    method: 'line of the femoral component against the axis from knee to hip centre, lateral angle',
  },
  ...ankles.map(
    (ankle): ComponentAngle => ({
      name: 'componentMPTA',
      label: 'tray, medial angle to the axis of the tibia',
      view: 'after-front',
      marks: ['trayMedial', 'trayLateral', 'tibialKneeCentre', ...ankle],
      of: ([m, l, knee, ...feet], lateral) => right - lateralEndUp(m!, l!, minus(knee!, ankleOf(feet)), lateral),
      method: 'underside of the tray against the axis from ankle to knee, medial angle',
    }),
  ),
  ...ankles.map(
    (ankle): ComponentAngle => ({
      name: 'achievedHKA',
      label: 'limb with its components: 180 straight, less is varus',
      view: 'after-front',
      positive: 'valgus',
      marks: ['hipCentre', 'femoralKneeCentre', 'tibialKneeCentre', ...ankle],
      of: ([hip, femur, tibia, ...feet], lateral) => {
        const up = minus(hip!, femur!);
        const shin = minus(tibia!, ankleOf(feet));
        return Math.PI - Math.atan2(lateral * (up[1] * shin[0] - up[0] * shin[1]), dot(up, shin));
      },
      method: 'angle of the two mechanical axes on the film: 180 straight, less is varus',
    }),
  ),
  {
    name: 'componentValgus',
    label: 'both components to their shafts',
    view: 'after-front',
    positive: 'valgus',
    marks: [
      'componentDistalMedial',
      'componentDistalLateral',
      'femoralCanalLow',
      'femoralCanalHigh',
      'trayMedial',
      'trayLateral',
      'tibialCanalLow',
      'tibialCanalHigh',
    ],
    of: ([fm, fl, low, high, tm, tl, tibiaLow, tibiaHigh], lateral) =>
      lateralEndUp(fm!, fl!, minus(high!, low!), lateral) -
      lateralEndUp(tm!, tl!, minus(tibiaHigh!, tibiaLow!), lateral),
    method: 'medial angles of both components to their shafts, less 180 (Ewald, Clin Orthop 1989;248:9, from memory)',
  },
  {
    name: 'componentFlexion',
    label: 'femoral component to the canal, side view',
    view: 'after-lateral',
    positive: 'flexion',
    marks: ['componentDistalFront', 'componentDistalRear', 'femoralCanalLow', 'femoralCanalHigh'],
    of: ([front, rear, low, high]) => -frontEndUp(front!, rear!, minus(high!, low!)),
    method: 'distal inner face of the femoral component against square to the canal on the film',
  },
  {
    name: 'componentSlope',
    label: 'tray to the canal, side view',
    view: 'after-lateral',
    positive: 'posteriorSlope',
    marks: ['trayFront', 'trayRear', 'tibialCanalLow', 'tibialCanalHigh'],
    of: ([front, rear, low, high]) => frontEndUp(front!, rear!, minus(high!, low!)),
    method: 'underside of the tray against square to the canal on the film',
  },
];

/** What films after the operation can say, by name, for people. */
export const componentAngles: readonly { readonly name: string; readonly label: string }[] = [
  ...new Map(angles.map(({ name, label }) => [name, { name, label }])).values(),
];

/**
 * What films after the operation say of the components: their lines against the axes of the limb, as drawn on the film. Turn and
 * bend of the limb are not taken out; their spread is not in the sd.
 *
 * @returns every angle whose marks are all on one film, by name; or why a film's marks cannot be used
 */
export function afterOperation(
  side: Side,
  films: readonly FilmReading[],
  spreads: MarkSpreads = literatureSpreads,
): Result<Readonly<Record<string, Q>>, readonly Refusal[]> {
  const after = films.filter((film) => isAfter(film.view));
  const faults = after.flatMap((film) => filmFaults(film, side));
  if (faults.length > 0) return err(faults);
  const reversed = after.flatMap((film) => reversedPair(film, lateralOf(side, film)) ?? []);
  if (reversed.length > 0) return err(reversed);
  const found: Record<string, Q> = {};
  for (const angle of angles) {
    const film = after.find(
      ({ view, marks }) => view === angle.view && angle.marks.every((name) => marks.some((mark) => mark.name === name)),
    );
    if (!film || found[angle.name]) continue;
    const lateral = lateralOf(side, film);
    const parts = angle.marks.flatMap((name) => pointParts(film, name, spreads));
    const b = propagate(
      belief(parts),
      parts.map((part) => part.name),
      ['angle'],
      (x) => [
        angle.of(
          angle.marks.map((_, k) => [x[2 * k]!, x[2 * k + 1]!]),
          lateral,
        ),
      ],
    );
    found[angle.name] = {
      value: outside(b.mean[0]!, 'deg'),
      unit: 'deg',
      ...(angle.positive ? { positive: angle.positive } : {}),
      sd: outside(sdOf(b, 'angle'), 'deg'),
      method: angle.method,
    };
  }
  return ok(found);
}

/** Which way lateral lies on the picture. */
const lateralOf = (side: Side, film: FilmReading): 1 | -1 => ((side === 'right') === film.mirrored ? 1 : -1);

const pairs = [
  ['componentDistalMedial', 'componentDistalLateral'],
  ['trayMedial', 'trayLateral'],
  ['malleolusMedial', 'malleolusLateral'],
] as const;

/** A pair of marks of which the lateral one lies on the medial side of the picture. */
function reversedPair(film: FilmReading, lateral: 1 | -1): Refusal | undefined {
  if (film.view !== 'after-front') return undefined;
  const at = (name: string) => {
    const mark = film.marks.find((m) => m.name === name);
    return mark && flatOf(film, mark.pixel)[0];
  };
  const wrong = pairs.find(([medial, other]) => {
    const [m, l] = [at(medial), at(other)];
    return m !== undefined && l !== undefined && lateral * (l - m) < 0;
  });
  return (
    wrong &&
    refusal(
      'film-turned-over',
      `Film ${film.id}: ${wrong[1]} lies medial of ${wrong[0]} on a ${film.side} leg. Either the picture is turned over, or it is of the other leg, or medial and lateral were mistaken.`,
    )
  );
}

/** A mark's two coordinates with their spread, mm right and up; the limb stands upright on the film. */
function pointParts(film: FilmReading, name: string, spreads: MarkSpreads) {
  const mark = film.marks.find((m) => m.name === name)!;
  const place = markPlace(name)!;
  const at = flatOf(film, mark.pixel);
  const { acrossMm, alongMm } = spreads[place.kind];
  const [x, y] = looseWay(place, film.view) === 'upright' ? [acrossMm, alongMm] : [alongMm, acrossMm];
  const spacing = film.scale.kind === 'none' ? film.scale.aspect : film.scale.spacing;
  const own = mark.covPx2 && [
    Math.sqrt(mark.covPx2[0][0]) * spacing.columnMm,
    Math.sqrt(mark.covPx2[1][1]) * spacing.rowMm,
  ];
  return [
    { name: `${name}.right`, value: at[0], sd: own?.[0] ?? x },
    { name: `${name}.up`, value: at[1], sd: own?.[1] ?? y },
  ];
}
