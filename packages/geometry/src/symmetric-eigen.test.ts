import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { principalAxes } from './symmetric-eigen.ts';
import { dot, type Vec3 } from './vec3.ts';

const times = (m: readonly [Vec3, Vec3, Vec3], v: Vec3): Vec3 => [dot(m[0], v), dot(m[1], v), dot(m[2], v)];

describe('principal axes', () => {
  it('of a table by hand: 2, 1, 1, 2 in a plane has 3 along the diagonal and 1 across it', () => {
    const { axes, values } = principalAxes([
      [2, 1, 0],
      [1, 2, 0],
      [0, 0, 0.5],
    ]);
    expect(values[0]).toBeCloseTo(3, 12);
    expect(values[1]).toBeCloseTo(1, 12);
    expect(values[2]).toBeCloseTo(0.5, 12);
    expect(Math.abs(dot(axes[0], [Math.SQRT1_2, Math.SQRT1_2, 0]))).toBeCloseTo(1, 12);
  });

  it('are square unit vectors that the table only stretches, whatever it is', () => {
    const entry = fc.double({ min: -1e4, max: 1e4, noNaN: true });
    fc.assert(
      fc.property(fc.tuple(entry, entry, entry, entry, entry, entry), ([a, b, c, d, e, f]) => {
        const m: [Vec3, Vec3, Vec3] = [
          [a, b, c],
          [b, d, e],
          [c, e, f],
        ];
        const size = Math.max(1e-300, ...m.flat().map(Math.abs));
        const { axes, values } = principalAxes(m);
        expect(values[0]).toBeGreaterThanOrEqual(values[1]);
        expect(values[1]).toBeGreaterThanOrEqual(values[2]);
        axes.forEach((axis, k) => {
          expect(dot(axis, axis)).toBeCloseTo(1, 9);
          expect(dot(axis, axes[(k + 1) % 3]!)).toBeCloseTo(0, 9);
          times(m, axis).forEach((v, i) => {
            expect(Math.abs(v - values[k]! * axis[i]!) / size).toBeLessThan(1e-9);
          });
        });
      }),
      { numRuns: 500 },
    );
  });
});
