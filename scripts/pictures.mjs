// npm run pictures: makes docs/pictures/ anew from the demo case, whose knee is invented.
import { execFileSync, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { checkNode, ensureBrowser, ensureBuilt, ensureInstalled, root } from './machine.mjs';

checkNode();
ensureInstalled();
ensureBuilt();
const { writePly } = await import('@kerfline/imaging');
const { phantomBones, typicalKnee } = await import('@kerfline/phantom');
const { path, env } = await ensureBrowser();
const folder = join(root, 'docs/pictures');
mkdirSync(folder, { recursive: true });
const data = mkdtempSync(join(tmpdir(), 'kerfline-pictures-'));
const server = spawn(process.execPath, [join(root, 'apps/server/dist/main.js'), '--port', '0', '--data', data], {
  stdio: ['ignore', 'pipe', 'inherit'],
});
const address = await new Promise((found) => {
  server.stdout.on('data', (chunk) => {
    const match = /http:\S+/.exec(String(chunk));
    if (match) found(match[0]);
  });
});
const browser = await chromium.launch({
  executablePath: path,
  env: { ...process.env, ...env },
  args: ['--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--no-first-run'],
});
const page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
for (const [room, shown] of [
  ['leg', 'main h2'],
  ['bench', '.scale'],
  ['proof', '.cuts'],
]) {
  await page.goto(new URL(`/cases/demo/${room}`, address).href);
  await page.waitForSelector(shown);
  await page.evaluate(() => document.fonts.ready);
  // Sizes are laid on the bones after the page has come.
  await page.getByText('Laying the size').first().waitFor({ state: 'detached' });
  await page.screenshot({ path: join(folder, `${room}.png`), fullPage: true });
  process.stdout.write(`docs/pictures/${room}.png\n`);
}
// A long film of a virtual knee, simulated, marked by its own true marks but for a few, and calibrated on its ball.
const made = join(data, 'film');
const kerfline = (...args) => execFileSync(process.execPath, [join(root, 'apps/cli/dist/main.js'), ...args]);
const bones = phantomBones({ ...typicalKnee, side: 'left' }, { cellMm: 1.2 });
const files = Object.keys(bones).flatMap((role) => {
  const file = join(data, `${role}.ply`);
  writeFileSync(file, writePly(bones[role], ['virtual knee, mm']));
  return [`--${role}`, file];
});
kerfline('film', 'simulate', ...files, '--side', 'left', '--view', 'long-leg', '--rotate', '4', '--out', made);
const asked = async (path, init) => (await fetch(new URL(path, address), init)).json();
const sent = (body) => ({
  method: 'POST',
  headers: { 'content-type': 'application/json' },
  body: JSON.stringify(body),
});
const begun = { label: 'invented, K 0114', side: 'left', kit: 'demo', aim: 'restricted-kinematic' };
const { id } = await asked('/api/cases', sent(begun));
const said = 'fileName=long.dcm&view=long-leg&side=left&posture=standing&letter=L&mirrored=false';
const { view, film } = await asked(`/api/cases/${id}/films?${said}`, {
  method: 'POST',
  headers: { 'content-type': 'application/octet-stream' },
  body: readFileSync(join(made, 'film.dcm')),
});
const { landmarks, calibration } = JSON.parse(readFileSync(join(made, 'marks.json'), 'utf8'));
const { diameterMm, rim } = calibration;
const ball = { film: film.id, kind: 'ball', sizeMm: diameterMm, rim, depthMm: 0, depthSdMm: 10 };
const statements = [
  { kind: 'calibration', body: ball },
  ...Object.entries(landmarks)
    .filter(([name]) => !['plateauLateral', 'malleolusLateral', 'patellaCentre', 'fibulaHead'].includes(name))
    .map(([name, { pixel, radiusPx }]) => ({
      kind: 'mark',
      body: { film: film.id, name, pixel, ...(radiusPx ? { radiusPx } : {}), by: 'hand' },
    })),
];
await asked(`/api/cases/${id}/entries`, sent({ head: view.head, statements }));
await page.goto(new URL(`/cases/${id}/leg`, address).href);
await page.waitForSelector('.filmsheet canvas');
await page.waitForSelector('.says .f');
// Tiles of the film come one after the other.
await page.waitForTimeout(2000);
await page.screenshot({ path: join(folder, 'film.png') });
process.stdout.write('docs/pictures/film.png\n');
await browser.close();
server.kill();
rmSync(data, { recursive: true });
