import { usualDeviations } from './interval.ts';
import { moments } from './moments.ts';
import { type FromReadings, notANumber } from './readings-fault.ts';

/** How well readings of the same things repeat, in the unit of the readings. */
export interface Repeatability {
  /** Things read at least twice. */
  readonly subjects: number;
  readonly readings: number;
  /** Readings beyond the first of each thing. */
  readonly degreesOfFreedom: number;
  /** Standard error of measurement: the sd of one reading about the true value of its thing, whatever is common to all. */
  readonly sem: number;
  /** How far the sem may be off: sem / sqrt(2 degrees of freedom). */
  readonly seOfSem: number;
  /** Two readings of one thing differ by less than this in 95 of 100 cases: 1.96 sqrt(2) sem. */
  readonly coefficient: number;
}

/**
 * The smallest change of one thing that two single readings can tell from their own spread; it is the repeatability
 * coefficient when `sem` comes from repeats.
 *
 * @param deviations 1.96 for 95 %
 * @source Bland and Altman, BMJ 1996;312:1654 (from memory)
 */
export const minimalDetectableChange = (sem: number, deviations = usualDeviations): number =>
  deviations * Math.SQRT2 * sem;

/**
 * Repeatability from repeats, any number of each thing. The mean difference between repeats is taken as zero: readings that
 * drift from the first to the second count as spread.
 *
 * @param rows readings of one thing each; a thing read once says nothing and is passed over
 * @param deviations of the coefficient, 1.96 unless given; Bland and Altman (1986) took 2
 * @returns a fault when nothing was read twice or a reading is no number
 * @source Bland and Altman, Lancet 1986;i:307-310, "Repeatability": for pairs, coefficient = deviations x root mean square of
 *   the differences
 */
export function repeatability(
  rows: readonly (readonly number[])[],
  deviations = usualDeviations,
): FromReadings<Repeatability> {
  const fault = notANumber(rows);
  if (fault) return { ok: false, error: fault };
  const repeated = rows.filter((row) => row.length > 1);
  if (repeated.length === 0) {
    const found = rows.reduce((most, row) => Math.max(most, row.length), 0);
    return { ok: false, error: { kind: 'too-few', of: 'repeats', found, needed: 2 } };
  }
  const readings = repeated.reduce((sum, row) => sum + row.length, 0);
  const degreesOfFreedom = readings - repeated.length;
  const squares = repeated.reduce((sum, row) => sum + moments(row).squaresAboutMean, 0);
  const sem = Math.sqrt(squares / degreesOfFreedom);
  return {
    ok: true,
    value: {
      subjects: repeated.length,
      readings,
      degreesOfFreedom,
      sem,
      seOfSem: sem / Math.sqrt(2 * degreesOfFreedom),
      coefficient: minimalDetectableChange(sem, deviations),
    },
  };
}
