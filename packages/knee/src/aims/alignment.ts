import { fromMemory, type RangeDefault } from '../defaults/clinical-default.ts';

/**
 * Arithmetic of alignment, in degrees as people say them. Angles are plain numbers of degrees here because the published
 * boundaries are.
 */

/** Arithmetic hip-knee-ankle deviation, degrees, negative varus: what the limb would be with the joint closed (MacDessi 2021). */
export const arithmeticDeviation = (mptaDeg: number, ldfaDeg: number): number => mptaDeg - ldfaDeg;

/** Deviation of the limb as it stands, degrees, negative varus; JLCA positive when the joint opens laterally. */
export const standingDeviation = (mptaDeg: number, ldfaDeg: number, jlcaDeg: number): number =>
  mptaDeg - ldfaDeg - jlcaDeg;

/** Joint line obliquity, degrees: below 180 the joint line points down medially (formula from memory). */
export const jointLineObliquity = (mptaDeg: number, ldfaDeg: number): number => mptaDeg + ldfaDeg;

const numerals = ['I', 'II', 'III', 'IV', 'V', 'VI', 'VII', 'VIII', 'IX'] as const;
export type AlignmentType = (typeof numerals)[number];

export interface NineTypes {
  readonly type: AlignmentType;
  /** The leg lies on a boundary: a tenth of a degree decides. */
  readonly onEdge: boolean;
}

const nineTypesPaper = fromMemory('MacDessi et al., Bone Joint J 2021;103-B:329');
/** Neutral bands of the nine-type classification, both ends inclusive. */
export const neutralBands = {
  deviation: {
    name: 'Nine types: neutral deviation',
    range: [-2, 2],
    unit: 'deg',
    usedFor: 'column: MPTA less LDFA',
    source: nineTypesPaper,
  },
  obliquity: {
    name: 'Nine types: neutral obliquity',
    range: [177, 183],
    unit: 'deg',
    usedFor: 'row: MPTA and LDFA together',
    source: nineTypesPaper,
  },
} as const satisfies Readonly<Record<string, RangeDefault>>;
/** @numerical Sums are rounded to this before they are compared, so that 89.6 + 87.4 lands on 177, degrees. */
const grid = 0.01;

/**
 * The published classification of coronal alignment into nine types (MacDessi et al., Bone Joint J 2021;103-B:329;
 * boundaries from memory): columns varus, neutral, valgus by arithmetic deviation; rows apex distal, neutral, apex proximal by
 * joint line obliquity.
 */
export function nineTypes(mptaDeg: number, ldfaDeg: number): NineTypes {
  const onGrid = (v: number): number => Math.round(v / grid) * grid;
  const deviation = onGrid(arithmeticDeviation(mptaDeg, ldfaDeg));
  const obliquity = onGrid(jointLineObliquity(mptaDeg, ldfaDeg));
  const half = grid / 2;
  const band = (v: number, [low, high]: readonly [number, number]): 0 | 1 | 2 =>
    v < low - half ? 0 : v > high + half ? 2 : 1;
  const near = (v: number, limits: readonly number[]): boolean => limits.some((limit) => Math.abs(v - limit) < half);
  const column = band(deviation, neutralBands.deviation.range);
  const row = band(obliquity, neutralBands.obliquity.range);
  return {
    type: numerals[3 * row + column]!,
    onEdge: near(deviation, neutralBands.deviation.range) || near(obliquity, neutralBands.obliquity.range),
  };
}
