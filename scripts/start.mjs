// npm start: installs what is missing, builds what has changed, seeds the demo case and serves. Arguments go to the server.
import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { checkNode, ensureBuilt, ensureInstalled, root } from './machine.mjs';

checkNode();
ensureInstalled();
ensureBuilt();
const server = spawn(process.execPath, [join(root, 'apps/server/dist/main.js'), ...process.argv.slice(2)], {
  stdio: 'inherit',
});
for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => server.kill(signal));
server.on('exit', (code) => process.exit(code ?? 0));
