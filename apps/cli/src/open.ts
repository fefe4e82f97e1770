import { spawn } from 'node:child_process';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { caseFile } from './files.ts';

/** Starts the server on one case file and leaves it running until the command is stopped. */
export async function openCommand(path: string, options: { readonly port: string }): Promise<void> {
  await caseFile(path);
  const server = fileURLToPath(new URL('../../server/dist/main.js', import.meta.url));
  const child = spawn(process.execPath, [server, '--case', resolve(path), '--port', options.port], {
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  await new Promise<void>((done, failed) => {
    child.on('error', failed);
    child.on('exit', (code) =>
      code === 0 || code === null ? done() : failed(new Error(`the server ended with ${code}`)),
    );
  });
}
