import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Whether a program outside the project is there. */
export const isThere = (program: string): boolean => spawnSync(program, ['--version']).error === undefined;

/** What a program prints about a file, both streams together, and how it ended. */
export function said(
  program: string,
  bytes: Uint8Array,
  ...options: readonly string[]
): { readonly text: string; readonly status: number | null } {
  const folder = mkdtempSync(join(tmpdir(), 'kerfline-film-'));
  try {
    const path = join(folder, 'film.dcm');
    writeFileSync(path, bytes);
    const { stdout, stderr, status } = spawnSync(program, [...options, path], { encoding: 'latin1' });
    return { text: `${stdout}${stderr}`, status };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
