import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  angleBetween,
  apply,
  applyToPlane,
  distance,
  expectOk,
  mm,
  planeAt,
  planeThrough,
  point,
  projectedOn,
  scaled,
  shifted,
  signedDistance,
  unit,
  type Vec3,
} from './index.ts';
import { anyMotion, anySeed, numbers } from './random.fixture.ts';

const at = (...xyz: Vec3) => point('m', xyz);
const anyPoint = anySeed.map((seed) => {
  const random = numbers(seed);
  return at(random.between(-200, 200), random.between(-200, 200), random.between(-200, 200));
});
const anyThree = fc.tuple(anyPoint, anyPoint, anyPoint).filter((points) => planeThrough(...points, mm(5)).ok);

describe('the plane through three points', () => {
  it('has its normal where the three turn right-handed about it, and the offset of the points along it', () => {
    // By hand: x, then y, at height 7 turn about z.
    const plane = expectOk(planeThrough(at(0, 0, 7), at(3, 0, 7), at(0, 4, 7), mm(1)), 'plane');
    expect(plane).toEqual({ frame: 'm', normal: [0, 0, 1], offset: 7 });
    const other = expectOk(planeThrough(at(0, 0, 7), at(0, 4, 7), at(3, 0, 7), mm(1)), 'plane');
    expect(other.normal[2]).toBe(-1);
    expect(other.offset).toBe(-7);
  });

  it('holds all three, whatever they are, and its normal has length 1', () => {
    fc.assert(
      fc.property(anyThree, ([a, b, c]) => {
        const plane = expectOk(planeThrough(a, b, c, mm(5)), 'plane');
        expect(Math.hypot(...plane.normal)).toBeCloseTo(1, 12);
        for (const p of [a, b, c]) expect(Math.abs(signedDistance(plane, p))).toBeLessThan(1e-9);
      }),
    );
  });

  it('is the same from whichever point one begins, and turned over when two are exchanged', () => {
    fc.assert(
      fc.property(anyThree, ([a, b, c]) => {
        const plane = expectOk(planeThrough(a, b, c, mm(5)), 'plane');
        const onward = expectOk(planeThrough(b, c, a, mm(5)), 'plane');
        const back = expectOk(planeThrough(b, a, c, mm(5)), 'plane');
        expect(angleBetween(onward.normal, plane.normal)).toBeLessThan(1e-9);
        expect(onward.offset).toBeCloseTo(plane.offset, 6);
        expect(angleBetween(back.normal, scaled(plane.normal, -1))).toBeLessThan(1e-9);
        expect(back.offset).toBeCloseTo(-plane.offset, 6);
      }),
    );
  });

  it('moves with its points', () => {
    fc.assert(
      fc.property(anyThree, anyMotion('n', 'm'), ([a, b, c], motion) => {
        const moved = applyToPlane(motion, expectOk(planeThrough(a, b, c, mm(5)), 'plane'));
        const again = expectOk(
          planeThrough(apply(motion, a), apply(motion, b), apply(motion, c), mm(5 - 1e-9)),
          'plane of the moved points',
        );
        expect(again.frame).toBe('n');
        expect(angleBetween(again.normal, moved.normal)).toBeLessThan(1e-9);
        expect(again.offset).toBeCloseTo(moved.offset, 6);
      }),
    );
  });

  // By hand: sides 3, 4 and 5 have an area of 6, so the height over the longest is 2.4.
  it.each([
    { points: [at(0, 0, 0), at(3, 0, 0), at(0, 4, 0)], why: 'from the right angle' },
    { points: [at(3, 0, 0), at(0, 0, 0), at(0, 4, 0)], why: 'from a sharp one' },
    { points: [at(0, 4, 0), at(3, 0, 0), at(0, 0, 0)], why: 'from the other' },
  ] as const)(
    'is taken while the triangle of sides 3, 4, 5 is 2.4 mm high over its longest side, $why',
    ({ points }) => {
      const [a, b, c] = points;
      expect(planeThrough(a, b, c, mm(2.399)).ok).toBe(true);
      const refused = planeThrough(a, b, c, mm(2.401));
      expect(refused).toMatchObject({ ok: false, error: { kind: 'points-nearly-collinear', requiredMm: 2.401 } });
      expect(!refused.ok && refused.error.heightMm).toBeCloseTo(2.4, 12);
    },
  );

  it.each([
    { points: [at(0, 0, 0), at(1, 2, 3), at(2, 4, 6)], why: 'in line' },
    { points: [at(5, 5, 5), at(5, 5, 5), at(9, 0, 1)], why: 'of which two are one' },
    { points: [at(5, 5, 5), at(5, 5, 5), at(5, 5, 5)], why: 'that are all one' },
    { points: [at(Number.NaN, 0, 0), at(3, 0, 0), at(0, 4, 0)], why: 'of which one is not a number' },
    { points: [at(Number.POSITIVE_INFINITY, 0, 0), at(3, 0, 0), at(0, 4, 0)], why: 'of which one is infinitely far' },
  ] as const)('is refused for points $why', ({ points }) => {
    const [a, b, c] = points;
    expect(planeThrough(a, b, c, mm(1))).toMatchObject({ ok: false, error: { kind: 'points-nearly-collinear' } });
  });
});

