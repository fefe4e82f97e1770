import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  along,
  apply,
  cross,
  direction,
  distance,
  dot,
  length,
  type Mesh,
  meshQuery,
  moved,
  point,
  rotationAbout,
  scaled,
  subtract,
  transform,
  triangleCount,
  turn,
  unit,
  type Vec3,
  vertex,
} from './index.ts';
import { ball, cube } from './mesh.fixture.ts';
import { anyMotion, anySeed, type Numbers, numbers } from './random.fixture.ts';

type Triangle = readonly [Vec3, Vec3, Vec3];

const triangle = (mesh: Mesh<'m'>, k: number): Triangle => [
  vertex(mesh, mesh.triangles[3 * k]!),
  vertex(mesh, mesh.triangles[3 * k + 1]!),
  vertex(mesh, mesh.triangles[3 * k + 2]!),
];
const triangles = (mesh: Mesh<'m'>): readonly Triangle[] =>
  Array.from({ length: triangleCount(mesh) }, (_, k) => triangle(mesh, k));

/** Triangles that lie anywhere within 100 mm, large and small, through each other: no surface, but any search must cope. */
function soup(random: Numbers, count: number): Mesh<'m'> {
  const positions = Array.from({ length: count }, () => {
    const at: Vec3 = [random.between(-100, 100), random.between(-100, 100), random.between(-100, 100)];
    const size = 10 ** random.between(-1, 2);
    return [0, 1, 2].flatMap(() => along(at, random.direction(), size));
  }).flat();
  return {
    frame: 'm',
    positions: Float32Array.from(positions),
    triangles: Uint32Array.from({ length: 3 * count }, (_, k) => k),
  };
}

const somewhere = (random: Numbers): Vec3 => scaled(random.direction(), random.between(0, 200));

function distanceFromSegment(p: Vec3, a: Vec3, b: Vec3): number {
  const ab = subtract(b, a);
  const t = Math.min(1, Math.max(0, dot(subtract(p, a), ab) / dot(ab, ab)));
  return length(subtract(p, along(a, ab, t)));
}

/** From its plane where the foot of the perpendicular lies inside, else from the nearest of its three sides. */
function distanceFromTriangle(p: Vec3, [a, b, c]: Triangle): number {
  const normal = unit(cross(subtract(b, a), subtract(c, a)));
  const height = dot(normal, subtract(p, a));
  const foot = along(p, normal, -height);
  const left = (from: Vec3, to: Vec3): boolean => dot(normal, cross(subtract(to, from), subtract(foot, from))) >= 0;
  if (left(a, b) && left(b, c) && left(c, a)) return Math.abs(height);
  return Math.min(distanceFromSegment(p, a, b), distanceFromSegment(p, b, c), distanceFromSegment(p, c, a));
}

/** Where a half-line meets the plane of a triangle, and how far inside the triangle that is: below 0 is outside. */
function meeting(from: Vec3, towards: Vec3, [a, b, c]: Triangle): { readonly t: number; readonly inside: number } {
  const normal = cross(subtract(b, a), subtract(c, a));
  const t = dot(normal, subtract(a, from)) / dot(normal, towards);
  const at = along(from, towards, t);
  const share = (p: Vec3, q: Vec3): number => dot(normal, cross(subtract(q, p), subtract(at, p))) / dot(normal, normal);
  return { t, inside: Math.min(share(a, b), share(b, c), share(c, a)) };
}

/** Whether brute force can tell: a half-line through a side, or one that starts on a triangle, is a matter of rounding. */
const clear = ({ t, inside }: { readonly t: number; readonly inside: number }): boolean =>
  Math.abs(inside) > 1e-7 && Math.abs(t) > 1e-7;

