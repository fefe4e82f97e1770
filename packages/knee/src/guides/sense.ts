import { otherSide, type Side } from '../side.ts';

/**
 * The words that state a direction, and the only way to state one. A slide goes `toward` one; a ring or hinge makes a `turn`.
 */
export const slideSenses = ['medial', 'lateral', 'anterior', 'posterior', 'proximal', 'distal'] as const;
export const turnSenses = [
  'varus',
  'valgus',
  'posteriorSlope',
  'anteriorSlope',
  'flex',
  'extend',
  'external',
  'internal',
] as const;
export type SlideSense = (typeof slideSenses)[number];
export type TurnSense = (typeof turnSenses)[number];
export type Sense = SlideSense | TurnSense;

export type Bone = 'tibia' | 'femur' | 'patella';

/** Direction from a cut into the bone that is kept. */
export const intoBone: Readonly<Record<Bone, SlideSense>> = {
  femur: 'proximal',
  tibia: 'distal',
  patella: 'anterior',
};

const opposites: Readonly<Record<Sense, Sense>> = {
  medial: 'lateral',
  lateral: 'medial',
  anterior: 'posterior',
  posterior: 'anterior',
  proximal: 'distal',
  distal: 'proximal',
  varus: 'valgus',
  valgus: 'varus',
  posteriorSlope: 'anteriorSlope',
  anteriorSlope: 'posteriorSlope',
  flex: 'extend',
  extend: 'flex',
  external: 'internal',
  internal: 'external',
};

export const opposite = <S extends Sense>(sense: S): S => opposites[sense] as S;

/** Which of a frame's axes (0 L, 1 A, 2 P) a slide goes along, and with which sign. */
export function slideAxis(toward: SlideSense): { readonly axis: 0 | 1 | 2; readonly sign: 1 | -1 } {
  switch (toward) {
    case 'lateral':
      return { axis: 0, sign: 1 };
    case 'medial':
      return { axis: 0, sign: -1 };
    case 'anterior':
      return { axis: 1, sign: 1 };
    case 'posterior':
      return { axis: 1, sign: -1 };
    case 'proximal':
      return { axis: 2, sign: 1 };
    case 'distal':
      return { axis: 2, sign: -1 };
  }
}

/**
 * Which axes a turn carries onto each other: the `from` axis moves toward `sign` times the `to` axis. On a femur valgus and
 * on a tibia varus lean the cut the same way, since one bone is seen from below the knee and the other from above.
 */
export function turnAxes(
  turn: TurnSense,
  bone: Bone,
): { readonly from: 0 | 1 | 2; readonly to: 0 | 1 | 2; readonly sign: 1 | -1 } {
  const below = bone === 'femur' ? 1 : -1;
  switch (turn) {
    case 'valgus':
      return { from: 2, to: 0, sign: -below as 1 | -1 };
    case 'varus':
      return { from: 2, to: 0, sign: below as 1 | -1 };
    case 'posteriorSlope':
      return { from: 2, to: 1, sign: -1 };
    case 'anteriorSlope':
      return { from: 2, to: 1, sign: 1 };
    case 'flex':
      return { from: 2, to: 1, sign: 1 };
    case 'extend':
      return { from: 2, to: 1, sign: -1 };
    case 'external':
      return { from: 1, to: 0, sign: 1 };
    case 'internal':
      return { from: 1, to: 0, sign: -1 };
  }
}

const words: Readonly<Record<Sense, string>> = {
  medial: 'medial',
  lateral: 'lateral',
  anterior: 'forward',
  posterior: 'backward',
  proximal: 'toward the hip',
  distal: 'toward the foot',
  varus: 'varus',
  valgus: 'valgus',
  posteriorSlope: 'back edge lower',
  anteriorSlope: 'front edge lower',
  flex: 'flexed',
  extend: 'extended',
  external: 'external',
  internal: 'internal',
};

/** A sense as a word in a sentence. */
export const senseWord = (sense: Sense): string => words[sense];

/**
 * What a side-to-side or turning sense looks like to the hands, beside the word and never instead of it.
 * Turns are seen from the foot of the table at the end of a bent femur, front side up: external carries the front toward
 * lateral, which is anticlockwise on a right knee.
 */
export function senseSeen(sense: Sense, side: Side): string | undefined {
  switch (sense) {
    case 'medial':
      return 'toward the other leg';
    case 'lateral':
      return 'away from the other leg';
    case 'external':
      return side === 'right' ? 'anticlockwise seen from the foot' : 'clockwise seen from the foot';
    case 'internal':
      return senseSeen('external', otherSide(side));
    default:
      return undefined;
  }
}
