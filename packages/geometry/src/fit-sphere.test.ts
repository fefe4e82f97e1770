import fc from 'fast-check';
import { determinant, inverse, Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import {
  along,
  apply,
  expectOk,
  fitSphereRobust,
  length,
  point,
  type RobustSphereOptions,
  refineSphere,
  rotated,
  scaled,
  sphereThrough,
  subtract,
  type Vec3,
} from './index.ts';
import { anyMotion, anySeed, type Numbers, numbers } from './random.fixture.ts';

/** Directions of a cap about a pole, even over its area, out to `reach` radians. */
const capDirection = (random: Numbers, reach: number): Vec3 => {
  const z = random.between(Math.cos(reach), 1);
  const turn = random.between(0, 2 * Math.PI);
  const r = Math.sqrt(1 - z * z);
  return [r * Math.cos(turn), r * Math.sin(turn), z];
};

interface Surface {
  readonly points: readonly Vec3[];
  readonly normals: readonly Vec3[];
}

/** Places on a cap of a sphere with noise along the radius, and their outward normals. */
function cap(random: Numbers, centre: Vec3, radius: number, reach: number, count: number, sd: number): Surface {
  const normals = Array.from({ length: count }, () => capDirection(random, reach));
  return { points: normals.map((n) => along(centre, n, radius + sd * random.normal())), normals };
}

/** Places of something else, at least 6 mm from the sphere of radius 25 about `centre`, with any normal. */
function elsewhere(random: Numbers, centre: Vec3, count: number): Surface {
  const points = Array.from({ length: count }, () => {
    const away = random.between(0, 1) < 0.3 ? random.between(2, 19) : random.between(31, 90);
    return along(centre, random.direction(), away);
  });
  return { points, normals: points.map(() => random.direction()) };
}

const both = (a: Surface, b: Surface): Surface => ({
  points: [...a.points, ...b.points],
  normals: [...a.normals, ...b.normals],
});

const even = (surface: Surface): readonly number[] => surface.points.map(() => 1);

const options = (random: Numbers, more: Partial<RobustSphereOptions> = {}): RobustSphereOptions => ({
  minRadius: 15,
  maxRadius: 40,
  tolerance: 2.5,
  normalTolerance: 0.5,
  tries: 300,
  requiredShare: 0.4,
  random: () => random.between(0, 1),
  ...more,
});

describe('the sphere through four points', () => {
  it('is the one that they were taken from', () => {
    fc.assert(
      fc.property(anySeed, (seed) => {
        const random = numbers(seed);
        const centre = scaled(random.direction(), random.between(0, 300));
        const radius = random.between(10, 60);
        const [a, b, c, d] = [0, 1, 2, 3].map(() => along(centre, random.direction(), radius)) as [
          Vec3,
          Vec3,
          Vec3,
          Vec3,
        ];
        const [u, v, w] = [subtract(b, a), subtract(c, a), subtract(d, a)];
        // A flat tetrahedron tells little of its sphere.
        fc.pre(Math.abs(determinant(new Matrix([[...u], [...v], [...w]]))) > 0.02 * length(u) * length(v) * length(w));
        const sphere = sphereThrough(a, b, c, d)!;
        expect(length(subtract(sphere.centre, centre))).toBeLessThan(1e-8);
        expect(sphere.radius).toBeCloseTo(radius, 8);
      }),
    );
  });

  it.each([
    {
      points: [
        [0, 0, 5],
        [1, 0, 5],
        [0, 1, 5],
        [1, 1, 5.00001],
      ],
      why: 'of which one is a hundred thousandth out of plane',
    },
    {
      points: [
        [0, 0, 5],
        [1, 0, 5],
        [0, 1, 5],
        [1, 1, 5],
      ],
      why: 'that lie in one plane',
    },
    {
      points: [
        [0, 0, 0],
        [1, 1, 1],
        [2, 2, 2],
        [0, 1, 5],
      ],
      why: 'of which three are in line',
    },
    {
      points: [
        [0, 0, 0],
        [0, 0, 0],
        [2, 3, 2],
        [0, 1, 5],
      ],
      why: 'of which two are one',
    },
    {
      points: [
        [0, 0, Number.NaN],
        [1, 0, 5],
        [0, 1, 5],
        [1, 1, 9],
      ],
      why: 'of which one is not a number',
    },
  ] as const satisfies readonly { readonly points: readonly [Vec3, Vec3, Vec3, Vec3]; readonly why: string }[])(
    'is not there for points $why',
    ({ points }) => {
      expect(sphereThrough(...(points as [Vec3, Vec3, Vec3, Vec3]))).toBeUndefined();
    },
  );
});

describe('the sphere of least squared distance', () => {
  // By hand: six points along the axes at 19 and six at 21, opposite each other: radius 20, all 1 from it.
  it('through points at 19 and 21 from a centre, in balance, has radius 20 and an rms of 1', () => {
    const axes: Vec3[] = [
      [1, 0, 0],
      [-1, 0, 0],
      [0, 1, 0],
      [0, -1, 0],
      [0, 0, 1],
      [0, 0, -1],
    ];
    const centre: Vec3 = [100, -50, 20];
    const points = [19, 21].flatMap((r) => axes.map((axis) => along(centre, axis, r)));
    const fit = refineSphere(points, undefined, { centre: [103, -48, 25], radius: 30 });
    expect(length(subtract(fit.centre, centre))).toBeLessThan(1e-8);
    expect(fit.radius).toBeCloseTo(20, 9);
    expect(fit.rms).toBeCloseTo(1, 9);
    expect(fit.used).toBe(12);
  });

  // By hand: where the inner six weigh 3 and the outer six 1, the radius is their mean, 19.5, and the mean square 0.75.
  it('leans by weight: 3 on the inner and 1 on the outer gives radius 19.5 and an rms of root 0.75', () => {
    const axes: Vec3[] = [1, -1].flatMap((s): Vec3[] => [
      [s, 0, 0],
      [0, s, 0],
      [0, 0, s],
    ]);
    const points = [19, 21].flatMap((r) => axes.map((axis) => scaled(axis, r)));
    const fit = refineSphere(points, [3, 3, 3, 3, 3, 3, 1, 1, 1, 1, 1, 1], { centre: [2, 1, -3], radius: 25 });
    expect(length(fit.centre)).toBeLessThan(1e-8);
    expect(fit.radius).toBeCloseTo(19.5, 9);
    expect(fit.rms).toBeCloseTo(Math.sqrt(0.75), 9);
  });

  it('has no neighbour that is nearer to its weighted points, on part of a cap with noise', () => {
    fc.assert(
      fc.property(anySeed, (seed) => {
        const random = numbers(seed);
        const { points } = cap(random, [5, -8, 400], 25, 1, 60, 0.4);
        const weights = points.map(() => random.between(0.1, 5));
        const total = weights.reduce((sum, w) => sum + w, 0);
        const fit = refineSphere(points, weights, { centre: [5, -8, 400], radius: 25 });
        const rms = (centre: Vec3, radius: number): number =>
          Math.sqrt(
            points.reduce((sum, p, i) => sum + weights[i]! * (length(subtract(p, centre)) - radius) ** 2, 0) / total,
          );
        expect(rms(fit.centre, fit.radius)).toBeCloseTo(fit.rms, 9);
        for (let k = 0; k < 20; k += 1) {
          const step = 10 ** random.between(-5, 1);
          const beside = along(fit.centre, random.direction(), step);
          expect(rms(beside, fit.radius + step * random.normal())).toBeGreaterThanOrEqual(fit.rms - 1e-12);
        }
      }),
      { numRuns: 50 },
    );
  });

  it('counts a point of weight 2 as two points there', () => {
    const { points } = cap(numbers(14), [5, -8, 400], 25, 1, 20, 1);
    const start = { centre: [5, -8, 400] as Vec3, radius: 25 };
    const weighted = refineSphere(
      points,
      points.map((_, i) => (i < 7 ? 2 : 1)),
      start,
    );
    const repeated = refineSphere([...points, ...points.slice(0, 7)], undefined, start);
    expect(length(subtract(weighted.centre, repeated.centre))).toBeLessThan(1e-6);
    expect(weighted.radius).toBeCloseTo(repeated.radius, 6);
    expect(weighted.rms).toBeCloseTo(repeated.rms, 9);
  });
});

describe('a point at the place where the centre is looked for first', () => {
  it('pulls it nowhere, and the sphere of the others is found', () => {
    const { points } = cap(numbers(4), [1, 2, 3], 25, 2, 60, 0);
    const fit = refineSphere([[1, 2, 3], ...points], [1e-9, ...points.map(() => 1)], { centre: [1, 2, 3], radius: 25 });
    expect(fit.radius).toBeCloseTo(25, 6);
    expect(length(subtract(fit.centre, [1, 2, 3]))).toBeLessThan(1e-6);
  });
});

describe('the sphere among other things', () => {
  it.each([0.2, 0.3])(
    'is found from a cap with 0.3 mm of noise and a share of %d of gross outliers, within six standard errors',
    (share) => {
      fc.assert(
        fc.property(anySeed, (seed) => {
          const random = numbers(seed);
          const centre: Vec3 = [random.between(-50, 50), random.between(-50, 50), random.between(300, 500)];
          const sound = cap(random, centre, 25, 1.4, 200, 0.3);
          const count = Math.round((200 * share) / (1 - share));
          const all = both(sound, elsewhere(random, centre, count));
          const fit = expectOk(fitSphereRobust(all.points, all.normals, even(all), options(random)), 'sphere');
          // The covariance that least squares gives on these directions: 0.3^2 (J'J)^-1 with rows (direction, 1).
          const jacobian = new Matrix(sound.normals.map((n) => [...n, 1]));
          const covariance = inverse(jacobian.transpose().mmul(jacobian)).mul(0.3 ** 2);
          const sd = covariance.diagonal().map(Math.sqrt);
          [0, 1, 2].forEach((i) => {
            expect(Math.abs(fit.centre[i]! - centre[i]!)).toBeLessThan(6 * sd[i]!);
          });
          expect(Math.abs(fit.radius - 25)).toBeLessThan(6 * sd[3]!);
          expect(fit.used).toBe(200);
          expect(Math.abs(fit.rms / 0.3 - 1)).toBeLessThan(0.35);
        }),
        { numRuns: 40 },
      );
    },
  );

  it('is the one with the most area on it, not the most points', () => {
    const random = numbers(3);
    const many = cap(random, [0, 0, 0], 20, Math.PI, 300, 0);
    const few = cap(random, [100, 0, 0], 30, Math.PI, 100, 0);
    const all = both(many, few);
    const fit = (weight: number) =>
      expectOk(
        fitSphereRobust(
          all.points,
          all.normals,
          all.points.map((_, i) => (i < 300 ? 1 : weight)),
          options(random, { tries: 3000 }),
        ),
        'sphere',
      );
    expect(length(fit(1).centre)).toBeLessThan(1e-6);
    expect(fit(1).radius).toBeCloseTo(20, 6);
    expect(length(subtract(fit(9).centre, [100, 0, 0]))).toBeLessThan(1e-6);
    expect(fit(9).radius).toBeCloseTo(30, 6);
  });

  it('is a ball and no socket: with the normals turned inward it is not found', () => {
    const { points, normals } = cap(numbers(4), [0, 0, 0], 25, 2, 200, 0.2);
    const inward = normals.map((n) => scaled(n, -1));
    const weights = points.map(() => 1);
    expect(fitSphereRobust(points, normals, weights, options(numbers(1))).ok).toBe(true);
    expect(fitSphereRobust(points, inward, weights, options(numbers(1)))).toEqual({
      ok: false,
      error: { kind: 'no-sphere', bestShare: 0, requiredShare: 0.4 },
    });
  });

  it('has a radius within the limits, or is not found', () => {
    const sound = cap(numbers(5), [0, 0, 0], 25, 2, 200, 0);
    const within = (minRadius: number, maxRadius: number) =>
      fitSphereRobust(
        sound.points,
        sound.normals,
        even(sound),
        options(numbers(2), { minRadius, maxRadius, tolerance: 0.5 }),
      );
    expect(within(24, 26)).toMatchObject({ ok: true, value: { radius: expect.closeTo(25, 6) } });
    expect(within(10, 24).ok).toBe(false);
    expect(within(26, 60).ok).toBe(false);
  });

  it('is not found when the fit leaves the limits that its first guess kept: noisy points on 25 mm, at most 24 asked', () => {
    const noisy = cap(numbers(5), [0, 0, 0], 25, 1.4, 400, 0.5);
    const fitted = (maxRadius: number) =>
      fitSphereRobust(noisy.points, noisy.normals, even(noisy), options(numbers(2), { maxRadius }));
    expect(fitted(26).ok).toBe(true);
    expect(fitted(24)).toMatchObject({ ok: false, error: { kind: 'no-sphere' } });
  });

  it('says which share of the area lies on the best sphere when that is too little: 80 of 200, where half is asked', () => {
    const random = numbers(6);
    const all = both(cap(random, [0, 0, 0], 25, 2, 80, 0), elsewhere(random, [0, 0, 0], 120));
    const asked = (requiredShare: number) =>
      fitSphereRobust(all.points, all.normals, even(all), options(random, { requiredShare, tries: 2000 }));
    const refused = asked(0.5);
    expect(refused).toMatchObject({ ok: false, error: { kind: 'no-sphere', requiredShare: 0.5 } });
    expect(!refused.ok && refused.error.bestShare).toBeCloseTo(0.4, 12);
    expect(asked(0.4).ok).toBe(true);
  });

  it('moves with the surface', () => {
    const surface = both(cap(numbers(7), [0, 0, 0], 25, 1.4, 100, 0.3), elsewhere(numbers(8), [0, 0, 0], 40));
    const before = expectOk(
      fitSphereRobust(surface.points, surface.normals, even(surface), options(numbers(9))),
      'sphere',
    );
    fc.assert(
      fc.property(anyMotion('n', 'm'), (motion) => {
        const after = expectOk(
          fitSphereRobust(
            surface.points.map((p) => apply(motion, point('m', p)).xyz),
            surface.normals.map((n) => rotated(motion.rotation, n)),
            even(surface),
            options(numbers(9)),
          ),
          'moved sphere',
        );
        expect(length(subtract(after.centre, apply(motion, point('m', before.centre)).xyz))).toBeLessThan(1e-5);
        expect(after.radius).toBeCloseTo(before.radius, 5);
        expect(after.used).toBe(before.used);
      }),
      { numRuns: 30 },
    );
  });

  it.each([0, 1, 3])('is not found from %d points', (count) => {
    const { points, normals } = cap(numbers(10), [0, 0, 0], 25, 2, count, 0);
    expect(
      fitSphereRobust(
        points,
        normals,
        points.map(() => 1),
        options(numbers(1)),
      ),
    ).toEqual({
      ok: false,
      error: { kind: 'no-sphere', bestShare: 0, requiredShare: 0.4 },
    });
  });

  it('is found from four points and no more', () => {
    const normals: Vec3[] = [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
      [-0.6, -0.8, 0],
    ];
    const fit = fitSphereRobust(
      normals.map((n) => along([7, 8, 9], n, 25)),
      normals,
      [1, 1, 1, 1],
      options(numbers(1), { tries: 1000 }),
    );
    expect(fit).toMatchObject({ ok: true, value: { used: 4, radius: expect.closeTo(25, 6) } });
  });

  it('is not found on a plane, nor where all points are one', () => {
    const random = numbers(11);
    const flat = Array.from({ length: 100 }, (): Vec3 => [random.between(-30, 30), random.between(-30, 30), 4]);
    const up = flat.map((): Vec3 => [0, 0, 1]);
    const ones = flat.map(() => 1);
    for (const points of [flat, flat.map((): Vec3 => [1, 2, 3])]) {
      expect(fitSphereRobust(points, up, ones, options(random))).toEqual({
        ok: false,
        error: { kind: 'no-sphere', bestShare: 0, requiredShare: 0.4 },
      });
    }
  });

  it('does not count a place that is not a number', () => {
    const sound = cap(numbers(12), [0, 0, 0], 25, 2, 100, 0);
    const broken: Surface = { points: [[Number.NaN, 0, 0]], normals: [[1, 0, 0]] };
    const all = both(sound, broken);
    const fit = expectOk(fitSphereRobust(all.points, all.normals, even(all), options(numbers(13))), 'sphere');
    expect(fit.used).toBe(100);
    expect(fit.radius).toBeCloseTo(25, 6);
  });
});
