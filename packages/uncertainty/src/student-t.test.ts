import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fisherQuantile, fisherShares, normalCdf, studentCdf, studentQuantile } from './index.ts';

const relative = (found: number, expected: number): number => Math.abs(found / expected - 1);

const share = fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true });
const degrees = fc.double({ min: 0.5, max: 500, noNaN: true });

describe("Student's t", () => {
  /** With 1 degree of freedom it is Cauchy's: t = tan(pi (p - 1/2)); with 2, t = (2p - 1) / sqrt(2 p (1 - p)). */
  it.each([1e-9, 0.001, 0.025, 0.2, 0.5, 0.6, 0.9, 0.975, 0.9999])('has its closed forms at a share of %d', (p) => {
    const one = p < 0.25 ? -1 / Math.tan(Math.PI * p) : Math.tan(Math.PI * (p - 0.5));
    const two = (2 * p - 1) / Math.sqrt(2 * p * (1 - p));
    expect(Math.abs(studentQuantile(p, 1) - one)).toBeLessThan(1e-12 * Math.max(1, Math.abs(one)));
    expect(Math.abs(studentQuantile(p, 2) - two)).toBeLessThan(1e-12 * Math.max(1, Math.abs(two)));
  });

  /** Printed tables of t, two-sided 95 % (from memory); 16 degrees as in Bland and Altman 1986 (2.12). */
  it.each([
    [3, 3.1824],
    [5, 2.5706],
    [10, 2.2281],
    [16, 2.1199],
    [30, 2.0423],
    [120, 1.9799],
  ])('with %d degrees of freedom has the tabled factor %d', (n, t) => {
    expect(Math.abs(studentQuantile(0.975, n) - t)).toBeLessThan(6e-5);
  });

  it('with very many degrees of freedom is normal', () => {
    expect(studentQuantile(0.975, 1e9)).toBeCloseTo(1.959963984540054, 8);
    expect(studentCdf(1.3, 1e9)).toBeCloseTo(normalCdf(1.3), 9);
  });

  it('gives back the share that its value was asked for', () => {
    fc.assert(
      fc.property(share, degrees, (p, n) => {
        expect(Math.abs(studentCdf(studentQuantile(p, n), n) - p)).toBeLessThan(1e-12);
      }),
    );
  });

  it('is the same on both sides of 0', () => {
    fc.assert(
      fc.property(share, degrees, (p, n) => {
        const t = studentQuantile(p, n);
        expect(Math.abs(studentCdf(-t, n) + studentCdf(t, n) - 1)).toBeLessThan(1e-14);
      }),
    );
  });

  it('is no number for a share beyond 0 to 1 or no degrees of freedom', () => {
    expect(studentQuantile(1.1, 5)).toBeNaN();
    expect(studentQuantile(Number.NaN, 5)).toBeNaN();
    expect(studentQuantile(0.9, 0)).toBeNaN();
    expect(studentQuantile(1, 5)).toBe(Infinity);
  });
});

describe("Fisher's F", () => {
  /** With 2 degrees above: P(F > f) = (1 + 2 f / m)^(-m / 2). */
  it('with 2 degrees of freedom above has its closed form, far into both tails', () => {
    for (const m of [1, 2, 3.5, 10, 77, 4000]) {
      for (const f of [1e-8, 0.01, 0.5, 1, 3, 40]) {
        const above = Math.exp((-m / 2) * Math.log1p((2 * f) / m));
        const found = fisherShares(f, 2, m);
        expect(relative(found.above, above)).toBeLessThan(1e-12);
        expect(relative(found.below, -Math.expm1((-m / 2) * Math.log1p((2 * f) / m)))).toBeLessThan(1e-11);
      }
    }
  });

  /** Printed tables of F (from memory). */
  it.each([
    [0.95, 1, 10, 4.9646],
    [0.95, 5, 10, 3.3258],
    [0.975, 5, 15, 3.5764],
    [0.99, 3, 20, 4.9382],
  ])('at %d with %d and %d degrees of freedom is %d', (p, n, m, f) => {
    expect(Math.abs(fisherQuantile(p, n, m) - f)).toBeLessThan(6e-5);
  });

  it('turned over is the same distribution: f(p; n, m) = 1 / f(1 - p; m, n)', () => {
    fc.assert(
      fc.property(share, degrees, degrees, (p, n, m) => {
        const product = fisherQuantile(p, n, m) * fisherQuantile(1 - p, m, n);
        // A share near 1 has lost its digits below 1e-16 before it comes in.
        expect(Math.abs(product - 1)).toBeLessThan(1e-7);
      }),
    );
  });

  it('turned over is the same with a thousand million degrees of freedom on either side, and the square of a normal', () => {
    for (const f of [0.3, 1.7, 6]) {
      const there = fisherShares(f, 1, 1e9);
      const back = fisherShares(1 / f, 1e9, 1);
      expect(relative(back.below, there.above)).toBeLessThan(5e-8);
      // P(z^2 > f), z normal.
      expect(relative(there.above, 2 * normalCdf(-Math.sqrt(f)))).toBeLessThan(5e-8);
    }
  });

  it('gives back the share that its value was asked for', () => {
    fc.assert(
      fc.property(share, degrees, degrees, (p, n, m) => {
        expect(Math.abs(fisherShares(fisherQuantile(p, n, m), n, m).below - p)).toBeLessThan(1e-11);
      }),
    );
  });
});
