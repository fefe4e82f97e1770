/** Running mean and variance of a stream of numbers (Welford 1962): no sum of squares, so no digits are lost. */
export interface Running {
  readonly count: number;
  readonly mean: number;
  readonly squaresAboutMean: number;
}

export const noneYet: Running = { count: 0, mean: 0, squaresAboutMean: 0 };

export function withValue(running: Running, value: number): Running {
  const count = running.count + 1;
  const mean = running.mean + (value - running.mean) / count;
  return { count, mean, squaresAboutMean: running.squaresAboutMean + (value - running.mean) * (value - mean) };
}

export interface Summary {
  readonly count: number;
  readonly mean: number;
  /** Sample standard deviation (n - 1); 0 for a single value. */
  readonly sd: number;
  readonly p05: number;
  readonly p50: number;
  readonly p95: number;
}

/** Mean, spread and quantiles of draws; no draws throws. */
export function summary(values: readonly number[]): Summary {
  if (values.length === 0) throw new Error('nothing to summarise');
  const running = values.reduce(withValue, noneYet);
  const sorted = [...values].sort((a, b) => a - b);
  return {
    count: running.count,
    mean: running.mean,
    sd: running.count > 1 ? Math.sqrt(running.squaresAboutMean / (running.count - 1)) : 0,
    p05: quantile(sorted, 0.05),
    p50: quantile(sorted, 0.5),
    p95: quantile(sorted, 0.95),
  };
}

/** Quantile of sorted values by linear interpolation between order statistics (Hyndman and Fan 1996, type 7). */
export function quantile(sorted: readonly number[], share: number): number {
  const position = share * (sorted.length - 1);
  const below = Math.floor(position);
  const above = Math.min(below + 1, sorted.length - 1);
  return sorted[below]! + (position - below) * (sorted[above]! - sorted[below]!);
}

/** Share of a standard normal below `z`, by the series phi(z) (z + z3/3 + z5/15 + ...); absolute error below 1e-15. */
export function normalCdf(z: number): number {
  if (Number.isNaN(z)) return z;
  // Beyond 9 deviations the share differs from 0 or 1 by less than a double can hold beside 1.
  if (Math.abs(z) > 9) return z < 0 ? 0 : 1;
  let term = z;
  let sum = z;
  for (let odd = 3; Math.abs(term) > 1e-17 * Math.abs(sum); odd += 2) {
    term *= (z * z) / odd;
    sum += term;
  }
  return 0.5 + (sum * Math.exp((-z * z) / 2)) / Math.sqrt(2 * Math.PI);
}

/** Share of a normal beyond `limit` on either side of `centre`. */
export function shareBeyond(mean: number, sd: number, centre: number, limit: number): number {
  if (!(sd > 0)) return Math.abs(mean - centre) > limit ? 1 : 0;
  return normalCdf((centre - limit - mean) / sd) + 1 - normalCdf((centre + limit - mean) / sd);
}
