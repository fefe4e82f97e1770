import { expectOk, inFrame, type Mesh, meshQuality, rewound, submesh } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { cubeCorners, cubeTriangles } from './cube.fixture.ts';
import { type UsableMesh, usableMesh } from './usable-mesh.ts';

type Numbers = readonly (readonly number[])[];
const meshOf = (corners: Numbers, triangles: Numbers): Mesh<'m'> =>
  inFrame('m', { positions: Float32Array.from(corners.flat()), triangles: Uint32Array.from(triangles.flat()) });
const cube = meshOf(cubeCorners, cubeTriangles);

const both = (a: Mesh<'m'>, b: Mesh<'m'>): Mesh<'m'> =>
  inFrame('m', {
    positions: Float32Array.from([...a.positions, ...b.positions]),
    triangles: Uint32Array.from([...a.triangles, ...[...b.triangles].map((v) => v + a.positions.length / 3)]),
  });
const shifted = (mesh: Mesh<'m'>, by: number): Mesh<'m'> =>
  inFrame('m', { positions: mesh.positions.map((v) => v + by), triangles: mesh.triangles });
/** Every triangle with three vertices of its own. */
const apart = (mesh: Mesh<'m'>): Mesh<'m'> =>
  inFrame('m', {
    positions: Float32Array.from([...mesh.triangles].flatMap((v) => [...mesh.positions.subarray(3 * v, 3 * v + 3)])),
    triangles: Uint32Array.from(mesh.triangles.keys()),
  });
