export interface Interval {
  readonly low: number;
  readonly high: number;
}

export const about = (centre: number, half: number): Interval => ({ low: centre - half, high: centre + half });

/** @numerical 95 % of a normal lies within so many deviations, as is printed; Bland and Altman (1986) rounded it to 2. */
export const usualDeviations = 1.96;
