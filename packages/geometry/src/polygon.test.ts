import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  clippedTo,
  convexHull,
  extremePoint,
  type Polygon,
  polygonArea,
  polygonCentroid,
  polygonSecondMoments,
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
