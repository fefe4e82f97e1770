// npm run pictures: makes docs/pictures/ anew from the demo case, whose knee is invented.
import { spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { checkNode, ensureBrowser, ensureBuilt, ensureInstalled, root } from './machine.mjs';

checkNode();
ensureInstalled();
ensureBuilt();
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
await browser.close();
server.kill();
rmSync(data, { recursive: true });
