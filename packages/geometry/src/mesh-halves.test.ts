import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Plane,
  planeAt,
  point,
  polygonArea,
  section,
  sectionPlane,
  unit,
  type Vec3,
  volume,
  volumeBeyond,
} from './index.ts';
import { ball, cube } from './mesh.fixture.ts';

const turnedOver = <F extends string>({ frame, normal, offset }: Plane<F>): Plane<F> => ({
  frame,
  normal: [-normal[0], -normal[1], -normal[2]],
  offset: -offset,
});

const component = fc.double({ min: -1, max: 1, noNaN: true });
const anyDirection = fc
  .tuple(component, component, component)
  .filter((v) => Math.hypot(...v) > 0.1)
  .map((v) => unit(v as Vec3));

describe('the volume beyond a plane', () => {
  it('3 mm below the top of a 10 mm cube is 300 mm3, and 700 the other way', () => {
    const plane = planeAt(point('m', [0, 0, 7]), [0, 0, 1]);
    expect(volumeBeyond(cube('m', [0, 0, 0], 10), plane)).toBeCloseTo(300, 9);
    expect(volumeBeyond(cube('m', [0, 0, 0], 10), turnedOver(plane))).toBeCloseTo(700, 9);
  });

  it('is everything when the plane lies before the surface, and nothing when it lies behind', () => {
    const mesh = cube('m', [0, 0, 0], 10);
    expect(volumeBeyond(mesh, planeAt(point('m', [0, 0, -1]), [0, 0, 1]))).toBeCloseTo(1000, 9);
    expect(volumeBeyond(mesh, planeAt(point('m', [0, 0, 11]), [0, 0, 1]))).toBe(0);
  });

  // Spherical cap: pi h^2 (3 r - h) / 3, by hand.
  it('of a fine sphere is that of a spherical cap, whatever the direction', () => {
    const mesh = ball('m', [3, -2, 7], 20, 120);
    fc.assert(
      fc.property(anyDirection, fc.double({ min: 2, max: 30, noNaN: true }), (n, h) => {
        const d = 20 - h;
        const through: Vec3 = [3 + d * n[0], -2 + d * n[1], 7 + d * n[2]];
        const cap = (Math.PI * h * h * (60 - h)) / 3;
        expect(volumeBeyond(mesh, planeAt(point('m', through), n)) / cap).toBeCloseTo(1, 2);
      }),
    );
  });

  /** Cavalieri: a slab between two planes is its sections added up (Simpson's rule, exact for a sphere's parabola). */
  it('differs from one plane to the next by the sections between them', () => {
    const mesh = ball('m', [0, 0, 0], 20, 120);
    fc.assert(
      fc.property(anyDirection, fc.double({ min: -15, max: 10, noNaN: true }), (n, d) => {
        const at = (height: number) => planeAt(point('m', [height * n[0], height * n[1], height * n[2]]), n);
        const area = (height: number) =>
          section(mesh, sectionPlane(at(height), Math.abs(n[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0])).reduce(
            (sum, loop) => sum + polygonArea(loop.polygon),
            0,
          );
        const slab = (2 / 6) * (area(d) + 4 * area(d + 1) + area(d + 2));
        expect(volumeBeyond(mesh, at(d)) - volumeBeyond(mesh, at(d + 2))).toBeCloseTo(slab, 0);
      }),
      { numRuns: 50 },
    );
  });

  it('and behind it are the whole, on a cube cut any way', () => {
    const mesh = cube('m', [-4, 1, 2], 10);
    fc.assert(
      fc.property(anyDirection, fc.double({ min: -12, max: 12, noNaN: true }), (normal, offset) => {
        const plane: Plane<'m'> = { frame: 'm', normal, offset };
        expect(volumeBeyond(mesh, plane) + volumeBeyond(mesh, turnedOver(plane))).toBeCloseTo(volume(mesh), 6);
      }),
    );
  });
});
