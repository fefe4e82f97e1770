import type { Unit } from '../../quantity.ts';
import type { FilmMark, PixelSpacing } from './film.ts';
import { along, angleBetween, middleOf, type OnFilm, onFilm, sizeOf, stepTo } from './film-plane.ts';

/** A quantity as drawn on a film: mm or radians. */
export interface DrawnQuantity {
  readonly name: string;
  readonly value: number;
  readonly unit: Unit;
}

/** Toward the top of the film. */
const up: OnFilm = [0, -1];

const sum = (a: OnFilm, b: OnFilm): OnFilm => [
  a[0] / sizeOf(a) + b[0] / sizeOf(b),
  a[1] / sizeOf(a) + b[1] / sizeOf(b),
];

/** The angle at the knee on the medial side: pi when straight, less in varus. */
function medialAngle(toHip: OnFilm, toAnkle: OnFilm, medial: OnFilm): number {
  const angle = angleBetween(toHip, toAnkle);
  return along(sum(toHip, toAnkle), medial) >= 0 ? angle : 2 * Math.PI - angle;
}

/**
 * What lines drawn on one film measure, with nothing taken out for how the limb was turned or bent. Between repeats of one
 * film all that is common, so that this is enough to tell how well they repeat; as values of the leg it is not.
 *
 * Names and signs are those of `quantityDefinitions`; a quantity whose marks are not all there is left out.
 * LDFA is the angle between joint line and axis on the lateral side of the femur, MPTA that on the medial side of the tibia,
 * HKA the angle at the knee on the medial side, JLCA positive when the lines open laterally, slope positive when the rear
 * rim is lower, against the canal.
 *
 * @param spacing mm of a pixel; angles need only its shape
 */
export function drawnQuantities(marks: readonly FilmMark[], spacing: PixelSpacing): readonly DrawnQuantity[] {
  const places = new Map(marks.map(({ name, pixel }) => [name, onFilm(pixel, spacing)]));
  const found: DrawnQuantity[] = [];
  const say = (name: string, unit: Unit, from: readonly string[], value: (...at: OnFilm[]) => number): void => {
    const at = from.map((n) => places.get(n));
    if (at.every((p) => p !== undefined)) found.push({ name, unit, value: value(...at) });
  };
  const femur = ['hipCentre', 'femoralKneeCentre'];
  const distal = ['distalMedial', 'distalLateral'];
  const plateau = ['plateauMedial', 'plateauLateral'];
  const malleoli = ['malleolusMedial', 'malleolusLateral'];

  say('LDFA', 'deg', [...femur, ...distal], (hip, knee, medial, lateral) =>
    angleBetween(stepTo(hip!, knee!), stepTo(lateral!, medial!)),
  );
  const mpta = (knee: OnFilm, ankle: OnFilm, medial: OnFilm, lateral: OnFilm): number =>
    angleBetween(stepTo(ankle, knee), stepTo(medial, lateral));
  say('MPTA', 'deg', ['tibialKneeCentre', ...malleoli, ...plateau], (knee, inner, outer, medial, lateral) =>
    mpta(knee!, middleOf([inner!, outer!]), medial!, lateral!),
  );
  say('clinicalMPTA', 'deg', ['tibialKneeCentre', 'plafondCentre', ...plateau], (knee, ankle, medial, lateral) =>
    mpta(knee!, ankle!, medial!, lateral!),
  );
  const hka = (hip: OnFilm, above: OnFilm, below: OnFilm, ankle: OnFilm, medial: OnFilm, lateral: OnFilm): number =>
    medialAngle(stepTo(hip, above), stepTo(ankle, below), stepTo(medial, lateral));
  say(
    'HKA',
    'deg',
    [...femur, 'tibialKneeCentre', ...malleoli, ...distal],
    (hip, above, below, inner, outer, medial, lateral) =>
      hka(hip!, above!, below!, middleOf([inner!, outer!]), medial!, lateral!),
  );
  say(
    'clinicalHKA',
    'deg',
    [...femur, 'tibialKneeCentre', 'plafondCentre', ...distal],
    (hip, above, below, ankle, medial, lateral) => hka(hip!, above!, below!, ankle!, medial!, lateral!),
  );
  say(
    'JLCA',
    'deg',
    [...distal, ...plateau],
    (medial, lateral, below, belowLateral) =>
      angleBetween(up, stepTo(belowLateral!, below!)) - angleBetween(up, stepTo(lateral!, medial!)),
  );
  say(
    'slope',
    'deg',
    ['tibialCanalHigh', 'tibialCanalLow', 'medialRimFront', 'medialRimRear'],
    (high, low, front, rear) => Math.PI / 2 - angleBetween(stepTo(low!, high!), stepTo(rear!, front!)),
  );
  say('femurLength', 'mm', femur, (hip, knee) => sizeOf(stepTo(hip!, knee!)));
  say('tibiaLength', 'mm', ['tibialKneeCentre', ...malleoli], (knee, inner, outer) =>
    sizeOf(stepTo(knee!, middleOf([inner!, outer!]))),
  );
  return found;
}