/** A tetrahedron: a smaller piece than the cube. */
const tetrahedron = meshOf(
  [
    [0, 0, 0],
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  [
    [0, 2, 1],
    [0, 1, 3],
    [1, 2, 3],
    [2, 0, 3],
  ],
);

const usable = (mesh: Mesh<'m'>): UsableMesh<'m'> => expectOk(usableMesh(mesh), 'the mesh');
const codes = (mesh: Mesh<'m'>): readonly string[] => usable(mesh).findings.map((f) => f.code);
const messageOf = (mesh: Mesh<'m'>, code: string): string =>
  usable(mesh).findings.find((f) => f.code === code)?.message ?? '';

describe('the part of a surface to go on with', () => {
  it('[IM13] of a sound surface is that surface, its numbers in their order, and nothing is found', () => {
    expect(usable(cube)).toEqual({ mesh: cube, quality: meshQuality(cube), findings: [] });
    expect(usable(tetrahedron).findings).toEqual([]);
  });

  it('[IM12] of several pieces is the largest; the message names the sizes of the others', () => {
    const three = both(both(shifted(tetrahedron, 40), cube), shifted(tetrahedron, 80));
    expect(meshQuality(usable(three).mesh)).toMatchObject({ triangles: 12, vertices: 8, volumeMm3: 1000 });
    expect(usable(three).findings).toMatchObject([{ code: 'several-pieces', severity: 'doubt' }]);
    expect(messageOf(three, 'several-pieces')).toMatch(/3 pieces.*12 triangles.*those of 4, 4\./);
  });

  it('[IM12] of two equal pieces is the one that comes first', () => {
    expect(Math.max(...usable(both(shifted(cube, 7), shifted(cube, 70))).mesh.positions)).toBe(17);
  });

  it('[IM12] of a hundred thousand pieces is still found, and the message names five', () => {
    const dust = apart(
      inFrame('m', {
        positions: Float32Array.from({ length: 900_000 }, (_, i) => 100 + ((i * 7919) % 1_000_003)),
        triangles: Uint32Array.from({ length: 300_000 }, (_, i) => i),
      }),
    );
    const much = both(cube, dust);
    expect(usable(much).mesh.triangles).toHaveLength(36);
    expect(messageOf(much, 'several-pieces')).toMatch(/those of 1, 1, 1, 1, 1 and 99995 smaller ones\.$/);
  });

  it('[IM13] of a surface that faces inward is the same turned over, with a doubt', () => {
    expect(usable(rewound(cube))).toMatchObject({
      mesh: cube,
      quality: { closed: true, volumeMm3: 1000 },
      findings: [{ code: 'inside-out', severity: 'doubt' }],
    });
  });

  it('[IM13] of an open surface that faces inward is turned over too, wherever it lies and whichever triangle comes first', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 11 }),
        fc.integer({ min: -500, max: 500 }),
        fc.integer({ min: 0, max: 9 }),
        (gone, by, first) => {
          const order = cubeTriangles.filter((_, i) => i !== gone);
          const open = shifted(meshOf(cubeCorners, [...order.slice(first), ...order.slice(0, first)]), by);
          expect(codes(open)).toEqual(['open-edges']);
          expect(codes(rewound(open))).toEqual(['inside-out', 'open-edges']);
        },
      ),
    );
  });

  it('[IM13] of a cup is turned over as well, though its stem reaches far to the side where it is closed', () => {
    // A square cup, open above, on a thin pyramid upside down: seen from its tip most of the cup shows its inside.
    const rim = [4.5, 5.5].flatMap((x) => [4.5, 5.5].map((y) => [x, y, 0]));
    const [a, b, c, d, tip] = [8, 10, 11, 9, 12];
    const floor = [
      [0, 3, d, a],
      [3, 2, c, d],
      [2, 1, b, c],
      [1, 0, a, b],
    ].flatMap(([p, q, r, s]) => [
      [p!, q!, r!],
      [p!, r!, s!],
    ]);
    const stem = [
      [tip, a, d],
      [tip, d, c],
      [tip, c, b],
      [tip, b, a],
    ];
    for (const walls of [cubeTriangles.slice(4), [...cubeTriangles.slice(4)].reverse()]) {
      const cup = meshOf([...cubeCorners, ...rim, [5, 5, -200]], [...stem, ...walls, ...floor]);
      expect(meshQuality(cup)).toMatchObject({ openEdges: 4, windingConflicts: 0 });
      expect(codes(cup)).toEqual(['open-edges']);
      expect(codes(rewound(cup))).toEqual(['inside-out', 'open-edges']);
    }
  });

  it('[IM13] of an open box is turned over as well, though a flag rises high above its rim', () => {
    const openBox = cubeTriangles.filter((_, i) => i !== 2 && i !== 3);
    const flagged = meshOf([...cubeCorners, [5, 0, 2000]], [[8, 4, 5], ...openBox]);
    expect(meshQuality(flagged)).toMatchObject({ openEdges: 5, windingConflicts: 0 });
    expect(codes(flagged)).toEqual(['open-edges']);
    expect(codes(rewound(flagged))).toEqual(['inside-out', 'open-edges']);
  });

  it('[IM13] of a flat sheet keeps the order of its corners: it has no inside', () => {
    const points = [0, 1, 2].flatMap((y) => [0, 1, 2].map((x) => [x + 0.1, y + 0.7, 0.3 * x - 0.7 * y]));
    const sheet = meshOf(
      points,
      [0, 1, 3, 4].flatMap((a) => [
        [a, a + 1, a + 4],
        [a, a + 4, a + 3],
      ]),
    );
    expect(usable(sheet).mesh.triangles).toEqual(sheet.triangles);
    expect(usable(rewound(sheet)).mesh.triangles).toEqual(rewound(sheet).triangles);
  });

  it('[IM14] leaves out triangles with two corners at one vertex, which closes what they had spoilt', () => {
    const spoilt = meshOf(cubeCorners, [...cubeTriangles, [0, 1, 1], [2, 2, 2]]);
    expect(meshQuality(spoilt).closed).toBe(false);
    expect(usable(spoilt)).toMatchObject({
      quality: { closed: true, triangles: 12 },
      findings: [{ code: 'collapsed-triangles', severity: 'info' }],
    });
    expect(messageOf(spoilt, 'collapsed-triangles')).toContain('2 triangles');
  });

  it('[IM14] leaves out vertices that no triangle uses, so that they enlarge no bounding box', () => {
    const stray = meshOf(
      [[999, 999, 999], ...cubeCorners],
      cubeTriangles.map((t) => t.map((v) => v + 1)),
    );
    expect(usable(stray)).toMatchObject({
      quality: { vertices: 8 },
      findings: [{ code: 'unused-vertices', severity: 'info' }],
    });
    expect(Math.max(...usable(stray).mesh.positions)).toBe(10);
  });

  it('[IM15] joins vertices at one place where edges are open', () => {
    expect(usable(apart(cube))).toMatchObject({
      quality: { vertices: 8, closed: true, volumeMm3: 1000 },
      findings: [{ code: 'vertices-joined', severity: 'info' }],
    });
    expect(messageOf(apart(cube), 'vertices-joined')).toContain('28 vertices');
  });

  it('[IM15] leaves out what joining makes collapse, and counts it', () => {
    const sliver = meshOf([...cubeCorners, [10, 0, 0]], [...cubeTriangles, [0, 1, 8]]);
    const mesh = both(apart(cube), inFrame('m', { positions: sliver.positions, triangles: Uint32Array.of(0, 1, 8) }));
    expect(usable(mesh)).toMatchObject({ quality: { closed: true, triangles: 12 } });
    expect(messageOf(mesh, 'collapsed-triangles')).toContain('1 triangles');
  });

  it('[IM15] leaves apart what is closed already: two cubes that touch along an edge stay two', () => {
    const touching = both(
      cube,
      inFrame('m', { positions: cube.positions.map((v, i) => (i % 3 < 2 ? v + 10 : v)), triangles: cube.triangles }),
    );
    expect(codes(touching)).toEqual(['several-pieces']);
  });

  it('[IM15] does not join where it closes nothing', () => {
    const open = submesh(cube, (t) => t > 0);
    const doubled = meshOf([...cubeCorners, [0, 0, 0]], [...[...cubeTriangles].slice(1, 11), [3, 4, 7], [8, 8, 8]]);
    expect(codes(open)).toEqual(['open-edges']);
    expect(codes(doubled)).not.toContain('vertices-joined');
  });

  const extra = (...triangles: Numbers): Mesh<'m'> =>
    meshOf([...cubeCorners, [5, 5, 20]], [...cubeTriangles, ...triangles]);
  test.each([
    { mesh: submesh(cube, (t) => t !== 5), code: 'open-edges', says: '3 edges', why: 'one triangle missing' },
    { mesh: extra([4, 5, 8]), code: 'branching-edges', says: '1 edges', why: 'a fin on one edge' },
    {
      mesh: meshOf(
        cubeCorners,
        cubeTriangles.map(([a, b, c], i) => (i === 3 ? [a, c, b] : [a, b, c])),
      ),
      code: 'winding-conflicts',
      says: 'At 3 edges',
      why: 'one triangle turned over',
    },
    {
      mesh: meshOf([...cubeCorners, [5, 0, 0]], [...cubeTriangles, [0, 1, 8]]),
      code: 'degenerate-triangles',
      says: '1 triangles',
      why: 'three corners in line',
    },
  ])('[IM16] reports $code: $why', ({ mesh, code, says }) => {
    expect(codes(mesh)).toContain(code);
    expect(messageOf(mesh, code)).toContain(says);
    expect(usable(mesh).mesh.triangles).toEqual(mesh.triangles);
  });

  test.each([
    { mesh: meshOf([], []), found: 0, why: 'nothing' },
    { mesh: submesh(tetrahedron, (t) => t > 0), found: 3, why: 'three triangles' },
    { mesh: meshOf(cubeCorners, new Array(9).fill([1, 1, 2])), found: 0, why: 'only collapsed ones' },
    {
      mesh: meshOf(
        Array.from({ length: 18 }, (_, i) => [i * i, i ** 3, i]),
        [0, 3, 6, 9, 12, 15].map((v) => [v, v + 1, v + 2]),
      ),
      found: 1,
      why: 'six that hang together nowhere',
    },
  ])('[IM17] needs four triangles: $why is refused', ({ mesh, found }) => {
    expect(usableMesh(mesh)).toEqual({ ok: false, error: { kind: 'too-few-triangles', found, needed: 4 } });
  });

  it('[IM18] has the quality that is given with it', () => {
    for (const mesh of [rewound(cube), apart(rewound(cube)), both(tetrahedron, rewound(shifted(cube, 9)))]) {
      const { quality, mesh: kept } = usable(mesh);
      expect(quality).toEqual(meshQuality(kept));
    }
  });
});
