import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  apply,
  compose,
  distance,
  expectOk,
  invert,
  type Point3,
  point,
  register,
  rotated,
  rotationAbout,
  scaled,
  type Transform,
  transform,
  type Vec3,
} from './index.ts';
import { anyMotion, anySeed, type Numbers, numbers } from './random.fixture.ts';

/** Points of a body 200 mm long, 100 wide and 60 thick, anywhere. */
function body(random: Numbers, count: number): readonly Point3<'a'>[] {
  const at = scaled(random.direction(), random.between(0, 400));
  return Array.from({ length: count }, () =>
    point('a', [at[0] + random.between(-100, 100), at[1] + random.between(-50, 50), at[2] + random.between(-30, 30)]),
  );
}

const noisy = (random: Numbers, p: Point3<'b'>, sd: number): Point3<'b'> => ({
  frame: p.frame,
  xyz: [p.xyz[0] + sd * random.normal(), p.xyz[1] + sd * random.normal(), p.xyz[2] + sd * random.normal()],
});

const determinant = ([a, b, c]: readonly [Vec3, Vec3, Vec3]): number =>
  a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0]);

describe('the rigid motion between two sets of points', () => {
  it('is found again, whatever it was, by name and to 1 nm', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('b', 'a'), fc.integer({ min: 4, max: 20 }), (seed, motion, count) => {
        const from = body(numbers(seed), count);
        const found = expectOk(
          register(
            from,
            from.map((p) => apply(motion, p)),
          ),
          'registration',
        );
        expect(found.toFromFrom).toMatchObject({ to: 'b', from: 'a' });
        expect(found.rmsMm).toBeLessThan(1e-6);
        // Elsewhere than the points too: 100 mm is turned as it should be.
        for (const xyz of [
          [0, 0, 0],
          [100, 0, 0],
          [0, 100, 0],
          [0, 0, 100],
        ] satisfies Vec3[]) {
          const p = point('a', xyz);
          expect(distance(apply(found.toFromFrom, p), apply(motion, p))).toBeLessThan(1e-6);
        }
      }),
    );
  });

  it.each([
    { axis: [1, 0, 0], angle: 0, why: 'none' },
    { axis: [1, 0, 0], angle: Math.PI, why: 'half a turn about the first axis' },
    { axis: [0, 0.6, 0.8], angle: Math.PI, why: 'half a turn about an oblique axis' },
    { axis: [0, 0, 1], angle: Math.PI / 2, why: 'a quarter turn' },
    { axis: [0, 1, 0], angle: 1e-7, why: 'a ten millionth of a radian' },
  ] satisfies readonly { axis: Vec3; angle: number; why: string }[])('is found where it is $why', ({ axis, angle }) => {
    const motion = transform('b', 'a', rotationAbout(axis, angle), [1, -2, 3]);
    const from = body(numbers(48), 6);
    const found = expectOk(
      register(
        from,
        from.map((p) => apply(motion, p)),
      ),
      'registration',
    ).toFromFrom;
    motion.rotation.forEach((row, r) => {
      row.forEach((value, c) => {
        expect(Math.abs(found.rotation[r as 0 | 1 | 2][c as 0 | 1 | 2] - value)).toBeLessThan(1e-11);
      });
    });
  });

  it('is found from three points, which no mirror can mislead: they lie in a plane', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('b', 'a'), (seed, motion) => {
        const random = numbers(seed);
        const from = [0, 1, 2].map((k) =>
          point('a', [40 * (k % 2) + random.between(-5, 5), 40 * (k >> 1) + random.between(-5, 5), 7]),
        );
        const found = expectOk(
          register(
            from,
            from.map((p) => apply(motion, p)),
          ),
          'registration',
        );
        expect(found.rmsMm).toBeLessThan(1e-6);
        expect(determinant(found.toFromFrom.rotation)).toBeCloseTo(1, 9);
        const above = point('a', [20, 20, 57]);
        expect(distance(apply(found.toFromFrom, above), apply(motion, above))).toBeLessThan(1e-5);
      }),
    );
  });

  it('with noise on flat sets stays a turn: it is never a mirror', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('b', 'a'), (seed, motion) => {
        const random = numbers(seed);
        const from = Array.from({ length: 12 }, () =>
          point('a', [random.between(-50, 50), random.between(-50, 50), 0.2 * random.normal()]),
        );
        const found = register(
          from,
          from.map((p) => noisy(random, apply(motion, p), 0.5)),
        );
        // Noise may make the mirror fit better, but not by so much: both leave what lies along the plane.
        expect(determinant(expectOk(found, 'registration').toFromFrom.rotation)).toBeCloseTo(1, 9);
      }),
    );
  });

  it('from 300 points with 0.5 mm of noise leaves 0.5 root 3 mm, and no motion beside it leaves less', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('b', 'a'), (seed, motion) => {
        const random = numbers(seed);
        const from = body(random, 300);
        const to = from.map((p) => noisy(random, apply(motion, p), 0.5));
        const found = expectOk(register(from, to), 'registration');
        // 300 x 3 numbers less six unknowns: the rms is 0.866 to within 2.4 % (one standard deviation).
        expect(Math.abs(found.rmsMm / (0.5 * Math.sqrt(3)) - 1)).toBeLessThan(0.15);
        const rms = (t: Transform<'b', 'a'>): number =>
          Math.sqrt(from.reduce((sum, p, i) => sum + distance(apply(t, p), to[i]!) ** 2, 0) / from.length);
        expect(rms(found.toFromFrom)).toBeCloseTo(found.rmsMm, 9);
        for (let k = 0; k < 10; k += 1) {
          const turn = rotationAbout(random.direction(), 10 ** random.between(-6, 0));
          const step = scaled(random.direction(), 10 ** random.between(-4, 1));
          const { rotation, translation } = found.toFromFrom;
          const beside: Transform<'b', 'a'> = {
            to: 'b',
            from: 'a',
            rotation: [rotated(rotation, turn[0]), rotated(rotation, turn[1]), rotated(rotation, turn[2])],
            translation: [translation[0] + step[0], translation[1] + step[1], translation[2] + step[2]],
          };
          expect(determinant(beside.rotation)).toBeCloseTo(1, 9);
          expect(rms(beside)).toBeGreaterThanOrEqual(found.rmsMm - 1e-9);
        }
      }),
      { numRuns: 40 },
    );
  });

  it('back is the inverse of the motion there', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('b', 'a'), (seed, motion) => {
        const random = numbers(seed);
        const from = body(random, 10);
        const to = from.map((p) => noisy(random, apply(motion, p), 1));
        const there = expectOk(register(from, to), 'there').toFromFrom;
        const back = expectOk(register(to, from), 'back').toFromFrom;
        const round = compose(back, there);
        for (const p of from) expect(distance(apply(round, p), p)).toBeLessThan(1e-6);
        expect(distance(apply(back, to[0]!), apply(invert(there), to[0]!))).toBeLessThan(1e-6);
      }),
    );
  });
});

