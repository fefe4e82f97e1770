import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  along,
  angleBetween,
  apply,
  cross,
  distanceFromLine,
  dot,
  fitLine,
  fitPlane,
  length,
  point,
  rotated,
  subtract,
  unitSquareTo,
  type Vec3,
} from './index.ts';
import { anyMotion, anySeed, type Numbers, numbers } from './random.fixture.ts';

/** Angle between two directions whose sign is arbitrary. */
const apart = (a: Vec3, b: Vec3): number => Math.min(angleBetween(a, b), Math.PI - angleBetween(a, b));

const square = (axis: Vec3): Vec3 => unitSquareTo(Math.abs(axis[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0], axis);

const scattered = (random: Numbers, p: Vec3, sd: number): Vec3 => [
  p[0] + sd * random.normal(),
  p[1] + sd * random.normal(),
  p[2] + sd * random.normal(),
];

/** A cloud that is longest along one axis and thinnest along another, so that line and plane are both certain. */
function cloud(random: Numbers, count: number): readonly Vec3[] {
  const centre: Vec3 = [random.between(-300, 300), random.between(-300, 300), random.between(-300, 300)];
  const first = random.direction();
  const second = square(first);
  const third = cross(first, second);
  return Array.from({ length: count }, () =>
    along(along(along(centre, first, 40 * random.normal()), second, 12 * random.normal()), third, 3 * random.normal()),
  );
}

describe('the line of least squared distance', () => {
  it('through two points is the line through them', () => {
    const line = fitLine([
      [1, 2, 3],
      [4, 6, 15],
    ]);
    expect(line.centroid).toEqual([2.5, 4, 9]);
    expect(apart(line.direction, [3, 4, 12])).toBeLessThan(1e-9);
    // The mean square is held to 1e-14 of that along the line, of which the root is 1e-7.
    expect(line.rms).toBeLessThan(1e-6);
  });

  // By hand: four corners of a rectangle of 20 by 6 lie 3 from its long middle line.
  it('through the corners of a rectangle of 20 by 6 is its long middle line, 3 from all of them', () => {
    const line = fitLine([
      [-10, -3, 1],
      [10, -3, 1],
      [10, 3, 1],
      [-10, 3, 1],
    ]);
    expect(line.centroid).toEqual([0, 0, 1]);
    expect(apart(line.direction, [1, 0, 0])).toBeLessThan(1e-9);
    expect(line.rms).toBeCloseTo(3, 12);
  });

  it('finds a known line again from 400 points with 0.5 mm of noise, within six standard errors', () => {
    fc.assert(
      fc.property(anySeed, (seed) => {
        const random = numbers(seed);
        const [through, direction] = [scattered(random, [0, 0, 0], 100), random.direction()];
        const steps = Array.from({ length: 400 }, () => random.between(-60, 60));
        const line = fitLine(steps.map((t) => scattered(random, along(through, direction, t), 0.5)));
        // Straight-line regression, each of two directions: slope 0.5 / sqrt(sum of (t - mean)^2), place 0.5 / sqrt(n).
        const mean = steps.reduce((sum, t) => sum + t, 0) / steps.length;
        const spread = Math.sqrt(steps.reduce((sum, t) => sum + (t - mean) ** 2, 0));
        expect(apart(line.direction, direction)).toBeLessThan((6 * Math.SQRT2 * 0.5) / spread);
        const aside = length(cross(subtract(line.centroid, through), direction));
        expect(aside).toBeLessThan((6 * Math.SQRT2 * 0.5) / 20);
        // Two directions of noise: 0.5 sqrt 2.
        expect(Math.abs(line.rms / (0.5 * Math.SQRT2) - 1)).toBeLessThan(0.2);
      }),
      { numRuns: 50 },
    );
  });

  it('is no farther from its points than any line beside it, and its rms is that of their distances', () => {
    fc.assert(
      fc.property(anySeed, (seed) => {
        const random = numbers(seed);
        const points = cloud(random, 30);
        const line = fitLine(points);
        const rms = (centroid: Vec3, direction: Vec3): number =>
          Math.sqrt(points.reduce((sum, p) => sum + length(cross(subtract(p, centroid), direction)) ** 2, 0) / 30);
        expect(rms(line.centroid, line.direction)).toBeCloseTo(line.rms, 9);
        for (let k = 0; k < 20; k += 1) {
          const turned = along(line.direction, random.direction(), 10 ** random.between(-3, 0));
          const shifted = scattered(random, line.centroid, 10 ** random.between(-3, 1));
          expect(rms(shifted, turned.map((v) => v / length(turned)) as unknown as Vec3)).toBeGreaterThanOrEqual(
            line.rms - 1e-9,
          );
        }
      }),
    );
  });

  it('moves with its points', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('n', 'm'), (seed, motion) => {
        const points = cloud(numbers(seed), 30);
        const before = fitLine(points);
        const after = fitLine(points.map((p) => apply(motion, point('m', p)).xyz));
        expect(length(subtract(after.centroid, apply(motion, point('m', before.centroid)).xyz))).toBeLessThan(1e-9);
        expect(apart(after.direction, rotated(motion.rotation, before.direction))).toBeLessThan(1e-7);
        expect(after.rms).toBeCloseTo(before.rms, 8);
      }),
    );
  });

  it('counts a point of weight 3 as three points there, and one of weight 0 not at all', () => {
    const [a, b, c, d] = cloud(numbers(8), 4) as [Vec3, Vec3, Vec3, Vec3];
    const weighted = fitLine([a, b, c, d], [1, 3, 2, 0]);
    const repeated = fitLine([a, b, b, b, c, c]);
    expect(length(subtract(weighted.centroid, repeated.centroid))).toBeLessThan(1e-9);
    expect(apart(weighted.direction, repeated.direction)).toBeLessThan(1e-7);
    expect(weighted.rms).toBeCloseTo(repeated.rms, 9);
  });

  it('of points that are all one is at that point, with a direction of length 1 and no distance', () => {
    const line = fitLine(Array(5).fill([7, -8, 9]));
    expect(length(subtract(line.centroid, [7, -8, 9]))).toBeLessThan(1e-12);
    expect(length(line.direction)).toBeCloseTo(1, 12);
    expect(line.rms).toBeLessThan(1e-9);
  });

  it('cannot be had of no points, nor of points without weight', () => {
    expect(() => fitLine([])).toThrow('no points');
    expect(() => fitLine([[1, 2, 3]], [0])).toThrow('without weight');
    expect(() => fitLine([[1, 2, 3]], [Number.NaN])).toThrow('without weight');
  });
});

