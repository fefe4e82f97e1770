import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { area, planeAt, point, type Surface, surfaceBeyond, type Vec3, volumeBeyond } from './index.ts';
import { ball, cube } from './mesh.fixture.ts';

const box = cube('box', [0, 0, 0], 10);
const component = fc.double({ min: -1, max: 1, noNaN: true });
const anyNormal = fc
  .tuple(component, component, component)
  .filter(([x, y, z]: Vec3): boolean => Math.hypot(x, y, z) > 0.1);

const lowest = (mesh: Surface, n: Vec3): number =>
  Array.from({ length: mesh.positions.length / 3 }, (_, v) =>
    [0, 1, 2].reduce((sum, axis) => sum + n[axis]! * mesh.positions[3 * v + axis]!, 0),
  ).reduce((least, h) => Math.min(least, h), Infinity);

describe('the part of a surface beyond a plane', () => {
  it('of a cube cut at 3 of 10 has a top of 100 and walls of 4 x 10 x 7', () => {
    const part = surfaceBeyond(box, planeAt(point('box', [0, 0, 3]), [0, 0, 1]));
    expect(area(part)).toBeCloseTo(100 + 4 * 70, 4);
    expect(lowest(part, [0, 0, 1])).toBeCloseTo(3, 5);
  });

  it('is all of it or nothing where the plane passes beside it', () => {
    const above = planeAt(point('box', [0, 0, 11]), [0, 0, 1]);
    expect(surfaceBeyond(box, above).triangles.length).toBe(0);
    expect(area(surfaceBeyond(box, planeAt(point('box', [0, 0, -1]), [0, 0, 1])))).toBeCloseTo(600, 4);
  });

  it('and the part on the other side have together the surface of the whole, and both face outward', () => {
    const globe = ball('globe', [1, 2, 3], 20, 24);
    fc.assert(
      fc.property(anyNormal, fc.double({ min: -19, max: 19, noNaN: true }), (n: Vec3, off) => {
        const plane = planeAt(point('globe', [1 + off * n[0], 2 + off * n[1], 3 + off * n[2]]), n);
        const other = {
          ...plane,
          normal: [-plane.normal[0], -plane.normal[1], -plane.normal[2]] as const,
          offset: -plane.offset,
        };
        const parts = [surfaceBeyond(globe, plane), surfaceBeyond(globe, other)] as const;
        expect(area(parts[0]) + area(parts[1])).toBeCloseTo(area(globe), 2);
        expect(lowest(parts[0], plane.normal)).toBeGreaterThan(plane.offset - 1e-4);
        expect(lowest(parts[1], other.normal)).toBeGreaterThan(other.offset - 1e-4);
        // Outward still: the part encloses with its open face the volume that the plane cuts off.
        expect(volumeBeyond(parts[0], plane)).toBeCloseTo(volumeBeyond(globe, plane), 0);
      }),
    );
  });

  it('shares vertices between triangles as the whole does: cut corners of a cube are not doubled', () => {
    // By hand: 4 upper corners, and a point on each of the 4 upright edges and of the 4 diagonals of the walls.
    const part = surfaceBeyond(box, planeAt(point('box', [0, 0, 3]), [0, 0, 1]));
    expect(part.positions.length / 3).toBe(12);
  });
});