describe('a plane at a point', () => {
  it('takes a normal of any length but zero', () => {
    expect(planeAt(at(1, 2, 3), [0, 0, 25])).toEqual({ frame: 'm', normal: [0, 0, 1], offset: 3 });
    expect(() => planeAt(at(1, 2, 3), [0, 0, 0])).toThrow('no direction');
  });
});

describe('the signed distance from a plane', () => {
  const plane = planeAt(at(0, 0, 5), [0, 0, 1]);

  it('is positive on the side to which the normal points', () => {
    expect(signedDistance(plane, at(40, -7, 8))).toBe(3);
    expect(signedDistance(plane, at(40, -7, 1))).toBe(-4);
    expect(signedDistance(planeAt(at(0, 0, 5), [0, 0, -1]), at(40, -7, 8))).toBe(-3);
  });

  // By hand: 2x - y + 2z = 9 lies 3 from the origin, and (4, 0, 8) is (8 + 16 - 9) / 3 = 5 beyond it.
  it('from 2x - y + 2z = 9 is -3 at the origin and 5 at (4, 0, 8)', () => {
    const oblique = planeAt(at(2, -1, 2), [2, -1, 2]);
    expect(signedDistance(oblique, at(0, 0, 0))).toBeCloseTo(-3, 12);
    expect(signedDistance(oblique, at(4, 0, 8))).toBeCloseTo(5, 12);
  });

  it('shrinks by as much as the plane is shifted along its normal', () => {
    expect(signedDistance(shifted(plane, mm(2)), at(0, 0, 8))).toBe(1);
    expect(signedDistance(shifted(plane, mm(-2)), at(0, 0, 8))).toBe(5);
  });

  it('leads to the nearest point of the plane: on it, as far away as the distance says, and no other is nearer', () => {
    fc.assert(
      fc.property(anyThree, anyPoint, anySeed, ([a, b, c], p, seed) => {
        const any = expectOk(planeThrough(a, b, c, mm(5)), 'plane');
        const foot = projectedOn(any, p);
        expect(Math.abs(signedDistance(any, foot))).toBeLessThan(1e-9);
        expect(distance(foot, p)).toBeCloseTo(Math.abs(signedDistance(any, p)), 9);
        // Other points of the plane are mixtures of the three.
        const random = numbers(seed);
        for (let k = 0; k < 20; k += 1) {
          const [u, v] = [random.between(-3, 3), random.between(-3, 3)];
          const [x, y, z] = [0, 1, 2].map(
            (i) => (1 - u - v) * a.xyz[i]! + u * b.xyz[i]! + v * c.xyz[i]!,
          ) as unknown as Vec3;
          expect(distance(at(x, y, z), p)).toBeGreaterThan(distance(foot, p) - 1e-9);
        }
      }),
    );
  });

  it('is that along the normal alone: a step within the plane does not change it', () => {
    fc.assert(
      fc.property(anyPoint, anyPoint, anySeed, (through, p, seed) => {
        const random = numbers(seed);
        const normal = random.direction();
        const any = planeAt(through, normal);
        const across = unit([normal[1] - normal[2], normal[2] - normal[0], normal[0] - normal[1]]);
        const step = random.between(-100, 100);
        const beside = at(p.xyz[0] + step * across[0], p.xyz[1] + step * across[1], p.xyz[2] + step * across[2]);
        expect(signedDistance(any, beside)).toBeCloseTo(signedDistance(any, p), 9);
      }),
    );
  });
});
