import { fisherQuantile } from './fisher-f.ts';
import type { Interval } from './interval.ts';
import { meanOfValues } from './moments.ts';
import { type FromReadings, notANumber } from './readings-fault.ts';

/** Mean squares of a table of subjects by judges, named as in the paper. */
export interface MeanSquares {
  readonly subjects: number;
  readonly judges: number;
  /** Between subjects, n - 1 degrees of freedom. */
  readonly BMS: number;
  /** Within subjects, n (k - 1): judges and rest together. */
  readonly WMS: number;
  /** Between judges, k - 1. */
  readonly JMS: number;
  /** Rest, (n - 1) (k - 1). */
  readonly EMS: number;
}

/** A correlation within classes; `interval` is absent where nothing is left over that it could be taken from. */
export interface Intraclass {
  readonly value: number;
  readonly interval?: Interval;
}

/**
 * The six correlations of the paper, by their names there. One judge of each: `single`; mean of all judges: `mean`.
 * `oneWay` (1): each subject has judges of its own. `random` (2): judges stand for judges in general and their shifts count
 * as disagreement. `fixed` (3): these judges only, shifts between them do not count.
 */
export interface Intraclasses {
  readonly meanSquares: MeanSquares;
  readonly oneWay: { readonly single: Intraclass; readonly mean: Intraclass };
  readonly random: { readonly single: Intraclass; readonly mean: Intraclass };
  readonly fixed: { readonly single: Intraclass; readonly mean: Intraclass };
}

/** @numerical What is left of equal readings after rounding, as a share of the largest reading. */
const rounding = 1e-14;

const squaresOf = (values: readonly number[]): number => values.reduce((sum, v) => sum + v * v, 0);

/**
 * Mean squares of readings, one row a subject and one column a judge, taken about the means and so without loss of digits.
 *
 * @returns a fault for fewer than 2 subjects or judges, rows of different lengths, or what is no number
 */
export function meanSquares(rows: readonly (readonly number[])[]): FromReadings<MeanSquares> {
  const n = rows.length;
  if (n < 2) return { ok: false, error: { kind: 'too-few', of: 'subjects', found: n, needed: 2 } };
  const k = rows[0]!.length;
  if (k < 2) return { ok: false, error: { kind: 'too-few', of: 'judges', found: k, needed: 2 } };
  const short = rows.find((row) => row.length !== k);
  if (short) return { ok: false, error: { kind: 'lengths-differ', found: short.length, needed: k } };
  const fault = notANumber(rows);
  if (fault) return { ok: false, error: fault };
  const all = meanOfValues(rows.flat());
  const off = rows.map((row) => row.map((v) => v - all));
  const bySubject = off.map(meanOfValues);
  const byJudge = off[0]!.map((_, j) => meanOfValues(off.map((row) => row[j]!)));
  const within = off.flatMap((row, i) => row.map((v) => v - bySubject[i]!));
  const rest = off.flatMap((row, i) => row.map((v, j) => v - bySubject[i]! - byJudge[j]!));
  const largest = rows.flat().reduce((most, v) => Math.max(most, Math.abs(v)), 0);
  const square = (sum: number): number => (sum > (rounding * largest) ** 2 ? sum : 0);
  return {
    ok: true,
    value: {
      subjects: n,
      judges: k,
      BMS: square(k * squaresOf(bySubject)) / (n - 1),
      WMS: square(squaresOf(within)) / (n * (k - 1)),
      JMS: square(n * squaresOf(byJudge)) / (k - 1),
      EMS: square(squaresOf(rest)) / ((n - 1) * (k - 1)),
    },
  };
}

/** Correlation of the mean of k judges from that of one (Spearman and Brown). */
const ofMean = (one: number, k: number): number => (k * one) / (1 + (k - 1) * one);

/** Cases 1 and 3: a ratio of mean squares and its degrees of freedom. */
function ofRatio(between: number, left: number, k: number, above: number, below: number, confidence: number) {
  const single = (between - left) / (between + (k - 1) * left);
  const mean = (between - left) / between;
  if (!(left > 0 && between > 0)) return { single: { value: single }, mean: { value: mean } };
  const share = (1 + confidence) / 2;
  const FL = between / left / fisherQuantile(share, above, below);
  const FU = (between / left) * fisherQuantile(share, below, above);
  return {
    single: { value: single, interval: { low: (FL - 1) / (FL + k - 1), high: (FU - 1) / (FU + k - 1) } },
    mean: { value: mean, interval: { low: 1 - 1 / FL, high: 1 - 1 / FU } },
  };
}

/** Case 2, with the degrees of freedom of Satterthwaite that the paper gives. */
function ofRandom({ subjects: n, judges: k, BMS, JMS, EMS }: MeanSquares, confidence: number) {
  const single = (BMS - EMS) / (BMS + (k - 1) * EMS + (k * (JMS - EMS)) / n);
  const mean = (BMS - EMS) / (BMS + (JMS - EMS) / n);
  if (!(EMS > 0 && BMS > 0)) return { single: { value: single }, mean: { value: mean } };
  const FJ = JMS / EMS;
  const rest = n * (1 + (k - 1) * single) - k * single;
  const nu =
    ((k - 1) * (n - 1) * (k * single * FJ + rest) ** 2) / ((n - 1) * k ** 2 * single ** 2 * FJ ** 2 + rest ** 2);
  const share = (1 + confidence) / 2;
  const upper = fisherQuantile(share, n - 1, nu);
  const lower = fisherQuantile(share, nu, n - 1);
  const judges = k * JMS + (k * n - k - n) * EMS;
  const low = (n * (BMS - upper * EMS)) / (upper * judges + n * BMS);
  const high = (n * (lower * BMS - EMS)) / (judges + n * lower * BMS);
  return {
    single: { value: single, interval: { low, high } },
    mean: { value: mean, interval: { low: ofMean(low, k), high: ofMean(high, k) } },
  };
}

/**
 * Correlations within classes: how much of the variation of readings is that of the subjects.
 *
 * @param rows one row a subject, one column a judge; none missing
 * @param confidence share of the intervals
 * @returns a fault as `meanSquares`, or `no-variation` when all readings are the same
 * @source Shrout and Fleiss, Psychol Bull 1979;86:420-428
 */
export function intraclass(rows: readonly (readonly number[])[], confidence = 0.95): FromReadings<Intraclasses> {
  const found = meanSquares(rows);
  if (!found.ok) return found;
  const squares = found.value;
  const { subjects: n, judges: k, BMS, WMS, EMS } = squares;
  if (BMS === 0 && WMS === 0) return { ok: false, error: { kind: 'no-variation', found: rows[0]![0]! } };
  return {
    ok: true,
    value: {
      meanSquares: squares,
      oneWay: ofRatio(BMS, WMS, k, n - 1, n * (k - 1), confidence),
      random: ofRandom(squares, confidence),
      fixed: ofRatio(BMS, EMS, k, n - 1, (n - 1) * (k - 1), confidence),
    },
  };
}
