import { deg, toRadians } from '@kerfline/geometry';

export type Unit = 'mm' | 'deg';

/** What a positive value of a quantity means, in a word; lengths and plain angles have none. */
export type Positive =
  | 'varus'
  | 'valgus'
  | 'posteriorSlope'
  | 'flexion'
  | 'external'
  | 'lateral'
  | 'medial'
  | 'anterior'
  | 'proximal'
  | 'opensLaterally';

/**
 * A number as it leaves the house: mm or degrees, what positive means, and how far it may be off.
 * `sd` is one standard deviation against the named definition; `definitionSd` the spread between ways of defining it.
 * An unknown quantity has `value` null and says why.
 */
export interface Q {
  readonly value: number | null;
  readonly unit: Unit;
  readonly positive?: Positive;
  readonly sd: number | null;
  readonly definitionSd?: number;
  readonly method: string;
  readonly unknown?: string;
}

/** A length or angle kept inside (mm or radians) as it is shown outside (mm or degrees). */
export const outside = (value: number, unit: Unit): number => (unit === 'deg' ? (value * 180) / Math.PI : value);

/** The way back: mm stay, degrees become radians. */
export const inside = (value: number, unit: Unit): number => (unit === 'deg' ? toRadians(deg(value)) : value);
