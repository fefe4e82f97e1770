import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  apply,
  applyToPlane,
  compose,
  direction,
  distance,
  invert,
  planeAt,
  point,
  rotationAbout,
  signedDistance,
  type Transform,
  transform,
  transformToAxes,
  turn,
  unit,
  type Vec3,
} from './index.ts';

const number = fc.double({ min: -500, max: 500, noNaN: true });
const anyXyz: fc.Arbitrary<Vec3> = fc.tuple(number, number, number);
const anyAxis: fc.Arbitrary<Vec3> = anyXyz.filter((v) => Math.hypot(...v) > 1).map(unit);
const anyPose = <T extends string, F extends string>(to: T, from: F): fc.Arbitrary<Transform<T, F>> =>
  fc
    .tuple(anyAxis, fc.double({ min: -Math.PI, max: Math.PI, noNaN: true }), anyXyz)
    .map(([axis, angle, t]) => transform(to, from, rotationAbout(axis, angle), t));

describe('a rigid transform', () => {
  it('turns right-handed: +90 degrees about z carries x onto y', () => {
    const quarter = transform('b', 'a', rotationAbout([0, 0, 1], Math.PI / 2), [0, 0, 0]);
    const moved = apply(quarter, point('a', [10, 0, 5])).xyz;
    expect(moved[0]).toBeCloseTo(0, 12);
    expect(moved[1]).toBeCloseTo(10, 12);
    expect(moved[2]).toBeCloseTo(5, 12);
  });

  it('undoes itself: invert(pose) after pose moves no point by more than 1 nm', () => {
    fc.assert(
      fc.property(anyPose('b', 'a'), anyXyz, (pose, xyz) => {
        const back = compose(invert(pose), pose);
        expect(distance(apply(back, point('a', xyz)), point('a', xyz))).toBeLessThan(1e-6);
      }),
    );
  });

  it('keeps the distance between any two points', () => {
    fc.assert(
      fc.property(anyPose('b', 'a'), anyXyz, anyXyz, (pose, p, q) => {
        const before = distance(point('a', p), point('a', q));
        expect(distance(apply(pose, point('a', p)), apply(pose, point('a', q)))).toBeCloseTo(before, 8);
      }),
    );
  });

  it('is associative, so a chain may be composed from either end', () => {
    fc.assert(
      fc.property(anyPose('d', 'c'), anyPose('c', 'b'), anyPose('b', 'a'), anyXyz, (dc, cb, ba, xyz) => {
        const left = apply(compose(compose(dc, cb), ba), point('a', xyz));
        const right = apply(compose(dc, compose(cb, ba)), point('a', xyz));
        expect(distance(left, right)).toBeLessThan(1e-6);
      }),
    );
  });

  it('carries a plane so that every point keeps its signed distance', () => {
    fc.assert(
      fc.property(anyPose('b', 'a'), anyXyz, anyAxis, anyXyz, (pose, through, normal, xyz) => {
        const plane = planeAt(point('a', through), normal);
        const before = signedDistance(plane, point('a', xyz));
        expect(signedDistance(applyToPlane(pose, plane), apply(pose, point('a', xyz)))).toBeCloseTo(before, 7);
      }),
    );
  });

  it('turns a direction without moving it', () => {
    const far = transform('b', 'a', rotationAbout([0, 0, 1], Math.PI / 2), [100, 200, 300]);
    const [x, y, z] = turn(far, direction('a', [2, 0, 0])).direction;
    expect([x, y, z].map((v) => Math.round(v * 1e12) / 1e12)).toEqual([0, 1, 0]);
  });

  it('into axes puts the origin at zero and the third axis along z', () => {
    fc.assert(
      fc.property(anyXyz, anyAxis, anyAxis, (origin, third, second) => {
        fc.pre(Math.abs(third[0] * second[0] + third[1] * second[1] + third[2] * second[2]) < 0.99);
        const local = transformToAxes('local', point('a', origin), third, second);
        const tip: Vec3 = [origin[0] + 7 * third[0], origin[1] + 7 * third[1], origin[2] + 7 * third[2]];
        const seen = apply(local, point('a', tip)).xyz;
        expect(Math.hypot(seen[0], seen[1], seen[2] - 7)).toBeLessThan(1e-6);
      }),
    );
  });
});
