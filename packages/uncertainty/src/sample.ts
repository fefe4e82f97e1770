import type { Belief } from './belief.ts';
import type { Random } from './random.ts';

/**
 * Draws joint values of everything in a belief. The covariance may be singular (quantities known exactly, or sums of
 * others); a pivot below this share of the variance counts as zero.
 */
const leastPivot = 1e-12;

/** A function that gives one joint draw, laid out as the belief's mean. */
export function sampler(b: Belief): (random: Random) => readonly number[] {
  const n = b.mean.length;
  const lower = new Float64Array(n * n);
  for (let c = 0; c < n; c += 1) {
    let pivot = b.covariance[c * n + c]!;
    const variance = pivot;
    for (let k = 0; k < c; k += 1) pivot -= lower[c * n + k]! ** 2;
    if (!(pivot > leastPivot * variance)) continue;
    const root = Math.sqrt(pivot);
    lower[c * n + c] = root;
    for (let r = c + 1; r < n; r += 1) {
      let sum = b.covariance[r * n + c]!;
      for (let k = 0; k < c; k += 1) sum -= lower[r * n + k]! * lower[c * n + k]!;
      lower[r * n + c] = sum / root;
    }
  }
  const z = new Float64Array(n);
  return (random) => {
    const x = b.mean.slice();
    for (let i = 0; i < n; i += 1) z[i] = random.normal();
    for (let r = 0, at = 0; r < n; r += 1, at = r * n) {
      let sum = 0;
      for (let k = 0; k <= r; k += 1) sum += lower[at + k]! * z[k]!;
      x[r]! += sum;
    }
    return x;
  };
}
