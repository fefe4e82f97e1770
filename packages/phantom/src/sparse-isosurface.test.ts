import { type Field, meshQuality } from '@kerfline/geometry';
import { describe, expect, it } from 'vitest';
import { sphere } from './primitives.ts';
import { sparseIsosurface } from './sparse-isosurface.ts';

const box = { min: [-30, -30, -30], max: [30, 30, 30] } as const;

describe('a sparse isosurface', () => {
  it('[PH6] of a sphere has its volume and area, and every vertex on it', () => {
    const mesh = sparseIsosurface('made', sphere([0.3, -0.2, 0.1], 21), box, 1, 1);
    const quality = meshQuality(mesh);
    expect(quality.closed).toBe(true);
    expect(quality.volumeMm3 / ((4 / 3) * Math.PI * 21 ** 3)).toBeCloseTo(1, 2);
    expect(quality.areaMm2 / (4 * Math.PI * 21 ** 2)).toBeCloseTo(1, 2);
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const r = Math.hypot(mesh.positions[i]! - 0.3, mesh.positions[i + 1]! + 0.2, mesh.positions[i + 2]! - 0.1);
      expect(Math.abs(r - 21)).toBeLessThan(1e-5);
    }
  });

  it('[PH6] asks the field at a small part of the places of the grid', () => {
    let asked = 0;
    const ball = sphere([0, 0, 0], 21);
    const counted: Field = (x, y, z) => {
      asked += 1;
      return ball(x, y, z);
    };
    sparseIsosurface('made', counted, box, 0.5, 1);
    expect(asked).toBeLessThan(121 ** 3 / 4);
  });

  it('[PH3] joins no edge to more than two triangles where bodies nearly touch', () => {
    // Rods that cross and miss each other by less than a cell, in directions that suit no grid.
    const rod = (ax: number, ay: number, az: number, off: number): Field => {
      const n = Math.hypot(ax, ay, az);
      return (x, y, z) => {
        const t = (x * ax + y * ay + z * az) / n;
        return Math.sqrt(Math.max(0, x * x + y * y + (z - off) ** 2 - t * t)) - 4;
      };
    };
    const rods = [rod(1, 0.13, 0, 0), rod(0.21, 1, 0, 8.4), rod(-0.6, 1, 0, -8.2)];
    const ends = sphere([0, 0, 0], 25);
    const body: Field = (x, y, z) => Math.max(ends(x, y, z), Math.min(...rods.map((r) => r(x, y, z))));
    const quality = meshQuality(sparseIsosurface('made', body, box, 1, 2));
    expect(quality.branchingEdges).toBe(0);
    expect(quality.openEdges).toBe(0);
    expect(quality.volumeMm3).toBeGreaterThan(0);
  });
});
