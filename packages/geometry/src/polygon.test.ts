import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  clippedTo,
  convexHull,
  distanceOutside,
  extremePoint,
  insidePolygon,
  nearestOnEdge,
  type Polygon,
  polygonArea,
  polygonCentroid,
  polygonSecondMoments,
  refined,
} from './index.ts';

const rectangle: Polygon = [
  [10, 20],
  [16, 20],
  [16, 24],
  [10, 24],
];

describe('a polygon', () => {
  it('6 by 4 has area 24, its centre in the middle and second moments b h3/12 and h b3/12', () => {
    expect(polygonArea(rectangle)).toBe(24);
    expect(polygonArea([...rectangle].reverse())).toBe(-24);
    expect(polygonCentroid(rectangle)).toEqual([13, 22]);
    const m = polygonSecondMoments(rectangle);
    expect(m.xx).toBeCloseTo((4 * 6 ** 3) / 12, 10);
    expect(m.yy).toBeCloseTo((6 * 4 ** 3) / 12, 10);
    expect(m.xy).toBeCloseTo(0, 10);
  });

  it('cut in two by any line keeps its area between the halves', () => {
    const coordinate = fc.double({ min: -20, max: 20, noNaN: true });
    fc.assert(
      fc.property(fc.double({ min: 0, max: 7, noNaN: true }), coordinate, (angle, offset) => {
        const hull = convexHull([...rectangle, [3, 9], [22, 31], [5, 30]]);
        const n: [number, number] = [Math.cos(angle), Math.sin(angle)];
        const o = offset + n[0] * 12 + n[1] * 22;
        const below = clippedTo(hull, n, o);
        const above = clippedTo(hull, [-n[0], -n[1]], -o);
        expect(polygonArea(below) + polygonArea(above)).toBeCloseTo(polygonArea(hull), 8);
      }),
    );
  });

  it('has a hull that turns counter-clockwise, holds every point, and is convex', () => {
    const coordinate = fc.integer({ min: -50, max: 50 });
    fc.assert(
      fc.property(fc.array(fc.tuple(coordinate, coordinate), { minLength: 5, maxLength: 60 }), (points) => {
        fc.pre(new Set(points.map((p) => p[0])).size > 2 && new Set(points.map((p) => p[1])).size > 2);
        const hull = convexHull(points);
        fc.pre(hull.length > 2);
        for (let i = 0; i < hull.length; i += 1) {
          const a = hull[i]!;
          const b = hull[(i + 1) % hull.length]!;
          for (const p of points) {
            const left = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
            expect(left).toBeGreaterThanOrEqual(0);
          }
        }
      }),
    );
  });

  it('has the farthest corner in a direction', () => {
    expect(extremePoint(rectangle, [1, 1])).toEqual([16, 24]);
    expect(extremePoint(rectangle, [-1, 0.1])).toEqual([10, 24]);
  });
});

/** A square of side 10 with a notch, 2 wide and 4 deep, in the middle of its upper edge. */
const notched: Polygon = [
  [0, 0],
  [10, 0],
  [10, 10],
  [6, 10],
  [6, 6],
  [4, 6],
  [4, 10],
  [0, 10],
];

describe('a point beside a polygon', () => {
  /** By hand on the notched square. */
  it.each([
    { at: [13, 14], out: 5, why: 'outside a corner by 3 and 4' },
    { at: [5, -2], out: 2, why: 'outside an edge' },
    { at: [5, 9], out: 1, why: 'in the notch, nearer to its sides' },
    { at: [5, 6.25], out: 0.25, why: 'in the notch, nearer to its floor' },
    { at: [5, 5], out: -1, why: 'under the floor of the notch' },
    { at: [1, 9.5], out: -0.5, why: 'in a horn' },
    { at: [5, 3], out: -3, why: 'as far from the floor of the notch as from the lower edge' },
  ] as const)('$at is $out outside: $why', ({ at, out }) => {
    expect(distanceOutside(notched, at)).toBeCloseTo(out, 12);
    expect(insidePolygon(notched, at)).toBe(out < 0);
  });

  it('is as far outside whichever way the polygon turns and wherever both are moved', () => {
    const coordinate = fc.double({ min: -20, max: 20, noNaN: true });
    fc.assert(
      fc.property(coordinate, coordinate, fc.double({ min: -4, max: 4, noNaN: true }), (x, y, turn) => {
        const moved = ([u, v]: readonly [number, number]): readonly [number, number] => [
          7 + u * Math.cos(turn) - v * Math.sin(turn),
          -3 + u * Math.sin(turn) + v * Math.cos(turn),
        ];
        const out = distanceOutside(notched, [x, y]);
        expect(distanceOutside([...notched].reverse(), [x, y])).toBeCloseTo(out, 9);
        expect(Math.abs(distanceOutside(notched.map(moved), moved([x, y])))).toBeCloseTo(Math.abs(out), 9);
        // On the edge itself either answer may come.
        if (Math.abs(out) > 1e-9) expect(insidePolygon(notched.map(moved), moved([x, y]))).toBe(out < 0);
      }),
    );
  });

  it('has its nearest place on the edge there, at a corner or square to an edge', () => {
    expect(nearestOnEdge(notched, [13, 14])).toEqual([10, 10]);
    expect(nearestOnEdge(notched, [5, -2])).toEqual([5, 0]);
    expect(nearestOnEdge(notched, [5, 6.25])).toEqual([5, 6]);
  });

  it('cannot be judged against no points', () => {
    expect(() => distanceOutside([], [0, 0])).toThrow('without points');
  });
});

describe('a refined polygon', () => {
  it('has edges no longer than asked, the same corners and the same area', () => {
    const fine = refined(notched, 0.7);
    fine.forEach((a, i) => {
      const b = fine[(i + 1) % fine.length]!;
      expect(Math.hypot(b[0] - a[0], b[1] - a[1])).toBeLessThanOrEqual(0.7 + 1e-12);
    });
    for (const corner of notched) expect(fine).toContainEqual(corner);
    expect(polygonArea(fine)).toBeCloseTo(polygonArea(notched), 10);
  });
});
