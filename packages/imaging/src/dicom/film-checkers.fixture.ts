import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Whether a program outside the project is there. */
export const isThere = (program: string): boolean => spawnSync(program, ['--version']).error === undefined;

function withFile<T>(bytes: Uint8Array, work: (path: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'kerfline-film-'));
  try {
    const path = join(folder, 'film.dcm');
    writeFileSync(path, bytes);
    return work(path);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** What a program prints about a file, both streams together, and how it ended. */
export const said = (program: string, bytes: Uint8Array): { readonly text: string; readonly status: number | null } =>
  withFile(bytes, (path) => {
    const { stdout, stderr, status } = spawnSync(program, [path], { encoding: 'latin1' });
    return { text: `${stdout}${stderr}`, status };
  });

/** The file that a program makes of a file. */
export const converted = (program: string, bytes: Uint8Array, options: readonly string[]): Uint8Array =>
  withFile(bytes, (path) => {
    const { stderr, status } = spawnSync(program, [...options, path, `${path}.out`], { encoding: 'latin1' });
    if (status !== 0) throw new Error(`${program}: ${stderr}`);
    return new Uint8Array(readFileSync(`${path}.out`));
  });
