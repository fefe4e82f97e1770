import { spawn } from 'node:child_process';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { BadInput } from './bad-input.ts';
import { caseFile } from './files.ts';

/** Starts the server on one case file and leaves it running until the command is stopped, which stops it too. */
export async function openCommand(path: string, options: { readonly port: string }): Promise<void> {
  const port = Number(options.port);
  if (!/^\d+$/.test(options.port) || port > 65535) {
    throw new BadInput([
      `--port ${options.port} is not a port; a whole number from 0 to 65535 is, 0 for any that is free.`,
    ]);
  }
  await caseFile(path);
  const server = fileURLToPath(new URL('../../server/dist/main.js', import.meta.url));
  const child = spawn(process.execPath, [server, '--case', resolve(path), '--port', options.port], {
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => child.kill(signal));
  await new Promise<void>((done, failed) => {
    child.on('error', failed);
    child.on('exit', (code) =>
      code === 0 || code === null ? done() : failed(new Error(`the server ended with ${code}`)),
    );
  });
}
