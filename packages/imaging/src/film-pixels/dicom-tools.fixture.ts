import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Whether all of these programs can be started here. */
export const toolsHere = (...names: readonly string[]): boolean =>
  names.every((name) => spawnSync('which', [name]).status === 0);

/** A file passed through programs that each take `options in out`. */
export function passedThrough(
  bytes: Uint8Array,
  ...steps: readonly (readonly [tool: string, ...options: string[]])[]
): Uint8Array {
  const folder = mkdtempSync(join(tmpdir(), 'kerfline-film-'));
  try {
    let from = join(folder, '0.dcm');
    writeFileSync(from, bytes);
    steps.forEach(([tool, ...options], i) => {
      const to = join(folder, `${i + 1}.dcm`);
      execFileSync(tool, [...options, from, to], { stdio: 'pipe' });
      from = to;
    });
    return new Uint8Array(readFileSync(from));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
