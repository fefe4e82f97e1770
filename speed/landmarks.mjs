// Landmarks and their spreads of a whole leg in a process of its own, first run: with one bone of 170,000 triangles, and with all
// bones as fine as that one.
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

/** Median time and greatest memory of three processes that measure these bones. */
function inProcesses(bones) {
  const folder = mkdtempSync(join(tmpdir(), 'kerfline-speed-'));
  for (const role of roles) writeFileSync(join(folder, `${role}.ply`), writePly(bones[role]));
  const runs = [1, 2, 3].map(() => {
    const child = spawnSync(process.execPath, [fileURLToPath(import.meta.url), folder], { encoding: 'utf8' });
    if (child.status !== 0) throw new Error(child.stderr);
    return JSON.parse(child.stdout);
  });
  rmSync(folder, { recursive: true });
  const counts = roles.map((role) => `${role} ${(bones[role].triangles.length / 3).toLocaleString('en')}`).join(', ');
  return { ms: shown(median(runs.map((r) => r.ms))), mb: shown(Math.max(...runs.map((r) => r.mb))), counts };
}

if (process.argv[2] === undefined) {
  const fine = bonesWith(170_000);
  const one = inProcesses({ ...bonesWith(20_000), femur: fine.femur });
  const all = inProcesses(fine);
  tell([
    {
      name: `landmarks of a leg with one fine bone (triangles: ${one.counts}), first run`,
      ours: one.ms,
      unit: 'ms',
      mark: 1500,
    },
    {
      name: `landmarks of a leg with fine bones (triangles: ${all.counts}), first run`,
      ours: all.ms,
      unit: 'ms',
      mark: 1500,
    },
    { name: 'memory of that process, reading included', ours: all.mb, unit: 'MB', mark: 600 },
  ]);
} else {
  tell(measure(process.argv[2]));
}