describe('the nearest point of a surface', () => {
  it('is as near as that of the nearest of all triangles, to 1 nm, and lies on the triangle that is named', () => {
    fc.assert(
      fc.property(anySeed, fc.integer({ min: 1, max: 60 }), (seed, count) => {
        const random = numbers(seed);
        const mesh = soup(random, count);
        const query = meshQuery(mesh);
        for (let k = 0; k < 5; k += 1) {
          const p = somewhere(random);
          const hit = query.closestTo(point('m', p));
          const nearest = Math.min(...triangles(mesh).map((t) => distanceFromTriangle(p, t)));
          expect(Math.abs(hit.distanceMm - nearest)).toBeLessThan(1e-6);
          expect(Math.abs(distance(hit.at, point('m', p)) - nearest)).toBeLessThan(1e-6);
          expect(distanceFromTriangle(hit.at.xyz, triangle(mesh, hit.triangle))).toBeLessThan(1e-6);
        }
      }),
    );
  });

  it('moves with the surface and the point: its distance stays, but for the rounding of the moved mesh', () => {
    fc.assert(
      fc.property(anySeed, anyMotion('n', 'm'), (seed, motion) => {
        const random = numbers(seed);
        const mesh = soup(random, 40);
        const p = point('m', somewhere(random));
        const before = meshQuery(mesh).closestTo(p);
        const after = meshQuery(moved(motion, mesh)).closestTo(apply(motion, p));
        expect(after.at.frame).toBe('n');
        // Coordinates of up to 1000 mm are kept in single precision: 3e-5 mm.
        expect(Math.abs(after.distanceMm - before.distanceMm)).toBeLessThan(2e-4);
      }),
    );
  });

  it('of a vertex, a point on a side and a point on a face is that point itself', () => {
    const query = meshQuery(cube('m', [0, 0, 0], 10));
    for (const xyz of [
      [0, 0, 0],
      [10, 10, 10],
      [10, 10, 3],
      [5, 5, 10],
      [2, 7, 0],
    ] satisfies Vec3[]) {
      const hit = query.closestTo(point('m', xyz));
      expect(hit.distanceMm).toBe(0);
      expect(hit.at.xyz).toEqual(xyz);
    }
  });

  it('is the same from inside a cube as from outside it: 2 mm to the nearest face', () => {
    const query = meshQuery(cube('m', [0, 0, 0], 10));
    expect(query.closestTo(point('m', [4, 5, 8]))).toMatchObject({ distanceMm: 2, at: { xyz: [4, 5, 10] } });
    expect(query.closestTo(point('m', [4, 5, 12]))).toMatchObject({ distanceMm: 2, at: { xyz: [4, 5, 10] } });
  });

  it('is asked for without a change of the mesh', () => {
    const mesh = soup(numbers(5), 200);
    const before = { positions: mesh.positions.slice(), triangles: mesh.triangles.slice() };
    meshQuery(mesh).closestTo(point('m', [1, 2, 3]));
    expect(mesh.positions).toEqual(before.positions);
    expect(mesh.triangles).toEqual(before.triangles);
  });

  it('cannot be had of an empty mesh, nor from a point that is not a number', () => {
    const empty: Mesh<'m'> = { frame: 'm', positions: new Float32Array(), triangles: new Uint32Array() };
    expect(() => meshQuery(empty)).toThrow('empty mesh');
    expect(() => meshQuery(cube('m', [0, 0, 0], 10)).closestTo(point('m', [Number.NaN, 0, 0]))).toThrow('no nearest');
  });
});

