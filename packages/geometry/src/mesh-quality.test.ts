import { describe, expect, it } from 'vitest';
import { area, largestPiece, type Mesh, meshQuality, rewound, submesh, welded } from './index.ts';
import { ball, cube } from './mesh.fixture.ts';

const both = (a: Mesh<'m'>, b: Mesh<'m'>): Mesh<'m'> => ({
  frame: 'm',
  positions: Float32Array.from([...a.positions, ...b.positions]),
  triangles: Uint32Array.from([...a.triangles, ...[...b.triangles].map((v) => v + a.positions.length / 3)]),
});

/** The same triangles with no vertex shared. */
const soup = (mesh: Mesh<'m'>): Mesh<'m'> => ({
  frame: 'm',
  positions: Float32Array.from([...mesh.triangles].flatMap((v) => [...mesh.positions.slice(3 * v, 3 * v + 3)])),
  triangles: Uint32Array.from(mesh.triangles.keys()),
});

describe('the quality of a mesh', () => {
  it('of a 10 mm cube: closed, one piece, 1000 mm3, 600 mm2', () => {
    const q = meshQuality(cube('m', [100, -200, 300], 10));
    expect(q).toMatchObject({ closed: true, openEdges: 0, branchingEdges: 0, windingConflicts: 0, pieces: [12] });
    expect(q.volumeMm3).toBeCloseTo(1000, 6);
    expect(q.areaMm2).toBeCloseTo(600, 6);
  });

  it('of a fine sphere of radius 10 tends to 4/3 pi r3 and 4 pi r2', () => {
    const q = meshQuality(ball('m', [0, 0, 0], 10, 200));
    expect(q.closed).toBe(true);
    expect(q.volumeMm3 / ((4 / 3) * Math.PI * 1000)).toBeCloseTo(1, 3);
    expect(q.areaMm2 / (4 * Math.PI * 100)).toBeCloseTo(1, 3);
  });

  it('names three open edges where one triangle is missing', () => {
    const q = meshQuality(submesh(cube('m', [0, 0, 0], 1), (t) => t !== 4));
    expect(q).toMatchObject({ closed: false, openEdges: 3 });
  });

  it('names three conflicts where one triangle is turned over', () => {
    const mesh = cube('m', [0, 0, 0], 1);
    const triangles = mesh.triangles.slice();
    [triangles[1], triangles[2]] = [triangles[2]!, triangles[1]!];
    expect(meshQuality({ ...mesh, triangles })).toMatchObject({ closed: false, windingConflicts: 3 });
  });

  it('of an inside-out cube has a negative volume, though it is closed', () => {
    const q = meshQuality(rewound(cube('m', [0, 0, 0], 10)));
    expect(q.closed).toBe(true);
    expect(q.volumeMm3).toBeCloseTo(-1000, 6);
  });

  it('counts pieces, largest first, and the largest can be taken alone', () => {
    const two = both(cube('m', [0, 0, 0], 1), ball('m', [50, 0, 0], 5, 10));
    expect(meshQuality(two).pieces).toEqual([360, 12]);
    expect(area(largestPiece(two))).toBeCloseTo(area(ball('m', [50, 0, 0], 5, 10)), 3);
  });

  it('counts triangles without area', () => {
    const mesh = cube('m', [0, 0, 0], 1);
    const flat = { ...mesh, triangles: Uint32Array.from([...mesh.triangles, 0, 1, 1]) };
    expect(meshQuality(flat).degenerateTriangles).toBe(1);
  });
});

describe('welding', () => {
  it('turns a soup of triangles back into the closed surface it was', () => {
    const mesh = ball('m', [3, 4, 5], 20, 30);
    const q = meshQuality(welded(soup(mesh)));
    expect(meshQuality(soup(mesh)).closed).toBe(false);
    expect(q.closed).toBe(true);
    expect(q.vertices).toBe(mesh.positions.length / 3);
  });

  it('takes -0 and 0 for the same place', () => {
    const mesh: Mesh<'m'> = {
      frame: 'm',
      positions: Float32Array.from([0, 0, 0, 1, 0, 0, 0, 1, 0, -0, 0, 0]),
      triangles: Uint32Array.from([0, 1, 2, 3, 2, 1]),
    };
    expect(welded(mesh).positions.length / 3).toBe(3);
  });
});

describe('a surface of a hundred thousand vertices', () => {
  const soupOf = (bits: Uint32Array): Mesh<'m'> => ({
    frame: 'm',
    positions: new Float32Array(bits.buffer as ArrayBuffer),
    triangles: new Uint32Array(bits.length / 3).map((_, v) => v),
  });

  it('made so that every vertex falls on one place of the hash table is welded all the same, within 2 s', () => {
    // The third factor times this is 1 in 32 bits, so that z can undo what x and y did to the hash.
    let inverse = 83492791;
    for (let k = 0; k < 5; k += 1) inverse = Math.imul(inverse, 2 - Math.imul(83492791, inverse));
    const bits: number[] = [];
    for (let id = 1; bits.length < 360_000; id += 1) {
      const [x, y] = [0x40000000 + id, 0x40000000];
      const z = Math.imul(inverse, Math.imul(x, 73856093) ^ Math.imul(y, 19349663)) >>> 0;
      if (((z >>> 23) & 255) !== 255) bits.push(x, y, z);
    }
    const start = performance.now();
    const mesh = welded(soupOf(Uint32Array.from([...bits.slice(0, 9), ...bits])));
    expect(performance.now() - start).toBeLessThan(2000);
    expect(mesh.positions).toHaveLength(360_000);
    expect([...mesh.triangles.subarray(0, 8)]).toEqual([0, 1, 2, 0, 1, 2, 3, 4]);
  });

  it('in as many pieces as triangles has a largest piece', () => {
    const pieces = Array.from({ length: 200_000 }, (_, t) => [t, t + 1, t + 2, 0, t, 1, 1, 0, t]).flat();
    const mesh = {
      frame: 'm',
      positions: Float32Array.from(pieces),
      triangles: Uint32Array.from({ length: 600_000 }, (_, v) => v),
    } as const;
    expect([...largestPiece(mesh).triangles]).toEqual([0, 1, 2]);
  });
});
