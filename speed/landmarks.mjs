// Landmarks and their spreads of a whole leg in a process of its own, first run, from files of a bone with 170,000 triangles.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readBoneFiles } from '@kerfline/cases';
import { writePly } from '@kerfline/imaging';
import { legFromBones } from '@kerfline/knee';
import { bonesWith, side } from './bones.mjs';
import { median, shown, tell } from './timing.mjs';

const roles = ['femur', 'tibia', 'fibula', 'patella'];

/** Reads the bones of a folder and measures them, once. */
function measure(folder) {
  const files = Object.fromEntries(
    roles.map((role) => [
      role,
      { bytes: new Uint8Array(readFileSync(join(folder, `${role}.ply`))), fileName: `${role}.ply` },
    ]),
  );
  const read = readBoneFiles(files);
  if (!read.ok) throw new Error(JSON.stringify(read.error));
  const start = performance.now();
  const leg = legFromBones(read.value.meshes, { side });
  const ms = performance.now() - start;
  if (!leg.ok) throw new Error(JSON.stringify(leg.error));
  return { ms, mb: process.resourceUsage().maxRSS / 1024 };
}

if (process.argv[2] === undefined) {
  const bones = bonesWith(170_000);
  const folder = mkdtempSync(join(tmpdir(), 'kerfline-speed-'));
  for (const role of roles) writeFileSync(join(folder, `${role}.ply`), writePly(bones[role]));
  const runs = [1, 2, 3].map(() => {
    const child = spawnSync(process.execPath, [fileURLToPath(import.meta.url), folder], { encoding: 'utf8' });
    if (child.status !== 0) throw new Error(child.stderr);
    return JSON.parse(child.stdout);
  });
  rmSync(folder, { recursive: true });
  const counts = roles.map((role) => `${role} ${(bones[role].triangles.length / 3).toLocaleString('en')}`).join(', ');
  tell([
    {
      name: `landmarks of a leg (triangles: ${counts}), first run`,
      ours: shown(median(runs.map((r) => r.ms))),
      unit: 'ms',
      mark: 1500,
    },
    {
      name: 'memory of that process, reading included',
      ours: shown(Math.max(...runs.map((r) => r.mb))),
      unit: 'MB',
      mark: 600,
    },
  ]);
} else {
  tell(measure(process.argv[2]));
}