describe('a mirror image', () => {
  it('across any plane and after any motion is told, with what the motion would leave and the mirror does not', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('b', 'a'), (seed, motion) => {
        const random = numbers(seed);
        const from = body(random, 12);
        const normal = random.direction();
        const offset = random.between(-100, 100);
        const to = from.map((p) => {
          const height = p.xyz[0] * normal[0] + p.xyz[1] * normal[1] + p.xyz[2] * normal[2] - offset;
          const [x, y, z] = p.xyz;
          const across: Vec3 = [x - 2 * height * normal[0], y - 2 * height * normal[1], z - 2 * height * normal[2]];
          return noisy(random, apply(motion, point('a', across)), 0.3);
        });
        const refused = register(from, to);
        expect(refused).toMatchObject({ ok: false, error: { kind: 'mirrored' } });
        if (refused.ok || refused.error.kind !== 'mirrored') return;
        expect(refused.error.mirroredRmsMm).toBeLessThan(1);
        expect(refused.error.rigidRmsMm).toBeGreaterThan(2 * refused.error.mirroredRmsMm);
      }),
    );
  });
});

describe('points that tell no motion', () => {
  const line = (count: number): readonly Point3<'a'>[] =>
    Array.from({ length: count }, (_, k) => point('a', [3 * k + 1, 5 - k, 2 * k]));
  const anywhere = (count: number): readonly Point3<'b'>[] => body(numbers(2), count).map((p) => point('b', p.xyz));

  it.each([0, 1, 2])('are %d: three are needed', (count) => {
    expect(register(line(count), anywhere(count))).toEqual({
      ok: false,
      error: { kind: 'too-few-points', found: count, needed: 3 },
    });
  });

  it.each([
    { points: line(3), why: 'three in line' },
    { points: line(12), why: 'twelve in line' },
    { points: Array.from({ length: 5 }, () => point('a', [1, 2, 3])), why: 'five that are one' },
  ])('are $why', ({ points }) => {
    expect(register(points, anywhere(points.length))).toMatchObject({
      ok: false,
      error: { kind: 'points-nearly-collinear', required: 1e-3 },
    });
  });

  // By hand: four points at +/-100 along and +/-h across have singular values 200 and 2h.
  it.each([
    { h: 0.099, ok: false },
    { h: 0.101, ok: true },
  ])('are those that lie within a thousandth of a line: $h mm across 100 mm is taken: $ok', ({ h, ok }) => {
    const cross = (frame: 'a' | 'b') =>
      [
        [100, h, 0],
        [100, -h, 0],
        [-100, h, 0],
        [-100, -h, 0],
      ].map((xyz) => ({ frame, xyz: xyz as unknown as Vec3 }));
    const found = register(cross('a') as readonly Point3<'a'>[], cross('b') as readonly Point3<'b'>[]);
    expect(found.ok).toBe(ok);
    if (!found.ok && found.error.kind === 'points-nearly-collinear') {
      expect(found.error.ratio).toBeCloseTo(h / 100, 9);
    }
  });

  it('are those whose partners are in line', () => {
    const partners = line(6).map((p) => point('b', p.xyz));
    const from = body(numbers(3), 6);
    expect(register(from, partners)).toMatchObject({ ok: false, error: { kind: 'points-nearly-collinear' } });
  });

  it('without a place are broken code, on either side', () => {
    const [first, ...rest] = anywhere(5);
    const lost = [point('b', [Number.NaN, first!.xyz[1], first!.xyz[2]]), ...rest];
    expect(() => register(body(numbers(3), 5), lost)).toThrow('without a place');
    expect(() => register(lost, anywhere(5))).toThrow('without a place');
  });

  it('with partners of another number are broken code', () => {
    expect(() => register(line(4), anywhere(5))).toThrow('4 points have 5 partners');
  });
});
