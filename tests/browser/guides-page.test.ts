import { execFileSync } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { browserPath, launched, type Served, served, watched } from './served.fixture.ts';

const cli = fileURLToPath(new URL('../../apps/cli/dist/main.js', import.meta.url));
const guide = (page: Page, name: string) => page.getByRole('region', { name, exact: true });
const revision = async (page: Page): Promise<number> =>
  Number(/Revision (\d+)/.exec((await page.textContent('.whose'))!)![1]);
const called = async (page: Page, name: string): Promise<string> =>
  (await guide(page, name).locator('.call').allInnerTexts()).join(' ').replaceAll(/\s+/g, ' ').trim();

describe.skipIf(browserPath === undefined)('every guide of the operation on the bench', () => {
  let browser: Browser;
  let demo: Served;
  beforeAll(async () => {
    [browser, demo] = await Promise.all([launched(), served()]);
  });
  afterAll(async () => {
    await browser?.close();
    await demo?.stop();
  });

  it('lies in the order of use, with who does what, and with the size that the bone asks for', async () => {
    const { page, complaints } = await watched(browser);
    await page.goto(`${demo.address}/cases/demo/bench`);
    await page.waitForSelector('.scale');
    expect(await page.locator('.guide h2').allTextContents()).toEqual([
      'Canal core',
      'Heel frame',
      'Slit block',
      'Shin mast',
      'Shin core',
      'Tray trial',
      'Keel tool',
      'Kneecap jaw',
      'Peg drill',
      'Kneecap press',
    ]);
    // The block is of the size that the frame reads, the keel tool of the tray's.
    const size = /Size (\d+)/.exec(await called(page, 'Heel frame'))![1];
    expect(await called(page, 'Slit block')).toBe(`Block ${size}.`);
    const tray = /Tray (\d+)/.exec(await called(page, 'Tray trial'))![1];
    expect(await called(page, 'Keel tool')).toBe(`Keel tool ${tray}.`);
    for (const name of ['Canal core', 'Slit block', 'Tray trial', 'Kneecap press']) {
      expect((await guide(page, name).locator('.prep').allInnerTexts()).join(' ')).toMatch(/who\s+\S/);
    }
    const fit = guide(page, 'Tray trial').locator('.prep');
    const words = async (): Promise<string> => (await fit.allInnerTexts()).join(' ');
    await expect.poll(words, { timeout: 30_000 }).toMatch(/cover\s+\d+ % of the cut/);
    expect(await words()).toContain('by the outline of the cut');
    expect(await fit.first().locator('svg').count()).toBe(1);
    expect(complaints).toEqual([]);
    await page.close();
  });

  it('may be another for the same work, by the keyboard alone, and stays so', async () => {
    const { page, complaints } = await watched(browser);
    await page.goto(`${demo.address}/cases/demo/bench`);
    await page.waitForSelector('.scale');
    expect(await called(page, 'Shin core')).toBe('Not used.');
    const before = await revision(page);
    await page.getByRole('button', { name: 'use it instead of Shin mast' }).focus();
    await page.keyboard.press('Enter');
    await expect.poll(() => called(page, 'Shin mast')).toBe('Not used.');
    expect(await called(page, 'Shin core')).toMatch(/Collar, side view \d/);
    await expect.poll(() => revision(page)).toBe(before + 1);
    await page.reload();
    await page.waitForSelector('.scale');
    expect(await called(page, 'Shin mast')).toBe('Not used.');
    await page.getByRole('button', { name: 'use it instead of Shin core' }).click();
    await expect.poll(() => called(page, 'Shin core')).toBe('Not used.');
    await expect.poll(() => revision(page)).toBe(before + 2);
    expect(complaints).toEqual([]);
    await page.close();
  });

  it('hangs its block on the seat of this side, and offers the rows of that seat', async () => {
    const { page } = await watched(browser);
    await page.goto(`${demo.address}/cases/demo/bench`);
    await page.waitForSelector('.scale');
    const mast = guide(page, 'Shin mast');
    const seat = mast.getByRole('slider', { name: 'Seat' });
    await expect.poll(() => seat.getAttribute('aria-valuetext')).toContain('Seat MIDDLE');
    const pieces = async (): Promise<string> =>
      (await mast.locator('.sum').allInnerTexts()).join(' ').replaceAll(/±.*/g, '');
    const before = await pieces();
    await seat.focus();
    await page.keyboard.press('ArrowLeft');
    await expect.poll(() => seat.getAttribute('aria-valuetext')).toContain('Seat LEFT');
    expect(await called(page, 'Shin mast')).toContain('LEFT');
    // The block hangs elsewhere in the same plane: what comes off is the same, give or take how its pins may turn it.
    expect(await pieces()).toBe(before);
    const pins = mast.getByRole('slider', { name: 'Pins' });
    expect(await pins.getAttribute('aria-valuetext')).toContain('L 0');
    await pins.focus();
    await page.keyboard.press('ArrowRight');
    await expect.poll(() => pins.getAttribute('aria-valuetext')).toContain('L +2');
    await page.close();
  });
});

describe.skipIf(browserPath === undefined)('a kit that the page was not written for', () => {
  it('is laid out, called and proved, also on a small window', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'kerfline-second-page-'));
    const file = join(folder, 'second.kerf.json');
    const said =
      'LDFA=88deg MPTA=87deg slope=6deg shaftMechanical=5.5deg crestLean=4deg tibiaSpan=330mm cortexDepth=61mm tibiaWidth=72mm tibiaDepth=48mm patellaThickness=23mm';
    execFileSync(process.execPath, [
      cli,
      ...['case', 'new', '--side', 'right', '--kit', 'second', '--aim', 'kinematic', '--out', file],
      ...said.split(' ').flatMap((value) => ['--set', value]),
    ]);
    const browser = await launched();
    const second = await served('--case', file);
    try {
      const { page, complaints } = await watched(browser, 820, 1180);
      await page.goto(second.address);
      await page.getByRole('link', { name: 'Bench' }).click();
      await page.waitForSelector('.scale');
      // By hand: 5.5 of the canal and 2 valgus on an arc of half degrees.
      expect(await called(page, 'Thigh rod')).toContain('Arc 7.5 valgus');
      expect(await called(page, 'Shin pole')).toMatch(/Pole \d+ mm/);
      expect(await called(page, 'Punch LEFT')).toBe('For the other side.');
      expect(await called(page, 'Punch RIGHT')).toMatch(/^Punch shoe \d+\.$/);
      await page.getByRole('link', { name: 'Proof' }).click();
      await page.waitForSelector('.cuts');
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(820);
      expect(complaints).toEqual([]);
      await page.close();
    } finally {
      await second.stop();
      await browser.close();
      await rm(folder, { recursive: true, force: true });
    }
  });
});
