/** Unit of a default: a length, an angle, or a plain number and what it counts. */
export type DefaultUnit = 'mm' | 'deg' | 'share' | 'weight' | 'count' | 'sd';

interface Described {
  /** `Group: thing`, unique among all. */
  readonly name: string;
  readonly unit: DefaultUnit;
  /** What would come out otherwise with another number. */
  readonly usedFor: string;
  /** A citation, or one of the three sentences below. */
  readonly source: string;
}

/** One number. */
export type ScalarDefault = Described & { readonly value: number };
/** What stands for something that this leg was not asked, with how far legs differ. */
export type MeanDefault = Described & {
  readonly mean: number;
  readonly sd: number;
  /** Where the sd comes from, if not from where the mean does. */
  readonly sdSource?: string;
};
/** Two limits, both still inside. */
export type RangeDefault = Described & { readonly range: readonly [number, number] };

/**
 * A number with a clinical meaning that nobody measured on this leg: a limit, a weight, a fence, what stands for an unknown.
 * It can be changed without changing what the program is. Numbers that only arithmetic needs are no defaults.
 */
export type ClinicalDefault = ScalarDefault | MeanDefault | RangeDefault;

/** Chosen by who wrote the program. */
export const workingDefault = 'working default, no source';
/** What theatres are known to do. */
export const commonPractice = 'common practice, no source';
/** Published, but the publication was not opened again when the number was written down. */
export const fromMemory = (what: string): string => `from memory: ${what}`;
