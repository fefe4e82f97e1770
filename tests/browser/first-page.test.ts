import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it, test } from 'vitest';
import { browserPath, launched, type Served, served, watched } from './served.fixture.ts';

test.skipIf(browserPath !== undefined)(
  'SKIPPED, no browser is named: npm test finds one, or set KERFLINE_CHROMIUM',
  (t) => t.skip(),
);

describe.skipIf(browserPath === undefined)('the first page', () => {
  let browser: Browser;
  let demo: Served;
  beforeAll(async () => {
    [browser, demo] = await Promise.all([launched(), served()]);
  });
  afterAll(async () => {
    await browser?.close();
    await demo?.stop();
  });

  const room = async (page: Page, name: 'leg' | 'bench' | 'proof', waitsFor: string): Promise<void> => {
    await page.goto(`${demo.address}/cases/demo/${name}`);
    await page.waitForSelector(waitsFor);
  };
  const revision = async (page: Page): Promise<number> =>
    Number(/Revision (\d+)/.exec((await page.textContent('.whose'))!)![1]);
  const text = async (page: Page, selector: string): Promise<string> =>
    (await page.locator(selector).allTextContents()).join(' ');

  /** Text as it is laid out, so that words beside each other stay apart. */
  const innerText = async (page: Page, selector: string): Promise<string> =>
    (await page.locator(selector).allInnerTexts()).join(' ');

  it('opens on the measured leg of the invented patient, with side, caution and units, and asks nothing of other hosts', async () => {
    const { page, complaints, hosts } = await watched(browser);
    await page.goto(demo.address);
    await page.getByRole('heading', { name: 'Leg', exact: true }).waitFor();
    expect(new URL(page.url()).pathname).toBe('/cases/demo/leg');
    expect(await page.title()).toContain('LEFT knee');
    expect(await page.textContent('.whose')).toContain('LEFT knee');
    const body = await innerText(page, 'body');
    expect(body.match(/Not a cleared medical device/g)).toHaveLength(1);
    // The virtual knee was built with an LDFA of 88.4, an MPTA of 87.4 and a joint that opens by 2.5.
    const rows = await innerText(page, 'main');
    const ldfa = Number(/LDFA[\s\S]*?(\d+\.\d) ± [\d.]+°/.exec(rows)![1]);
    expect(Math.abs(ldfa - 88.4)).toBeLessThan(1);
    expect(hosts).toEqual(new Set(['localhost']));
    expect(complaints).toEqual([]);
    await page.close();
  });

  it('is painted from less than 300 kB of script, gzipped, without three', async () => {
    const { page } = await watched(browser);
    const scripts: number[] = [];
    const names: string[] = [];
    page.on('response', async (response) => {
      if (!response.url().endsWith('.js')) return;
      names.push(response.url());
      scripts.push(gzipSync(await response.body()).length);
    });
    await room(page, 'leg', 'main');
    await page.waitForLoadState('networkidle');
    expect(scripts.reduce((sum, size) => sum + size, 0)).toBeLessThan(300_000);
    // What the solids and the films are drawn with is fetched when they are asked for.
    expect(names.filter((name) => /solids|film/.test(name))).toEqual([]);
    await page.close();
  });

  it('is worked with the keyboard alone: rooms, a ring of collars, an aim typed over', async () => {
    const { page, complaints } = await watched(browser);
    await room(page, 'leg', 'main');
    const focused = (): Promise<string> =>
      page.evaluate(
        () => document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '',
      );
    const tabTo = async (wanted: string): Promise<void> => {
      for (let k = 0; k < 60 && (await focused()) !== wanted; k += 1) await page.keyboard.press('Tab');
      expect(await focused()).toBe(wanted);
    };
    await page.keyboard.press('Tab');
    expect(await focused()).toBe('to the content');
    await tabTo('Bench');
    await page.keyboard.press('Enter');
    await page.waitForSelector('.scale');
    expect(new URL(page.url()).pathname).toBe('/cases/demo/bench');

    const before = await revision(page);
    const call = await text(page, '.guide >> nth=0 >> .call');
    const sums = await text(page, '.guide >> nth=0 >> .sum');
    await tabTo('Collar');
    const collar = Number(await page.getByRole('slider', { name: 'Collar' }).getAttribute('aria-valuenow'));
    await page.keyboard.press('ArrowRight');
    expect(Number(await page.getByRole('slider', { name: 'Collar' }).getAttribute('aria-valuenow'))).toBe(collar + 1);
    // The call and the pieces follow at once; the setting is recorded.
    expect(await text(page, '.guide >> nth=0 >> .call')).not.toBe(call);
    expect(await text(page, '.guide >> nth=0 >> .sum')).not.toBe(sums);
    await expect.poll(() => revision(page)).toBe(before + 1);
    await page.reload();
    await page.waitForSelector('.scale');
    expect(Number(await page.getByRole('slider', { name: 'Collar' }).getAttribute('aria-valuenow'))).toBe(collar + 1);
    expect(complaints).toEqual([]);
    await page.close();
  });

  it('follows a changed aim at once, and says why one is refused', async () => {
    const { page } = await watched(browser);
    await room(page, 'bench', '.scale');
    await page.selectOption('select', 'mechanical');
    const tibia = (): Promise<string> => page.locator('.want input').nth(1).inputValue();
    await expect.poll(tibia).toBe('0.0');
    await page.selectOption('select', 'restricted-kinematic');
    const want = page.locator('.want input').nth(1);
    await want.fill('7 varus');
    await want.press('Enter');
    await expect.poll(() => text(page, '.want em')).toMatch(/MPTA/);
    await want.fill('1,5 varus');
    await want.press('Enter');
    await expect.poll(tibia).toBe('1.5 varus');
    await expect.poll(() => text(page, '.want em')).not.toMatch(/MPTA/);
    await page.close();
  });

  it('says when a change could not be recorded, keeps showing it, and records it when asked again', async () => {
    const { page } = await watched(browser);
    await room(page, 'bench', '.scale');
    const before = await revision(page);
    const feeler = page.getByRole('slider', { name: 'Feeler' });
    await page.route('**/entries', (route) => route.abort());
    await feeler.focus();
    await page.keyboard.press('ArrowLeft');
    const set = await feeler.getAttribute('aria-valuenow');
    await expect.poll(() => text(page, '[role=alert]')).toContain('Not recorded');
    expect(await feeler.getAttribute('aria-valuenow')).toBe(set);
    await page.unroute('**/entries');
    await page.getByRole('button', { name: 'try again' }).click();
    await expect.poll(() => revision(page)).toBe(before + 1);
    expect(await page.locator('[role=alert]').count()).toBe(0);
    await page.close();
  });

  it('shows the pieces as sums that add up as shown, and the bones as solids when asked', async () => {
    const { page, complaints } = await watched(browser);
    await room(page, 'proof', '.cuts');
    const sums = await page.locator('.cuts .sum').allInnerTexts();
    expect(sums.length).toBeGreaterThan(0);
    const lines = sums.flatMap((sum) => [
      ...sum.replaceAll(/\s+/g, ' ').matchAll(/(\d+\.\d\d) − (\d+\.\d\d) − (\d+\.\d\d) = (\d+\.\d\d)/g),
    ]);
    expect(lines).toHaveLength(6);
    for (const [, intact, wear, kerf, piece] of lines) {
      expect(Number(intact) - Number(wear) - Number(kerf)).toBeCloseTo(Number(piece), 1);
    }
    await page.getByText('show the bones as solids').click();
    await page.waitForSelector('canvas[data-ready=true]', { timeout: 60_000 });
    expect(complaints.filter((c) => !/GPU stall|GL Driver Message/.test(c))).toEqual([]);
    await page.close();
  });

  it.each(['leg', 'bench', 'proof'] as const)(
    'prints the %s with side, patient, revision and caution, without controls',
    async (name) => {
      const { page } = await watched(browser);
      await room(page, name, 'main');
      await page.emulateMedia({ media: 'print' });
      expect(await page.locator('.rooms').isVisible()).toBe(false);
      for (const word of ['LEFT knee', 'invented, K 0081', 'Revision']) {
        expect(await page.getByText(word).first().isVisible()).toBe(true);
      }
      // Whose knee and the caution stand in the margins of every page, not at the end of the last.
      expect(await page.getByText('Not a cleared medical device').last().isVisible()).toBe(false);
      const margins = (await page.locator('style').allTextContents()).join();
      expect(margins).toMatch(/@top-right \{ content: "LEFT knee, invented, K 0081, revision \d+, plan [0-9a-f]{8}"/);
      expect(margins).toMatch(/@bottom-left \{ content: "[^"]*Not a cleared medical device[^"]*"/);
      const pdf = await page.pdf({ format: 'A4' });
      expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
      await page.close();
    },
  );

  it.each([
    [1280, 900],
    [820, 1180],
  ])('fits a window %d wide without scrolling sideways', async (width, height) => {
    const { page } = await watched(browser, width, height);
    for (const name of ['leg', 'bench', 'proof'] as const) {
      await room(page, name, 'main');
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
    }
    await page.close();
  });

  it('names a case that is not there', async () => {
    const { page } = await watched(browser);
    await page.goto(`${demo.address}/cases/nobody/leg`);
    await page.getByText('nobody').waitFor();
    await page.close();
  });

  /** Source: reference case of the trade notes, 8.1: pieces after the settings were read back exactly. */
  it('shows a typed leg: the reference example, with the pieces of the worked case', async () => {
    const example = fileURLToPath(new URL('../../examples/reference-left-knee.kerf.json', import.meta.url));
    const reference = await served('--case', example);
    const { page, complaints } = await watched(browser);
    await page.goto(reference.address);
    await page.getByRole('heading', { name: 'Leg', exact: true }).waitFor();
    await page.getByRole('link', { name: 'Proof' }).click();
    await page.waitForSelector('.cuts');
    expect(await innerText(page, 'main')).toContain('The bones are schematic');
    const shown = (await innerText(page, '.cuts')).replaceAll(/\s+/g, ' ');
    for (const sum of [
      '− 2.30 − 1.40 = 4.96',
      '9.00 − 0.00 − 1.40 = 7.60',
      '10.00 − 3.00 − 1.40 = 5.60',
      '10.00 − 0.00 − 1.40 = 8.60',
    ]) {
      expect(shown).toContain(sum);
    }
    expect(complaints).toEqual([]);
    await page.close();
    await reference.stop();
  });
});