describe('the crossings of a half-line with a surface', () => {
  it('are those with each of all triangles, nearest first', () => {
    let crossed = 0;
    fc.assert(
      fc.property(anySeed, fc.integer({ min: 1, max: 60 }), (seed, count) => {
        const random = numbers(seed);
        const mesh = soup(random, count);
        const query = meshQuery(mesh);
        for (let k = 0; k < 5; k += 1) {
          const from = somewhere(random);
          const [a, b, c] = triangle(mesh, Math.floor(random.between(0, count)));
          const beside = along(a, subtract(b, a), random.between(-0.2, 0.8));
          const towards = unit(subtract(along(beside, subtract(c, a), random.between(-0.2, 0.8)), from));
          const all = triangles(mesh).map((t) => meeting(from, towards, t));
          if (!all.every(clear)) continue;
          const expected = [...all.entries()]
            .filter(([, m]) => m.t > 0 && m.inside > 0)
            .sort(([, a], [, b]) => a.t - b.t);
          const hits = query.crossings(point('m', from), direction('m', towards));
          expect(hits.map((hit) => hit.triangle)).toEqual(expected.map(([number]) => number));
          hits.forEach((hit, i) => {
            expect(Math.abs(hit.distanceMm - expected[i]![1].t)).toBeLessThan(1e-5);
            expect(length(subtract(hit.at.xyz, along(from, towards, expected[i]![1].t)))).toBeLessThan(1e-5);
          });
          crossed += hits.length;
        }
      }),
    );
    expect(crossed).toBeGreaterThan(100);
  });

  it('move with the surface and the half-line', () => {
    const mesh = ball('m', [10, -20, 30], 25, 12);
    fc.assert(
      fc.property(anySeed, anyMotion('n', 'm'), (seed, motion) => {
        const random = numbers(seed);
        const from = point('m', somewhere(random));
        const aim = along([10, -20, 30], random.direction(), random.between(0, 20));
        const towards = direction('m', subtract(aim, from.xyz));
        fc.pre(triangles(mesh).every((t) => Math.abs(meeting(from.xyz, towards.direction, t).inside) > 1e-4));
        const before = meshQuery(mesh).crossings(from, towards);
        const after = meshQuery(moved(motion, mesh)).crossings(apply(motion, from), turn(motion, towards));
        expect(before.length).toBeGreaterThan(0);
        expect(after.map((hit) => hit.triangle)).toEqual(before.map((hit) => hit.triangle));
        after.forEach((hit, i) => {
          expect(hit.at.frame).toBe('n');
          expect(Math.abs(hit.distanceMm - before[i]!.distanceMm)).toBeLessThan(1e-2);
        });
      }),
    );
  });

  it('of a closed surface are odd in number from inside and even from outside, whatever the direction', () => {
    const mesh = ball('m', [0, 0, 0], 20, 15);
    const query = meshQuery(mesh);
    fc.assert(
      fc.property(anySeed, fc.double({ min: 0, max: 19, noNaN: true }), (seed, depth) => {
        const random = numbers(seed);
        const inside = scaled(random.direction(), depth);
        const outside = scaled(random.direction(), 25);
        const towards = random.direction();
        fc.pre([inside, outside].every((from) => triangles(mesh).every((t) => clear(meeting(from, towards, t)))));
        expect(query.crossings(point('m', inside), direction('m', towards)).length).toBe(1);
        expect(query.crossings(point('m', outside), direction('m', towards)).length % 2).toBe(0);
      }),
    );
  });

  it('are found from both sides of a surface, and not behind the start', () => {
    const query = meshQuery(cube('m', [0, 0, 0], 10));
    const crossedAt = (from: Vec3, towards: Vec3): readonly number[] =>
      query.crossings(point('m', from), direction('m', towards)).map((hit) => hit.distanceMm);
    expect(crossedAt([-5, 3, 6], [1, 0, 0])).toEqual([5, 15]);
    expect(crossedAt([4, 3, 6], [1, 0, 0])).toEqual([6]);
    expect(crossedAt([4, 3, 6], [-1, 0, 0])).toEqual([4]);
    expect(crossedAt([15, 3, 6], [1, 0, 0])).toEqual([]);
    expect(crossedAt([-5, 13, 6], [1, 0, 0])).toEqual([]);
  });

  it('are not lost where a half-line goes through a side that two triangles share, or through a vertex', () => {
    const query = meshQuery(cube('m', [0, 0, 0], 10));
    const places = (from: Vec3, towards: Vec3): readonly number[] => [
      ...new Set(
        query.crossings(point('m', from), direction('m', towards)).map((hit) => Math.round(hit.distanceMm * 1e6) / 1e6),
      ),
    ];
    // Through the diagonals of two opposite faces, through two opposite edges, and along the long diagonal.
    expect(places([5, 5, -5], [0, 0, 1])).toEqual([5, 15]);
    expect(places([-10, -10, 3], [1, 1, 0])).toEqual([14.142136, 28.284271]);
    expect(places([-10, -10, -10], [1, 1, 1])).toEqual([17.320508, 34.641016]);
  });

  it('keep to one open triangle: through it one, beside it none', () => {
    const quarter = transform('m', 'm', rotationAbout([0, 0, 1], Math.PI / 2), [0, 0, 0]);
    const single: Mesh<'m'> = {
      frame: 'm',
      positions: Float32Array.from([0, 0, 0, 10, 0, 0, 0, 10, 0]),
      triangles: Uint32Array.from([0, 1, 2]),
    };
    const down = direction('m', [0, 0, -1]);
    expect(meshQuery(single).crossings(point('m', [3, 3, 7]), down)).toMatchObject([{ distanceMm: 7, triangle: 0 }]);
    expect(meshQuery(single).crossings(point('m', [6, 6, 7]), down)).toEqual([]);
    // Turned by a right angle it lies at x below 0, and the first half-line misses it.
    expect(meshQuery(moved(quarter, single)).crossings(point('m', [3, 3, 7]), down)).toEqual([]);
  });
});
