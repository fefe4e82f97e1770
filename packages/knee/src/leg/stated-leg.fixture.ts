import { expectOk } from '@kerfline/geometry';
import type { Side } from '../side.ts';
import type { Leg } from './leg.ts';
import { legFromStated } from './stated-leg.ts';
import { parseStated, type StatedValue } from './stated-value.ts';

/** Stated values from their texts, such as `LDFA=88deg+-1`. */
export const stated = (...texts: readonly string[]): readonly StatedValue[] =>
  texts.map((text) => expectOk(parseStated(text), text));

/** A leg typed in. */
export const typedLeg = (side: Side, ...texts: readonly string[]): Leg => legFromStated(side, stated(...texts));

/** Ranges of a random typed leg, in the units of the quantities: wider than most knees, inside what can be stated. */
export const typedRanges = {
  LDFA: [82, 95],
  MPTA: [80, 95],
  JLCA: [-2, 8],
  slope: [0, 14],
  shaftMechanical: [3, 9],
  canalFlexion: [-4, 4],
  condylarTwist: [-2, 8],
  femurLength: [360, 480],
  tibiaLength: [300, 440],
  tibiaSpan: [290, 430],
  cortexDepth: [52, 72],
  femurWidth: [58, 82],
  distalSpacing: [42, 54],
  posteriorSpacing: [44, 54],
  plateauSpacing: [38, 48],
  ankleOffset: [-1, 6],
  patellaThickness: [17, 27],
  wearDistalMedial: [0, 3],
  wearDistalLateral: [0, 3],
  wearPosteriorMedial: [0, 3],
  wearPosteriorLateral: [0, 3],
  wearPlateauMedial: [0, 4],
  wearPlateauLateral: [0, 4],
} as const satisfies Readonly<Record<string, readonly [number, number]>>;

/** Values of such a leg, each with a spread of 0.7 of its unit. */
export const typedValues = (values: Readonly<Record<string, number>>): readonly StatedValue[] =>
  Object.entries(values).map(([name, value]) => ({
    name,
    value,
    unit: /^(LDFA|MPTA|JLCA|slope|shaftMechanical|canalFlexion|condylarTwist)$/.test(name) ? 'deg' : 'mm',
    sd: 0.7,
    sdFrom: 'stated',
  }));
