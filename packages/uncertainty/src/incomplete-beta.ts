/** @numerical From here on Stirling's series below is good to a double. */
const seriesFrom = 16;

/**
 * What Stirling's formula leaves of the log of the gamma function:
 * `ln gamma(z) = (z - 1/2) ln z - z + ln(2 pi) / 2 + stirlingRest(z)`, z above 0 (Abramowitz and Stegun 6.1.41, 6.1.15).
 */
function stirlingRest(z: number): number {
  let rest = 0;
  let at = z;
  for (; at < seriesFrom; at += 1) rest += (at + 0.5) * Math.log1p(1 / at) - 1;
  const s = 1 / (at * at);
  return rest + (1 / 12 - s * (1 / 360 - s * (1 / 1260 - s * (1 / 1680 - s * (1 / 1188))))) / at;
}

/** `ln(share / mean)` of a share that lies `off` above the mean, without losing digits where the two are close. */
const logRatio = (share: number, mean: number, off: number): number =>
  Math.abs(off) < mean / 2 ? Math.log1p(off / mean) : Math.log(share / mean);

/**
 * `x^a y^b / B(a, b)` with y = 1 - x: the slope of the incomplete beta function against the log of x / y.
 * Written about the mean, so that large a and b lose few digits: 7 are left with a thousand million.
 */
export function betaSlope(x: number, y: number, a: number, b: number): number {
  const c = a + b;
  // The smaller of x and y holds more digits of how far both are from their means.
  const off = x < y ? x - a / c : b / c - y;
  const log =
    a * logRatio(x, a / c, off) + b * logRatio(y, b / c, -off) + stirlingRest(c) - stirlingRest(a) - stirlingRest(b);
  return Math.sqrt((a / c) * (b / (2 * Math.PI))) * Math.exp(log);
}

/** @numerical Steps of the fraction; it needs about the root of the larger of a and b. */
const mostSteps = 100_000;
/** @numerical Stands for 0 in a denominator (Lentz 1976). */
const tiny = 1e-300;

/** The continued fraction of the incomplete beta function (Abramowitz and Stegun 26.5.8), by Lentz's method. */
function fraction(x: number, a: number, b: number): number {
  const notZero = (v: number): number => (Math.abs(v) < tiny ? tiny : v);
  let d = 1 / notZero(1 - ((a + b) * x) / (a + 1));
  let c = 1;
  let value = d;
  for (let m = 1; m < mostSteps; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    let factor = 1;
    for (const term of [even, odd]) {
      d = 1 / notZero(1 + term * d);
      c = notZero(1 + term / c);
      factor = d * c;
      value *= factor;
    }
    if (Math.abs(factor - 1) < 2e-16) return value;
  }
  throw new Error(`the incomplete beta function of ${x}, ${a}, ${b} did not settle`);
}

/**
 * The regularised incomplete beta function and what it leaves to 1, each to full precision where it is small.
 *
 * @param x from 0 to 1
 * @param y 1 - x, given apart so that a small one keeps its digits
 * @param a above 0
 * @param b above 0
 * @returns shares of a beta distribution below and above x; NaN for what is not a number or out of range
 */
export function betaShares(
  x: number,
  y: number,
  a: number,
  b: number,
): { readonly below: number; readonly above: number } {
  if (!(x >= 0 && y >= 0 && a > 0 && b > 0)) return { below: Number.NaN, above: Number.NaN };
  if (x === 0) return { below: 0, above: 1 };
  if (y === 0) return { below: 1, above: 0 };
  const slope = betaSlope(x, y, a, b);
  // On its own side of the mean the fraction settles quickly.
  if (x * (a + b + 2) <= a + 1) {
    const below = (slope * fraction(x, a, b)) / a;
    return { below, above: 1 - below };
  }
  const above = (slope * fraction(y, b, a)) / b;
  return { below: 1 - above, above };
}