describe('the distance from a line', () => {
  it('is the height of the parallelogram of the direction and the way to the point', () => {
    fc.assert(
      fc.property(anySeed, (seed) => {
        const random = numbers(seed);
        const line = { centroid: scattered(random, [0, 0, 0], 100), direction: random.direction(), rms: 0 };
        const p = scattered(random, [0, 0, 0], 100);
        expect(distanceFromLine(line, p)).toBeCloseTo(length(cross(subtract(p, line.centroid), line.direction)), 7);
      }),
    );
  });

  it('of a point on the line is zero, however far along', () => {
    const line = { centroid: [1, 2, 3] as Vec3, direction: [0.6, 0.8, 0] as Vec3, rms: 0 };
    // The square of 500 mm is held to 3e-11, of which the root is 5e-6.
    expect(distanceFromLine(line, [301, 402, 3])).toBeLessThan(1e-5);
    expect(distanceFromLine(line, [1, 2, 10])).toBeCloseTo(7, 12);
  });
});

describe('the plane of least squared distance', () => {
  it('through three points is the plane through them', () => {
    // x + y + z = 6 holds all three.
    const plane = fitPlane([
      [6, 0, 0],
      [0, 6, 0],
      [0, 0, 6],
    ]);
    expect(plane.centroid.map((v) => Math.round(v * 1e9) / 1e9)).toEqual([2, 2, 2]);
    expect(apart(plane.normal, [1, 1, 1])).toBeLessThan(1e-9);
    expect(plane.rms).toBeLessThan(1e-6);
  });

  // By hand: the eight corners of a box of 20 by 10 by 4 lie 2 from its middle plane.
  it('through the corners of a box of 20 by 10 by 4 is its middle plane, 2 from all of them', () => {
    const corners = [-10, 10].flatMap((x) => [-5, 5].flatMap((y) => [-2, 2].map((z): Vec3 => [x, y, z + 1])));
    const plane = fitPlane(corners);
    expect(plane.centroid).toEqual([0, 0, 1]);
    expect(apart(plane.normal, [0, 0, 1])).toBeLessThan(1e-9);
    expect(plane.rms).toBeCloseTo(2, 12);
  });

  it('finds a known plane again from 400 points with 0.5 mm of noise, within six standard errors', () => {
    fc.assert(
      fc.property(anySeed, (seed) => {
        const random = numbers(seed);
        const [through, normal] = [scattered(random, [0, 0, 0], 100), random.direction()];
        const [u, v] = [square(normal), cross(normal, square(normal))];
        const points = Array.from({ length: 400 }, () =>
          scattered(random, along(along(through, u, random.between(-30, 30)), v, random.between(-30, 30)), 0.5),
        );
        const plane = fitPlane(points);
        // 400 points even over 60 mm: spread 60 / sqrt(12) each way; sd of a tilt 0.5 / (spread sqrt(400)), of the place 0.5 / 20.
        expect(apart(plane.normal, normal)).toBeLessThan((6 * Math.SQRT2 * 0.5) / (17.3 * 20));
        expect(Math.abs(dot(subtract(plane.centroid, through), normal))).toBeLessThan((6 * 0.5) / 20);
        expect(Math.abs(plane.rms / 0.5 - 1)).toBeLessThan(0.2);
      }),
      { numRuns: 50 },
    );
  });

  it('is no farther from its points than any plane beside it, and its rms is that of their distances', () => {
    fc.assert(
      fc.property(anySeed, (seed) => {
        const random = numbers(seed);
        const points = cloud(random, 30);
        const plane = fitPlane(points);
        const rms = (centroid: Vec3, normal: Vec3): number =>
          Math.sqrt(points.reduce((sum, p) => sum + dot(subtract(p, centroid), normal) ** 2, 0) / 30);
        expect(rms(plane.centroid, plane.normal)).toBeCloseTo(plane.rms, 9);
        for (let k = 0; k < 20; k += 1) {
          const turned = along(plane.normal, random.direction(), 10 ** random.between(-3, 0));
          const shifted = scattered(random, plane.centroid, 10 ** random.between(-3, 1));
          expect(rms(shifted, turned.map((v) => v / length(turned)) as unknown as Vec3)).toBeGreaterThanOrEqual(
            plane.rms - 1e-9,
          );
        }
      }),
    );
  });

  it('moves with its points', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('n', 'm'), (seed, motion) => {
        const points = cloud(numbers(seed), 30);
        const before = fitPlane(points);
        const after = fitPlane(points.map((p) => apply(motion, point('m', p)).xyz));
        expect(length(subtract(after.centroid, apply(motion, point('m', before.centroid)).xyz))).toBeLessThan(1e-9);
        expect(apart(after.normal, rotated(motion.rotation, before.normal))).toBeLessThan(1e-7);
        expect(after.rms).toBeCloseTo(before.rms, 8);
      }),
    );
  });

  it('counts a point of weight 2 as two points there', () => {
    const [a, b, c, d] = cloud(numbers(21), 4) as [Vec3, Vec3, Vec3, Vec3];
    const weighted = fitPlane([a, b, c, d], [1, 2, 1, 2]);
    const repeated = fitPlane([a, b, b, c, d, d]);
    expect(length(subtract(weighted.centroid, repeated.centroid))).toBeLessThan(1e-9);
    expect(apart(weighted.normal, repeated.normal)).toBeLessThan(1e-7);
    expect(weighted.rms).toBeCloseTo(repeated.rms, 9);
  });

  it('through points in line holds that line, though its turn about it is arbitrary', () => {
    const plane = fitPlane([0, 1, 2, 5].map((t): Vec3 => [1 + 2 * t, 3 - t, 4 + 2 * t]));
    expect(length(plane.normal)).toBeCloseTo(1, 12);
    expect(Math.abs(dot(plane.normal, [2 / 3, -1 / 3, 2 / 3]))).toBeLessThan(1e-9);
    expect(plane.rms).toBeLessThan(1e-6);
  });

  it('cannot be had of no points', () => {
    expect(() => fitPlane([])).toThrow('no points');
  });

  it('cannot be had of a point without a place, and says so', () => {
    expect(() =>
      fitPlane([
        [0, 0, 0],
        [1, 0, 0],
        [0, Number.NaN, 0],
      ]),
    ).toThrow('without a place');
  });
});
