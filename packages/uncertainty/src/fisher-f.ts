import { betaShares, betaSlope } from './incomplete-beta.ts';

/** x and 1 - x of the beta variable of a ratio of variances. */
function betaVariable(ratio: number, above: number, below: number): readonly [number, number] {
  const scaled = (above / below) * ratio;
  return scaled === Infinity ? [1, 0] : [scaled / (1 + scaled), 1 / (1 + scaled)];
}

/**
 * Share of Fisher's F distribution below and above a ratio of two variances.
 *
 * @param ratio at least 0
 * @param above degrees of freedom of the variance above the line, more than 0, need not be whole
 * @param below of the one below
 * @source Abramowitz and Stegun 26.6.2
 */
export function fisherShares(
  ratio: number,
  above: number,
  below: number,
): { readonly below: number; readonly above: number } {
  const [x, y] = betaVariable(ratio, above, below);
  return betaShares(x, y, above / 2, below / 2);
}

/** @numerical A step this small, against the log of the ratio, moves no digit that counts. */
const settled = 1e-15;
/** @numerical Halving alone needs about 60 steps from the widest bracket. */
const mostSteps = 400;

/**
 * The ratio of variances with given shares below and above it.
 *
 * Both shares are asked for, so that a small one keeps its digits. Newton's method against the log of the ratio, held
 * inside a bracket that is halved when a step would leave it.
 *
 * @param shares below and above; they add up to 1
 * @returns the ratio; 0 or Infinity for a share of 0 below or above; NaN out of range
 */
export function fisherQuantileOf(
  shares: { readonly below: number; readonly above: number },
  above: number,
  below: number,
): number {
  if (!(shares.below >= 0 && shares.above >= 0 && above > 0 && below > 0)) return Number.NaN;
  if (shares.below === 0) return 0;
  if (shares.above === 0) return Infinity;
  const excess = (u: number): number => {
    const found = fisherShares(Math.exp(u), above, below);
    return shares.below <= shares.above ? found.below - shares.below : shares.above - found.above;
  };
  let low = -1;
  while (excess(low) > 0) low *= 2;
  let high = 1;
  while (excess(high) < 0) high *= 2;
  let u = 0;
  for (let step = 0; step < mostSteps; step += 1) {
    const off = excess(u);
    if (off === 0) break;
    if (off > 0) high = u;
    else low = u;
    const [x, y] = betaVariable(Math.exp(u), above, below);
    const newton = u - off / betaSlope(x, y, above / 2, below / 2);
    const next = newton > low && newton < high ? newton : (low + high) / 2;
    if (Math.abs(next - u) <= settled * Math.max(1, Math.abs(u))) break;
    u = next;
  }
  return Math.exp(u);
}

/** The ratio of variances that a share of Fisher's F distribution lies below. */
export const fisherQuantile = (share: number, above: number, below: number): number =>
  fisherQuantileOf({ below: share, above: 1 - share }, above, below);
