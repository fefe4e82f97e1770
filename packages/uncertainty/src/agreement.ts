import { about, type Interval, usualDeviations } from './interval.ts';
import { meanOfValues, pearson, sampleSd } from './moments.ts';
import { type FromReadings, notANumber } from './readings-fault.ts';
import { studentQuantile } from './student-t.ts';

/** @numerical Share of an interval, where none is asked for. */
const usualConfidence = 0.95;

export interface AgreementOptions {
  /** Half width of the limits in standard deviations; 1.96 unless given. */
  readonly deviations?: number;
  /** Share of the confidence intervals; 0.95 unless given. */
  readonly confidence?: number;
}

/** How far two readings of the same things agree; all but `correlation` and `growth` in the unit of the readings. */
export interface Agreement {
  readonly pairs: number;
  /** First minus second. */
  readonly meanDifference: number;
  /** Of the differences (n - 1). */
  readonly sd: number;
  /** Where most differences lie: mean -+ so many sd. */
  readonly limits: Interval;
  readonly seOfMean: number;
  /** Of either limit, sqrt(3 / n) sd: the approximation of the paper. */
  readonly seOfLimit: number;
  readonly intervalOfMean: Interval;
  readonly intervalOfLow: Interval;
  readonly intervalOfHigh: Interval;
  /** Of first and second (Pearson); it tells that they rise together, not that they agree. NaN when one does not vary. */
  readonly correlation: number;
  /** Correlation of the difference with the size (mean of both): far from 0, the limits do not fit all sizes. */
  readonly growth: number;
}

/** @numerical A spread needs two differences. */
const leastPairs = 2;

/**
 * Agreement of paired readings, first minus second.
 *
 * @param first one reading of each thing
 * @param second the other reading of the same things, in the same order
 * @returns mean difference, limits and their intervals with Student's t; a fault for fewer than 2 pairs, rows of different
 *   lengths, or what is no number
 * @source Bland and Altman, Lancet 1986;i:307-310
 */
export function agreement(
  first: readonly number[],
  second: readonly number[],
  { deviations = usualDeviations, confidence = usualConfidence }: AgreementOptions = {},
): FromReadings<Agreement> {
  if (first.length !== second.length) {
    return { ok: false, error: { kind: 'lengths-differ', found: second.length, needed: first.length } };
  }
  const pairs = first.length;
  if (pairs < leastPairs)
    return { ok: false, error: { kind: 'too-few', of: 'pairs', found: pairs, needed: leastPairs } };
  const fault = notANumber(first.map((v, i) => [v, second[i]!]));
  if (fault) return { ok: false, error: fault };
  const differences = first.map((v, i) => v - second[i]!);
  const meanDifference = meanOfValues(differences);
  const sd = sampleSd(differences);
  const seOfMean = sd / Math.sqrt(pairs);
  const seOfLimit = Math.sqrt(3 / pairs) * sd;
  const t = studentQuantile((1 + confidence) / 2, pairs - 1);
  const limits = about(meanDifference, deviations * sd);
  return {
    ok: true,
    value: {
      pairs,
      meanDifference,
      sd,
      limits,
      seOfMean,
      seOfLimit,
      intervalOfMean: about(meanDifference, t * seOfMean),
      intervalOfLow: about(limits.low, t * seOfLimit),
      intervalOfHigh: about(limits.high, t * seOfLimit),
      correlation: pearson(first, second),
      growth: pearson(
        differences,
        first.map((v, i) => (v + second[i]!) / 2),
      ),
    },
  };
}

/** Two readings of one thing by one method. */
export type Twice = readonly [number, number];

/**
 * Mean difference of two methods that each read everything twice, and the sd that the difference of two *single* readings
 * would have: averaging took some of it away, which is put back.
 *
 * @returns `sdOfMeans` of the differences between means of two, `sd` as of single readings, both of n - 1
 * @source Bland and Altman, Lancet 1986;i:307-310, "Measuring agreement using repeated measurements"
 */
export function agreementOfMeans(
  first: readonly Twice[],
  second: readonly Twice[],
): FromReadings<{ readonly meanDifference: number; readonly sdOfMeans: number; readonly sd: number }> {
  const middle = (rows: readonly Twice[]): number[] => rows.map(([a, b]) => (a + b) / 2);
  const found = agreement(middle(first), middle(second));
  if (!found.ok) return found;
  const quarter = (rows: readonly Twice[]): number => sampleSd(rows.map(([a, b]) => a - b)) ** 2 / 4;
  const { meanDifference, sd } = found.value;
  return {
    ok: true,
    value: { meanDifference, sdOfMeans: sd, sd: Math.sqrt(sd ** 2 + quarter(first) + quarter(second)) },
  };
}
