// npm start to an answering page, when installed and built: the whole process, from nothing to the first page and to the leg.
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { median, shown, tell } from './timing.mjs';

const script = fileURLToPath(new URL('../scripts/start.mjs', import.meta.url));

async function started() {
  // A folder of its own, so that the demo case is made too.
  const data = mkdtempSync(join(tmpdir(), 'kerfline-start-'));
  const begin = performance.now();
  const child = spawn(process.execPath, [script, '--port', '0', '--data', data], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const address = await new Promise((found) => {
    let said = '';
    child.stdout.on('data', (chunk) => {
      said += chunk;
      const match = /http:\S+/.exec(said);
      if (match) found(match[0]);
    });
  });
  const page = await fetch(address);
  if (!page.ok) throw new Error(`the page answers ${page.status}`);
  await page.text();
  const answering = performance.now() - begin;
  const leg = await fetch(new URL('/api/cases/demo/leg', address));
  if (!leg.ok) throw new Error(`the leg answers ${leg.status}`);
  await leg.text();
  const measured = performance.now() - begin;
  const ended = new Promise((done) => child.once('exit', done));
  child.kill();
  await ended;
  rmSync(data, { recursive: true });
  return { answering, measured };
}

const runs = [];
for (let k = 0; k < 3; k += 1) runs.push(await started());
tell([
  {
    name: 'npm start to an answering page, installed and built, demo case made',
    ours: shown(median(runs.map((r) => r.answering))),
    unit: 'ms',
    mark: 5000,
  },
  {
    name: 'npm start to the measured leg of the demo case',
    ours: shown(median(runs.map((r) => r.measured))),
    unit: 'ms',
  },
]);
