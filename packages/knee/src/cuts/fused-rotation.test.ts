import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fusedRotation } from './fused-rotation.ts';

const reading = (deg: number, sdDeg: number) => ({ reference: 'any', deg, sdDeg });

describe('readings of one femoral turn', () => {
  /** Source: worked vector of the trade notes, 2.6.1. */
  it('1.0 (1.9) and 4.0 (2.3) make 2.22 +/- 1.46 deg', () => {
    const fused = fusedRotation([reading(1, 1.9), reading(4, 2.3)]);
    expect(fused.deg).toBeCloseTo(2.22, 2);
    expect(fused.sdDeg).toBeCloseTo(1.46, 2);
  });

  /** By hand: two alike have their mean and 1/sqrt 2 of the spread. */
  it('two alike halve the variance', () => {
    expect(fusedRotation([reading(2, 2), reading(4, 2)])).toEqual({ deg: 3, sdDeg: expect.closeTo(Math.SQRT2, 12) });
  });

  it('are as probable together as the product of their bells: the fused value is the top of it', () => {
    const one = fc.tuple(fc.double({ min: -5, max: 9, noNaN: true }), fc.double({ min: 0.5, max: 5, noNaN: true }));
    fc.assert(
      fc.property(fc.array(one, { minLength: 1, maxLength: 4 }), (raw) => {
        const readings = raw.map(([d, sd]) => reading(d, sd));
        const fused = fusedRotation(readings);
        const unlikely = (x: number): number => readings.reduce((sum, r) => sum + ((x - r.deg) / r.sdDeg) ** 2, 0);
        const least = unlikely(fused.deg);
        // One spread away from the top of a bell the exponent grows by 1.
        expect(unlikely(fused.deg + fused.sdDeg) - least).toBeCloseTo(1, 6);
        expect(unlikely(fused.deg - fused.sdDeg) - least).toBeCloseTo(1, 6);
      }),
    );
  });

  it('without any reading there is nothing to fuse', () => {
    expect(() => fusedRotation([])).toThrow('no reading');
  });
});
