import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { env } from 'node:process';
import { fileURLToPath } from 'node:url';
import { boundingBox, expectOk } from '@kerfline/geometry';
import { describe, expect, test } from 'vitest';
import { readMesh } from './read-mesh.ts';

/**
 * Surfaces from open research data, measured by another program: each folder holds `mesh_checks.json` with the numbers
 * (volume and bounding box rounded to two digits) and one PLY file for each of its entries.
 */
const folder = env.KERFLINE_BONES ?? fileURLToPath(new URL('../../../../shared/data/bones', import.meta.url));

interface Checks {
  readonly vertices: number;
  readonly triangles: number;
  readonly open_edges: number;
  readonly edges_shared_by_3_or_more: number;
  readonly direction_conflicts: number;
  readonly watertight: boolean;
  readonly components: readonly number[];
  readonly volume_cm3: number;
  readonly bbox_min: readonly number[];
  readonly bbox_max: readonly number[];
}

const sets = existsSync(folder)
  ? readdirSync(folder).filter((set) => existsSync(join(folder, set, 'mesh_checks.json')))
  : [];
const surfaces = sets.flatMap((set) =>
  Object.entries(JSON.parse(readFileSync(join(folder, set, 'mesh_checks.json'), 'utf8')) as Record<string, Checks>).map(
    ([name, checks]) => ({ set, name, checks }),
  ),
);
const rounding = 0.0051;

describe('a scanned surface', () => {
  test.skipIf(surfaces.length > 0)(
    'SKIPPED, the research data is not here: set KERFLINE_BONES to a folder with */mesh_checks.json to compare',
    ({ skip }) => skip(),
  );

  test.each(surfaces)(
    '[IM7] $set $name agrees with another program in counts, volume and box',
    ({ set, name, checks }) => {
      const { mesh, quality, findings } = expectOk(readMesh(readFileSync(join(folder, set, `${name}.ply`))), name);
      expect(findings).toEqual([]);
      expect(quality).toMatchObject({
        vertices: checks.vertices,
        triangles: checks.triangles,
        openEdges: checks.open_edges,
        branchingEdges: checks.edges_shared_by_3_or_more,
        windingConflicts: checks.direction_conflicts,
        closed: checks.watertight,
        pieces: checks.components,
      });
      expect(Math.abs(quality.volumeMm3 / 1000 - checks.volume_cm3)).toBeLessThan(rounding);
      const box = boundingBox(mesh);
      for (const axis of [0, 1, 2] as const) {
        expect(Math.abs(box.min[axis] - checks.bbox_min[axis]!)).toBeLessThan(rounding);
        expect(Math.abs(box.max[axis] - checks.bbox_max[axis]!)).toBeLessThan(rounding);
      }
    },
  );
});
