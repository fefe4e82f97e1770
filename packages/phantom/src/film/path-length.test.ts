import {
  expectOk,
  noRotation,
  product,
  type Rotation,
  rotated,
  rotationAbout,
  type Surface,
  type Vec3,
} from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type FilmCone, seenThrough } from './film-cone.ts';
import { filmScene } from './film-scene.ts';
import { addPathLength } from './path-length.ts';
import { strawLimb } from './straw-limb.fixture.ts';

const { cone } = expectOk(
  filmScene(
    strawLimb('right', 0),
    { rotate: 0, flex: 0 },
    { view: 'knee-front', sourceDistanceMm: 1000, boneDistanceMm: 100, pixelMm: 0.5, widthMm: 100, heightMm: 100 },
  ),
  'scene',
);

/** Path of every ray of the film through a surface, mm. */
function paths(surface: Surface, through: FilmCone = cone): (column: number, row: number) => number {
  const corners = new Float64Array(surface.positions.length);
  for (let i = 0; i < corners.length; i += 3) {
    const p = surface.positions;
    const { pixel, magnification } = seenThrough(through, [p[i]!, p[i + 1]!, p[i + 2]!]);
    corners.set([...pixel, magnification / through.sourceDistanceMm], i);
  }
  const { columns, rows } = through;
  const sum = new Float32Array(columns * rows);
  addPathLength(sum, { columns, fromRow: 0, toRow: rows }, { corners, triangles: surface.triangles }, 1, [1, 1000]);
  return (column, row) => {
    const [x, y] = [(column + 0.5 - columns / 2) * 0.5, (row + 0.5 - rows / 2) * 0.5];
    return sum[row * columns + column]! * Math.sqrt(1 + (x * x + y * y) / 1e6);
  };
}

/** A sphere of rings, counter-clockwise seen from outside. */
function sphere(radius: number, centre: Vec3, rings: number): Surface {
  const around = 2 * rings;
  const positions: number[] = [];
  for (let i = 0; i <= rings; i += 1) {
    for (let k = 0; k < around; k += 1) {
      const [p, q] = [(Math.PI * i) / rings, (2 * Math.PI * k) / around];
      positions.push(
        centre[0] + radius * Math.sin(p) * Math.cos(q),
        centre[1] + radius * Math.sin(p) * Math.sin(q),
        centre[2] + radius * Math.cos(p),
      );
    }
  }
  const triangles: number[] = [];
  for (let i = 0; i < rings; i += 1) {
    for (let k = 0; k < around; k += 1) {
      const [a, b] = [i * around + k, i * around + ((k + 1) % around)];
      triangles.push(a, a + around, b, b, a + around, b + around);
    }
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

/** A cube about the origin, turned. */
function cube(side: number, turn: Rotation): Surface {
  const h = side / 2;
  const corner = (i: number): Vec3 => rotated(turn, [i & 1 ? h : -h, i & 2 ? h : -h, i & 4 ? h : -h]);
  const faces = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ] as const;
  return {
    positions: Float64Array.from(Array.from({ length: 8 }, (_, i) => corner(i)).flat()),
    triangles: Uint32Array.from(faces.flatMap(([a, b, c, d]) => [a, b, c, a, c, d])),
  };
}

describe('the path of rays through a closed surface', () => {
  it('is 2 sqrt(r^2 - d^2) through a sphere', () => {
    // Closed form: d is the distance of the middle from the ray. The facets of 240 rings lie within 2 um of the sphere.
    const [radius, centre] = [18, [6, 9, -4] as Vec3];
    const path = paths(sphere(radius, centre, 240));
    const source: Vec3 = [0, 900, 0];
    let checked = 0;
    for (let row = 5; row < 200; row += 9) {
      for (let column = 5; column < 200; column += 9) {
        const ray: Vec3 = [-(column + 0.5 - 100) * 0.5, -1000, -(row + 0.5 - 100) * 0.5];
        const to: Vec3 = [centre[0] - source[0], centre[1] - source[1], centre[2] - source[2]];
        const along = (ray[0] * to[0] + ray[1] * to[1] + ray[2] * to[2]) / Math.hypot(...ray);
        const distance = Math.sqrt(Math.max(0, Math.hypot(...to) ** 2 - along ** 2));
        if (Math.abs(distance - radius) < 0.3) continue;
        checked += distance < radius ? 1 : 0;
        const closed = distance >= radius ? 0 : 2 * Math.sqrt(radius ** 2 - distance ** 2);
        expect(Math.abs(path(column, row) - closed)).toBeLessThan(0.02);
      }
    }
    expect(checked).toBeGreaterThan(40);
  });

  it('is the side of a cube along the beam, however long the ray is', () => {
    const path = paths(cube(30, noRotation));
    // Front and rear face are square to the beam, 30 mm apart along it; the slant of the ray is all that is added (geometry).
    expect(path(100, 100)).toBeCloseTo(30, 3);
    expect(path(75, 110)).toBeCloseTo(30 * Math.sqrt(1 + (12.25 ** 2 + 5.25 ** 2) / 1e6), 3);
  });

  it('is nothing beside a closed surface, and never less than nothing', () => {
    const turnOf = fc
      .tuple(fc.double({ min: -3, max: 3, noNaN: true }), fc.double({ min: -3, max: 3, noNaN: true }))
      .map(([a, b]) => product(rotationAbout([1, 0, 0], a), rotationAbout([0, 0, 1], b)));
    fc.assert(
      fc.property(turnOf, (turn) => {
        const path = paths(cube(30, turn));
        // The half diagonal, 26 mm, reaches 29.7 mm on this film: 60 pixels from its middle.
        let beside = 0;
        let least = 0;
        let most = 0;
        for (let row = 0; row < 200; row += 1) {
          for (let column = 0; column < 200; column += 1) {
            const mm = path(column, row);
            if (Math.hypot(column - 99.5, row - 99.5) > 61) beside = Math.max(beside, Math.abs(mm));
            least = Math.min(least, mm);
            most = Math.max(most, mm);
          }
        }
        expect(beside).toBe(0);
        expect(least).toBeGreaterThan(-1e-3);
        // The long diagonal is 30 sqrt(3) = 51.96 mm.
        expect(most).toBeLessThan(51.97);
      }),
      { numRuns: 20 },
    );
  });
});
