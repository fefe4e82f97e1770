import { EigenvalueDecomposition, Matrix } from 'ml-matrix';

/** Differences of a covariance from its mirror image, and eigenvalues below zero, that are only rounding. */
const rounding = 1e-9;
/** Entries this much smaller than the largest are nothing; left in, subnormal ones break the decomposition. */
const nothing = 1e-30;

/**
 * What keeps a square table from being a covariance: a number that is none, a side unlike the other, a negative variance or
 * more correlation than 1. `undefined` when nothing does.
 *
 * @param covariance row by row, `size` squared numbers
 */
export function covarianceFault(covariance: readonly number[], size: number): string | undefined {
  if (!covariance.every(Number.isFinite)) return 'a number that is not finite';
  const largest = Math.max(...covariance.map(Math.abs));
  for (let r = 0; r < size; r += 1) {
    if (covariance[r * size + r]! < 0) return `a negative variance (${covariance[r * size + r]})`;
    for (let c = 0; c < r; c += 1) {
      const [below, above] = [covariance[r * size + c]!, covariance[c * size + r]!];
      if (Math.abs(below - above) > rounding * largest)
        return `${below} on one side of the diagonal and ${above} on the other`;
    }
  }
  // The decomposition has absolute limits inside: it is given a table whose largest entry is 1.
  const clean = covariance.map((v) => v / (largest || 1)).map((v) => (Math.abs(v) <= nothing ? 0 : v));
  const { realEigenvalues } = new EigenvalueDecomposition(Matrix.from1DArray(size, size, clean), {
    assumeSymmetric: true,
  });
  return realEigenvalues.some((value) => value < -rounding) ? 'more correlation than 1' : undefined;
}
