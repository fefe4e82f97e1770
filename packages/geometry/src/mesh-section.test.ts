import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  flattenedOn,
  liftedFrom,
  planeAt,
  point,
  polygonArea,
  polygonCentroid,
  rewound,
  section,
  sectionPlane,
  submesh,
  unit,
  type Vec3,
} from './index.ts';
import { ball, cube } from './mesh.fixture.ts';

describe('a plane section', () => {
  it('half way up a 10 mm cube is one closed square of 100 mm2 with its centre in the middle', () => {
    const axes = sectionPlane(planeAt(point('m', [0, 0, 5]), [0, 0, 1]), [1, 0, 0]);
    const loops = section(cube('m', [0, 0, 0], 10), axes);
    expect(loops.length).toBe(1);
    expect(loops[0]!.closed).toBe(true);
    expect(polygonArea(loops[0]!.polygon)).toBeCloseTo(100, 6);
    const centre = liftedFrom(axes, polygonCentroid(loops[0]!.polygon)).xyz;
    [5, 5, 5].forEach((v, i) => {
      expect(centre[i]).toBeCloseTo(v, 6);
    });
  });

  it('through a corner of a cube, square to the long diagonal at its middle, is a regular hexagon', () => {
    // By hand: side 10/sqrt(2), area 3 sqrt(3)/2 side^2 = 129.904.
    const axes = sectionPlane(planeAt(point('m', [5, 5, 5]), unit([1, 1, 1])), [1, 0, 0]);
    const loops = section(cube('m', [0, 0, 0], 10), axes);
    expect(polygonArea(loops[0]!.polygon)).toBeCloseTo(129.9038, 3);
  });

  it('of a fine sphere at any distance and direction has the area pi (r2 - d2)', () => {
    const mesh = ball('m', [3, -2, 7], 20, 120);
    const component = fc.double({ min: -1, max: 1, noNaN: true });
    fc.assert(
      fc.property(
        fc.tuple(component, component, component).filter((v) => Math.hypot(...v) > 0.1),
        fc.double({ min: -15, max: 15, noNaN: true }),
        (n, d) => {
          const normal = unit(n as Vec3);
          const through: Vec3 = [3 + d * normal[0], -2 + d * normal[1], 7 + d * normal[2]];
          const axes = sectionPlane(
            planeAt(point('m', through), normal),
            Math.abs(normal[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0],
          );
          const loops = section(mesh, axes);
          expect(loops.length).toBe(1);
          expect(loops[0]!.closed).toBe(true);
          expect(polygonArea(loops[0]!.polygon) / (Math.PI * (400 - d * d))).toBeCloseTo(1, 2);
        },
      ),
    );
  });

  it('of a hollow body keeps the hole as a loop of negative area', () => {
    const outer = cube('m', [0, 0, 0], 10);
    const inner = rewound(cube('m', [3, 3, 3], 4));
    const hollow = {
      frame: 'm' as const,
      positions: Float32Array.from([...outer.positions, ...inner.positions]),
      triangles: Uint32Array.from([...outer.triangles, ...[...inner.triangles].map((v) => v + 8)]),
    };
    const axes = sectionPlane(planeAt(point('m', [0, 0, 5.001]), [0, 0, 1]), [1, 0, 0]);
    const areas = section(hollow, axes).map((loop) => polygonArea(loop.polygon));
    expect(areas[0]).toBeCloseTo(100, 4);
    expect(areas[1]).toBeCloseTo(-16, 4);
  });

  it('of an open surface says that its loop is not closed', () => {
    const open = submesh(cube('m', [0, 0, 0], 10), (t) => t < 8);
    const axes = sectionPlane(planeAt(point('m', [0, 0, 5]), [0, 0, 1]), [1, 0, 0]);
    expect(section(open, axes).some((loop) => !loop.closed)).toBe(true);
  });

  it('that only touches or misses the surface is empty', () => {
    const mesh = cube('m', [0, 0, 0], 10);
    for (const z of [10, 11, -0.5]) {
      expect(section(mesh, sectionPlane(planeAt(point('m', [0, 0, z]), [0, 0, 1]), [1, 0, 0]))).toEqual([]);
    }
  });

  it('flattens and lifts the same point back', () => {
    const axes = sectionPlane(planeAt(point('m', [1, 2, 3]), unit([1, 2, 2])), [1, 0, 0]);
    const lifted = liftedFrom(axes, [4, -7]);
    const flat = flattenedOn(axes, lifted);
    expect(flat[0]).toBeCloseTo(4, 10);
    expect(flat[1]).toBeCloseTo(-7, 10);
  });
});
