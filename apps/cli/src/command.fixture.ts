import { execFile, execFileSync } from 'node:child_process';
import { join } from 'node:path';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import { expect } from 'vitest';

const root = fileURLToPath(new URL('../../../', import.meta.url));

/** The command as it is run. */
export const commandPath = join(root, 'apps/cli/dist/main.js');

/** Builds the command from the sources as they are. */
export function buildCommand(): void {
  execFileSync(process.execPath, [join(root, 'node_modules/typescript/bin/tsc'), '-b', 'apps/cli'], {
    cwd: root,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
}

/** What a process left: its exit code and what it printed. */
export interface Ran {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** Runs the command in a process of its own. */
export const ran = (args: readonly string[]): Promise<Ran> =>
  new Promise((ended) => {
    execFile(process.execPath, [commandPath, ...args], { maxBuffer: 1 << 26 }, (error, out, err) => {
      ended({ code: error ? Number(error.code ?? 1) : 0, out, err });
    });
  });

/** Bad input: exit code 2, nothing on standard output, words of the reason and no trace of the program. */
export function refused(left: Ran, ...words: readonly (string | RegExp)[]): void {
  expect(left.code, left.err).toBe(2);
  expect(left.out).toBe('');
  for (const word of words) expect(left.err).toMatch(word);
  expect(left.err).not.toMatch(/\n\s+at /);
}

/** What a command printed that went well. */
export function done(left: Ran): string {
  expect(left.code, left.err).toBe(0);
  return left.out;
}
