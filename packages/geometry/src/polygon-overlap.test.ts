import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { clippedTo, convexHull, overlapArea, type Polygon, polygonArea } from './index.ts';

/** A circle as a polygon of many corners; its own area, not the circle's, is what tests reckon with. */
const circle = (x: number, y: number, radius: number, corners = 720): Polygon =>
  Array.from({ length: corners }, (_, k) => [
    x + radius * Math.cos((2 * Math.PI * k) / corners),
    y + radius * Math.sin((2 * Math.PI * k) / corners),
  ]);

/** A comb of two horns, 2 wide and 5 high, on a bar 10 by 1. */
const comb: Polygon = [
  [0, 0],
  [10, 0],
  [10, 6],
  [8, 6],
  [8, 1],
  [2, 1],
  [2, 6],
  [0, 6],
];

const coordinate = fc.double({ min: -30, max: 30, noNaN: true });
const anyConvex = fc
  .array(fc.tuple(coordinate, coordinate), { minLength: 3, maxLength: 12 })
  .map((points) => convexHull(points))
  .filter((hull) => hull.length > 2 && polygonArea(hull) > 1);

describe('the area that two polygons share', () => {
  it('is 8 where a bar 2 high lies across both horns of a comb: two pieces of 2 by 2 and nothing between', () => {
    // By hand: horns from x = 0 to 2 and 8 to 10; the bar covers y = 3 to 5.
    const bar: Polygon = [
      [-1, 3],
      [11, 3],
      [11, 5],
      [-1, 5],
    ];
    expect(overlapArea(comb, bar)).toBeCloseTo(8, 4);
    expect(overlapArea(comb, [...bar].reverse())).toBeCloseTo(8, 4);
    expect(overlapArea([...comb].reverse(), bar)).toBeCloseTo(8, 4);
  });

  /** Closed form of the lens of two circles of radius r, d apart: 2 r2 acos(d / 2r) - (d / 2) sqrt(4 r2 - d2). */
  it.each([0, 3, 17, 39, 41])('of two circles of radius 20, %d apart, is that of their lens', (apart) => {
    const r = 20;
    const lens =
      apart < 2 * r ? 2 * r * r * Math.acos(apart / (2 * r)) - (apart / 2) * Math.sqrt(4 * r * r - apart * apart) : 0;
    // A polygon of n corners is smaller than its circle by a share of about 2 pi2 / 3 n2: here 1.3e-5.
    expect(Math.abs(overlapArea(circle(3, -2, r), circle(3 + apart, -2, r)) - lens)).toBeLessThan(0.03);
  });

  it('with a convex polygon is what is left after cutting along each of its edges in turn', () => {
    fc.assert(
      fc.property(anyConvex, anyConvex, (a, b) => {
        const left = b.reduce<Polygon>((rest, [x, y], i) => {
          const [nextX, nextY] = b[(i + 1) % b.length]!;
          const normal: readonly [number, number] = [nextY - y, x - nextX];
          return rest.length > 0 ? clippedTo(rest, normal, normal[0] * x + normal[1] * y) : rest;
        }, a);
        expect(overlapArea(a, b)).toBeCloseTo(polygonArea(left), 3);
      }),
    );
  });

  it('and the area outside the second make up the first', () => {
    // The outside of a polygon is a wide frame with a slit into the polygon: one loop, going round it the other way.
    const outside = (hole: Polygon): Polygon => {
      const rightmost = hole.reduce((best, p, i) => (p[0] > hole[best]![0] ? i : best), 0);
      const round = [...hole.slice(rightmost), ...hole.slice(0, rightmost + 1)].reverse();
      return [[100, round[0]![1]], [100, 100], [-100, 100], [-100, -100], [100, -100], [100, round[0]![1]], ...round];
    };
    fc.assert(
      fc.property(anyConvex, (b) => {
        expect(overlapArea(comb, b) + overlapArea(comb, outside(b))).toBeCloseTo(polygonArea(comb), 3);
      }),
    );
  });
});
