import { describe, expect, it } from 'vitest';
import { type Belief, belief } from './belief.ts';
import { randomStream } from './random.ts';
import { spreadThrough } from './spread-through.ts';
import { normalCdf } from './statistics.ts';

const density = (z: number): number => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
const random = () => randomStream(5, 'bends');
const two = (means: readonly [number, number], sds: readonly [number, number], rho: number): Belief => ({
  slots: [
    { name: 'a', size: 1, at: 0 },
    { name: 'b', size: 1, at: 1 },
  ],
  mean: means,
  covariance: [sds[0] ** 2, rho * sds[0] * sds[1], rho * sds[0] * sds[1], sds[1] ** 2],
});

describe('the spread of a bent output', () => {
  it('is that of the straight one, to all digits, where the bend is far away', () => {
    const b = belief([{ name: 'a', value: 40, sd: 1.7 }]);
    const [spread] = spreadThrough(b, [0], ([a]) => [Math.max(0, a!)], 500, random());
    expect(spread!.sd).toBeCloseTo(1.7, 12);
    expect(spread!.shift).toBeCloseTo(0, 12);
  });

  // E max(0, X) = sd phi(0) and E max(0, X)^2 = sd^2 / 2 for a mean of 0.
  it('of max(0, X) with X = 0 +/- 2 is 2 / sqrt 2 about 0, and the mean is 2 / sqrt(2 pi) above it', () => {
    const b = belief([{ name: 'a', value: 0, sd: 2 }]);
    const [spread] = spreadThrough(b, [0], ([a]) => [Math.max(0, a!)], 100_000, random());
    expect(spread!.sd).toBeCloseTo(2 / Math.SQRT2, 1);
    expect(spread!.shift).toBeCloseTo(2 * density(0), 1);
  });

  /** Source: mean and second moment of the larger of two normals, Clark, Oper Res 1961;9:145, equations 2 and 3 (from memory). */
  it.each([
    { means: [9, 9], sds: [1, 1.5], rho: 0.3 },
    { means: [9, 7], sds: [1, 1.5], rho: -0.4 },
    { means: [6, 9], sds: [2, 0.5], rho: 0.9 },
  ] as const)('of the larger of two with means $means, sds $sds and correlation $rho agrees with Clark to 2 %', (c) => {
    const [m1, m2] = c.means;
    const [s1, s2] = c.sds;
    const a = Math.sqrt(s1 ** 2 + s2 ** 2 - 2 * c.rho * s1 * s2);
    const alpha = (m1 - m2) / a;
    const first = m1 * normalCdf(alpha) + m2 * normalCdf(-alpha) + a * density(alpha);
    const second =
      (m1 ** 2 + s1 ** 2) * normalCdf(alpha) + (m2 ** 2 + s2 ** 2) * normalCdf(-alpha) + (m1 + m2) * a * density(alpha);
    const atMean = Math.max(m1, m2);
    const about = Math.sqrt(second - 2 * atMean * first + atMean ** 2);
    const larger = m1 >= m2 ? 0 : 1;
    const [spread] = spreadThrough(
      two(c.means, c.sds, c.rho),
      [larger],
      (x) => [Math.max(x[0]!, x[1]!)],
      50_000,
      random(),
    );
    expect(Math.abs(spread!.sd / about - 1)).toBeLessThan(0.02);
    expect(Math.abs(spread!.shift - (first - atMean))).toBeLessThan(0.02);
  });

  it('is the same again for the same stream', () => {
    const b = two([1, 1], [1, 1], 0.2);
    const once = () => spreadThrough(b, [0], (x) => [Math.max(x[0]!, x[1]!)], 200, random());
    expect(once()).toEqual(once());
  });
});
