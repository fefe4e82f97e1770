import { fisherQuantileOf, fisherShares } from './fisher-f.ts';

/**
 * Share of Student's t distribution below `t`.
 *
 * @param degreesOfFreedom more than 0, need not be whole
 * @source Abramowitz and Stegun 26.7.1: the square of t is Fisher's F of 1 and as many degrees of freedom
 */
export function studentCdf(t: number, degreesOfFreedom: number): number {
  const tail = fisherShares(t * t, 1, degreesOfFreedom).above / 2;
  return t > 0 ? 1 - tail : tail;
}

/** The value that a share of Student's t distribution lies below; 0.975 gives the factor of a 95 % interval. */
export function studentQuantile(share: number, degreesOfFreedom: number): number {
  if (!(share >= 0 && share <= 1)) return Number.NaN;
  const tail = Math.min(share, 1 - share);
  const size = Math.sqrt(fisherQuantileOf({ below: 1 - 2 * tail, above: 2 * tail }, 1, degreesOfFreedom));
  return share < 0.5 ? -size : size;
}
