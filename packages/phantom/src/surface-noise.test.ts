import { vertex, vertexCount } from '@kerfline/geometry';
import { randomStream, summary } from '@kerfline/uncertainty';
import { describe, expect, it } from 'vitest';
import { sphere } from './primitives.ts';
import { sparseIsosurface } from './sparse-isosurface.ts';
import { displaced } from './surface-noise.ts';

const ball = sparseIsosurface('made', sphere([0, 0, 0], 20), { min: [-24, -24, -24], max: [24, 24, 24] }, 3, 1);
const noisy = (seed: number, correlationMm = 6) =>
  displaced(ball, { sdMm: 0.4, correlationMm }, randomStream(seed, 'noise'));
const heights = (mesh: typeof ball): number[] =>
  Array.from({ length: vertexCount(mesh) }, (_, v) => Math.hypot(...vertex(mesh, v)) - 20);

describe('segmentation noise', () => {
  it('[PH7] has the stated spread over many seeds', () => {
    const all = Array.from({ length: 60 }, (_, seed) => heights(noisy(seed))).flat();
    const { mean, sd } = summary(all);
    expect(Math.abs(mean)).toBeLessThan(0.03);
    expect(sd).toBeGreaterThan(0.38);
    expect(sd).toBeLessThan(0.42);
  });

  it('[PH7] goes together over the correlation length as exp(-d2 / 2 c2)', () => {
    const a = 0;
    const partners = Array.from({ length: vertexCount(ball) }, (_, v) => v).filter((v) => {
      const d = Math.hypot(...vertex(ball, a).map((x, k) => x - vertex(ball, v)[k]!));
      return Math.abs(d - 6) < 0.8;
    });
    let [cross, square] = [0, 0];
    for (let seed = 0; seed < 400; seed += 1) {
      const h = heights(noisy(seed));
      for (const v of partners) {
        cross += h[a]! * h[v]!;
        square += (h[a]! ** 2 + h[v]! ** 2) / 2;
      }
    }
    expect(partners.length).toBeGreaterThan(5);
    expect(cross / square).toBeGreaterThan(Math.exp(-0.5) - 0.1);
    expect(cross / square).toBeLessThan(Math.exp(-0.5) + 0.1);
  });

  it('[PH7] moves vertices along the normal: on a sphere, straight from the middle', () => {
    const moved = noisy(3);
    for (let v = 0; v < vertexCount(ball); v += 17) {
      const [p, q] = [vertex(ball, v), vertex(moved, v)];
      const along = (p[0] * q[0] + p[1] * q[1] + p[2] * q[2]) / (Math.hypot(...p) * Math.hypot(...q));
      expect(along).toBeGreaterThan(0.99999);
    }
  });

  it('[PH1] is the same to the bit for the same seed, and another for another', () => {
    expect(noisy(5).positions).toEqual(noisy(5).positions);
    expect(noisy(5).positions).not.toEqual(noisy(6).positions);
  });
});
