/** Sum without the loss of small parts beside large ones (Neumaier 1974). */
function sumOf(values: readonly number[]): number {
  let sum = 0;
  let lost = 0;
  for (const value of values) {
    const next = sum + value;
    lost += Math.abs(sum) >= Math.abs(value) ? sum - next + value : value - next + sum;
    sum = next;
  }
  return sum + lost;
}

export const meanOfValues = (values: readonly number[]): number => sumOf(values) / values.length;

export interface Moments {
  readonly count: number;
  readonly mean: number;
  readonly squaresAboutMean: number;
}

/** Mean and squares about it in two passes: no sum of squares, so no digits are lost. */
export function moments(values: readonly number[]): Moments {
  const mean = meanOfValues(values);
  return { count: values.length, mean, squaresAboutMean: sumOf(values.map((v) => (v - mean) ** 2)) };
}

/** Sample standard deviation (n - 1) of at least two values. */
export function sampleSd(values: readonly number[]): number {
  const { count, squaresAboutMean } = moments(values);
  return Math.sqrt(squaresAboutMean / (count - 1));
}

/** Pearson's correlation of two rows of one length; NaN when one of them does not vary. */
export function pearson(first: readonly number[], second: readonly number[]): number {
  const a = moments(first);
  const b = moments(second);
  const products = sumOf(first.map((v, i) => (v - a.mean) * (second[i]! - b.mean)));
  return products / Math.sqrt(a.squaresAboutMean * b.squaresAboutMean);
}

/** Correlation of each value with the next one, about the mean of all (NIST StRD, univariate). */
export function lagOneCorrelation(values: readonly number[]): number {
  const { mean, squaresAboutMean } = moments(values);
  return sumOf(values.slice(1).map((v, i) => (v - mean) * (values[i]! - mean))) / squaresAboutMean;
}
