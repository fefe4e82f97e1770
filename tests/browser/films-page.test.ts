import { rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import { typicalKnee } from '@kerfline/phantom';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it, test } from 'vitest';
import { browserPath, launched, type Served, served, watched } from './served.fixture.ts';
import { largeFilmFile, type SimulatedFilm, simulatedFilms } from './simulated-films.fixture.ts';

test.skipIf(browserPath !== undefined)(
  'SKIPPED, no browser is named: npm test finds one, or set KERFLINE_CHROMIUM',
  (t) => t.skip(),
);

interface ShownFilm {
  readonly id: string;
  readonly view: string;
  readonly marks: readonly { readonly name: string; readonly pixel: readonly [number, number]; readonly by: string }[];
}

describe.skipIf(browserPath === undefined)('films', () => {
  let browser: Browser;
  let place: Served;
  let films: readonly SimulatedFilm[];
  beforeAll(async () => {
    [browser, place] = await Promise.all([launched(), served()]);
    films = simulatedFilms('left', ['long-leg', 'knee-lateral', 'skyline']);
  }, 240_000);
  afterAll(async () => {
    await browser?.close();
    await place?.stop();
  });

  const focused = (page: Page): Promise<string> =>
    page.evaluate(() => {
      const at = document.activeElement;
      if (at === document.body) return '';
      const label =
        at instanceof HTMLInputElement || at instanceof HTMLSelectElement ? at.labels?.[0]?.textContent : '';
      return (at?.getAttribute('aria-label') ?? '') || (label ?? '') || (at?.textContent ?? '');
    });
  /** Goes forward by the Tab key alone until something with these words has the focus. */
  const tabTo = async (page: Page, wanted: string | RegExp): Promise<void> => {
    const fits = (text: string): boolean => (typeof wanted === 'string' ? text.startsWith(wanted) : wanted.test(text));
    for (let k = 0; k < 120; k += 1) {
      if (fits(await focused(page))) return;
      await page.keyboard.press('Tab');
    }
    expect(await focused(page)).toMatch(wanted);
  };
  const file = (film: SimulatedFilm) => ({
    name: film.name,
    mimeType: 'application/dicom',
    buffer: Buffer.from(film.bytes),
  });
  const viewOf = async (page: Page): Promise<{ readonly films: readonly ShownFilm[] }> => {
    const id = new URL(page.url()).pathname.split('/')[2]!;
    const answer = await page.request.get(`${place.address}/api/cases/${id}`);
    return ((await answer.json()) as { view: { films: readonly ShownFilm[] } }).view;
  };
  const marked = async (page: Page, view: string, name: string): Promise<readonly [number, number] | undefined> =>
    (await viewOf(page)).films.find((f) => f.view === view)?.marks.find((mark) => mark.name === name)?.pixel;
  const away = (a: readonly [number, number] | undefined, b: readonly [number, number]): number =>
    a ? Math.hypot(a[0] - b[0], a[1] - b[1]) : Number.POSITIVE_INFINITY;

  const words = {
    'long-leg': 'Long leg, front',
    'knee-lateral': 'Knee, side',
    skyline: 'Kneecap, skyline',
    'knee-front': '',
  } as const;

  /** Begins a case with mouse and keys as they come. */
  const begun = async (page: Page, side: 'LEFT' | 'RIGHT' = 'LEFT'): Promise<void> => {
    await page.goto(`${place.address}/begin`);
    await page.getByText(`${side} knee`).click();
    await page.getByLabel('Name of the case').fill('invented, films');
    await page.waitForSelector('option:has-text("demo")', { state: 'attached' });
    await page.getByLabel('Kit').selectOption('demo');
    await page.getByLabel('Aim').selectOption('restricted-kinematic');
    await page.getByRole('button', { name: 'begin' }).click();
    await page.waitForSelector('.dropplace');
  };
  const added = async (page: Page, film: SimulatedFilm): Promise<void> => {
    await page.setInputFiles('input[type=file]', file(film));
    await page.waitForSelector('.filmpreview');
    await page.getByLabel(words[film.view]).check();
    await page.getByLabel(film.view === 'long-leg' ? 'standing' : 'lying', { exact: true }).check();
    await page.getByLabel('L', { exact: true }).check();
    await page.getByRole('button', { name: /add this film/ }).click();
    await page.waitForSelector('.filmsheet canvas');
  };

  it('are begun, added and marked with the keyboard alone, up to the marks to set on the Bench', async () => {
    const { page, complaints, hosts } = await watched(browser);
    let chosen = films[0]!;
    page.on('filechooser', (chooser) => void chooser.setFiles([file(chosen)]));
    await page.goto(`${place.address}/cases`);
    await page.waitForSelector('.act');
    await tabTo(page, 'begin a case');
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Begin a case' }).waitFor();
    // No side is chosen before the hand chooses one.
    expect(await page.locator('input[name=side]:checked').count()).toBe(0);
    await tabTo(page, /RIGHT knee/);
    await page.keyboard.press('ArrowRight');
    expect(await page.locator('input[name=side]:checked').inputValue()).toBe('left');
    await tabTo(page, 'Name of the case');
    await page.keyboard.type('invented, by keys');
    await page.waitForSelector('option:has-text("demo")', { state: 'attached' });
    await tabTo(page, 'Kit');
    await page.keyboard.type('demo');
    await tabTo(page, 'Aim');
    await page.keyboard.type('Restricted');
    await tabTo(page, /^begin$/);
    await page.keyboard.press('Enter');
    await page.waitForSelector('.dropplace');

    for (const film of films) {
      if (film !== films[0]) {
        await page.locator('.skip').focus();
        await tabTo(page, 'add films');
        await page.keyboard.press('Enter');
        await page.waitForSelector('.dropplace');
      }
      await tabTo(page, 'choose files');
      chosen = film;
      await page.keyboard.press('Space');
      await page.waitForSelector('.filmpreview');
      const choose = async (name: string, label: string): Promise<void> => {
        for (let k = 0; k < 60; k += 1) {
          if ((await page.evaluate(() => (document.activeElement as HTMLInputElement)?.name ?? '')).startsWith(name))
            break;
          await page.keyboard.press('Tab');
        }
        await page.keyboard.press('Space');
        for (let k = 0; k < 8 && !(await focused(page)).startsWith(label); k += 1)
          await page.keyboard.press('ArrowDown');
        expect(await focused(page)).toBe(label);
      };
      await choose('view-', words[film.view]);
      await choose('posture-', film.view === 'long-leg' ? 'standing' : 'lying');
      await choose('letter-', 'L');
      await tabTo(page, /add this film/);
      await page.keyboard.press('Enter');
      await page.waitForSelector('.filmsheet canvas');

      // The first mark goes to its place by arrow keys; the others by their numbers, with a decimal comma.
      const onDrawer = new Set(
        await page.locator('[data-mark]').evaluateAll((all) => all.map((cell) => cell.getAttribute('data-mark')!)),
      );
      const marks = film.marks.filter(({ name }) => onDrawer.has(name));
      expect(marks.length).toBeGreaterThan(3);
      for (const [k, { name, pixel }] of marks.entries()) {
        if ((await page.getAttribute(`[data-mark="${name}"]`, 'aria-pressed')) !== 'true') {
          await page.locator('.skip').focus();
          for (let t = 0; t < 80; t += 1) {
            if ((await page.evaluate(() => document.activeElement?.getAttribute('data-mark'))) === name) break;
            await page.keyboard.press('Tab');
          }
          await page.keyboard.press('Enter');
        }
        const numbers = (): Promise<readonly number[]> =>
          page
            .locator('.inhandpanel input')
            .evaluateAll((all) => all.map((i) => Number((i as HTMLInputElement).value)));
        if (k === 0) {
          // 0.1, 1 and 10 mm of a film of 0.5 mm pixels.
          for (const axis of [0, 1] as const) {
            for (const [keys, step] of [
              ['Control+', 20],
              ['Shift+', 2],
              ['', 0.2],
            ] as const) {
              const off = pixel[axis] - (await numbers())[axis]!;
              const arrow = axis === 0 ? (off > 0 ? 'ArrowRight' : 'ArrowLeft') : off > 0 ? 'ArrowDown' : 'ArrowUp';
              for (let n = Math.round(Math.abs(off) / step); n > 0; n -= 1)
                await page.keyboard.press(`${keys}${arrow}`);
            }
          }
          await page.keyboard.press('Enter');
        } else {
          for (const [axis, field] of ['column', 'row'].entries()) {
            await tabTo(page, field);
            await page.keyboard.press('Control+a');
            await page.keyboard.type(pixel[axis]!.toFixed(2).replace('.', ','));
            await page.keyboard.press('Enter');
          }
          await tabTo(page, /^set it$/);
          await page.keyboard.press('Enter');
        }
        await expect
          .poll(async () => away(await marked(page, film.view, name), pixel), { timeout: 10_000 })
          .toBeLessThan(0.2);
      }
    }
    // The virtual knee was built with this angle; marks stood at their true places, to a tenth of a pixel.
    await page.locator('.skip').focus();
    await tabTo(page, 'Long leg, front');
    await page.keyboard.press('Enter');
    const ldfa = async (): Promise<number> =>
      Number(
        /LDFA, lateral angle[\s\S]*?(\d+\.\d) ±/.exec((await page.locator('.says').allInnerTexts()).join(' '))?.[1],
      );
    await expect.poll(async () => Math.abs((await ldfa()) - typicalKnee.femur.ldfaDeg)).toBeLessThan(1);
    await page.locator('.skip').focus();
    await tabTo(page, 'Bench');
    await page.keyboard.press('Enter');
    await page.waitForSelector('.guide .call', { timeout: 30_000 });
    const calls = (await page.locator('.call').allInnerTexts()).join(' ');
    expect(calls).toMatch(/\d/);
    expect(hosts).toEqual(new Set(['localhost']));
    expect(complaints).toEqual([]);
    await page.close();
  }, 400_000);

  it('are marked by touch: a cell is tapped, the film is tapped, two fingers bring it nearer, a long press moves finely', async () => {
    const context = await browser.newContext({ viewport: { width: 820, height: 1180 }, hasTouch: true });
    const page = await context.newPage();
    await begun(page);
    const [film] = films;
    await added(page, film!);
    const sheet = page.locator('.filmsheet .film');
    await sheet.scrollIntoViewIfNeeded();
    const truth = new Map(film!.marks.map(({ name, pixel }) => [name, pixel]));
    /** Where a pixel is seen: drawn by the test's own reckoning of a whole film in the viewer. */
    const spot = async ([column, row]: readonly [number, number]): Promise<readonly [number, number]> => {
      const box = (await sheet.boundingBox())!;
      const [wide, tall] = [box.width - 4, box.height - 4];
      const { columns, rows } = await page.evaluate(() => {
        const said = /(\d+) by (\d+) pixels/.exec(document.querySelector('.calibration')!.textContent!)!;
        return { columns: Number(said[1]), rows: Number(said[2]) };
      });
      const zoom = 0.97 * Math.min(wide / columns, tall / rows);
      return [box.x + 2 + wide / 2 + (column - columns / 2) * zoom, box.y + 2 + tall / 2 + (row - rows / 2) * zoom];
    };
    for (const name of ['hipCentre', 'plafondCentre', 'femoralKneeCentre']) {
      const cell = page.locator(`[data-mark="${name}"]`);
      if ((await cell.getAttribute('aria-pressed')) !== 'true') await cell.tap();
      await page.getByRole('button', { name: 'whole film' }).tap();
      await sheet.scrollIntoViewIfNeeded();
      await page.touchscreen.tap(...(await spot(truth.get(name)!)));
      // A finger on a whole leg: within the pixels that lie under one CSS pixel or two.
      await expect.poll(async () => away(await marked(page, 'long-leg', name), truth.get(name)!)).toBeLessThan(8);
    }
    const cdp = await context.newCDPSession(page);
    const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', points: readonly (readonly [number, number])[]) =>
      cdp.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: points.map(([x, y], id) => ({ x: Math.round(x), y: Math.round(y), id })),
      });
    const picture = (): Promise<string> =>
      page.evaluate(() => (document.querySelector('.filmsheet canvas') as HTMLCanvasElement).toDataURL());
    await page.keyboard.press('Escape');
    await sheet.scrollIntoViewIfNeeded();
    const box = (await sheet.boundingBox())!;
    const [mx, my] = [box.x + box.width / 2, box.y + box.height / 2];
    const before = await picture();
    await touch('touchStart', [
      [mx - 30, my],
      [mx + 30, my],
    ]);
    for (let k = 1; k <= 6; k += 1) {
      await touch('touchMove', [
        [mx - 30 - 12 * k, my],
        [mx + 30 + 12 * k, my],
      ]);
    }
    await touch('touchEnd', []);
    await expect.poll(picture).not.toBe(before);
    // A finger that rests has the mark in hand under the loupe; it is set where the finger is lifted.
    await page.locator('[data-mark="distalMedial"]').tap();
    await sheet.scrollIntoViewIfNeeded();
    const held = (await sheet.boundingBox())!;
    const [hx, hy] = [held.x + held.width / 2, held.y + held.height / 2];
    await touch('touchStart', [[hx, hy]]);
    await page.waitForTimeout(700);
    await touch('touchMove', [[hx - 20, hy + 10]]);
    await touch('touchEnd', []);
    await expect.poll(async () => (await marked(page, 'long-leg', 'distalMedial')) !== undefined).toBe(true);
    await context.close();
  }, 120_000);

  it('are refused in a sentence when they are no films, or of the other side, and nothing of the case is lost', async () => {
    const { page } = await watched(browser);
    await begun(page, 'RIGHT');
    await page.setInputFiles('input[type=file]', {
      name: 'letter.txt',
      mimeType: 'text/plain',
      buffer: Buffer.from('no film at all'),
    });
    await expect
      .poll(() => page.locator('.dropped [role=alert]').allInnerTexts())
      .toEqual([expect.stringContaining('letter.txt')]);
    await page.getByRole('button', { name: 'leave it out' }).click();
    await page.setInputFiles('input[type=file]', file(films[2]!));
    await page.waitForSelector('.filmpreview');
    await page.getByLabel('Kneecap, skyline').check();
    await page.getByLabel('lying', { exact: true }).check();
    await page.getByLabel('L', { exact: true }).check();
    await page.getByRole('button', { name: /add this film/ }).click();
    expect(await page.locator('.dropped [role=alert]').textContent()).toMatch(/LEFT.*RIGHT/s);
    expect((await viewOf(page)).films).toEqual([]);
    await page.close();
  }, 60_000);

  it('are turned over by a key, which is recorded, shown in heavy words, and taken back by the same key', async () => {
    const { page, complaints } = await watched(browser);
    await begun(page);
    await added(page, films[0]!);
    const over = async (): Promise<unknown> => {
      const id = new URL(page.url()).pathname.split('/')[2]!;
      const answer = await page.request.get(`${place.address}/api/cases/${id}`);
      return ((await answer.json()) as { view: { films: { mirrored: boolean }[] } }).view.films[0]?.mirrored;
    };
    await page.locator('.film').focus();
    await page.keyboard.press('o');
    await expect.poll(over).toBe(true);
    await page.getByText('Recorded as turned over for left and right').waitFor();
    await page.locator('.film').focus();
    await page.keyboard.press('o');
    await expect.poll(over).toBe(false);
    expect(complaints).toEqual([]);
    await page.close();
  });

  it('take a mark back and set it again, by keys', async () => {
    const { page, complaints } = await watched(browser);
    await begun(page);
    const [film] = films;
    await added(page, film!);
    const hip = film!.marks.find(({ name }) => name === 'hipCentre')!;
    await page.locator('[data-mark="hipCentre"]').click();
    for (const [axis, field] of (['column', 'row'] as const).entries()) {
      await page.getByLabel(field).fill(String(hip.pixel[axis]));
      await page.getByLabel(field).press('Enter');
    }
    await page.getByRole('button', { name: 'set it' }).click();
    await expect.poll(async () => away(await marked(page, 'long-leg', 'hipCentre'), hip.pixel)).toBeLessThan(0.1);
    await page.keyboard.press('Control+z');
    await expect.poll(async () => await marked(page, 'long-leg', 'hipCentre')).toBeUndefined();
    await page.keyboard.press('Control+Shift+z');
    await expect.poll(async () => away(await marked(page, 'long-leg', 'hipCentre'), hip.pixel)).toBeLessThan(0.1);

    expect(complaints).toEqual([]);
    await page.close();
  }, 60_000);

  it('are measured by helpers: a ball of known size and the head by their rims, with how far the circle is off', async () => {
    const { page, complaints } = await watched(browser);
    await begun(page);
    const [film] = films;
    await added(page, film!);
    const sheet = page.locator('.filmsheet .film');
    const size = /(\d+) by (\d+) pixels/.exec((await page.textContent('.calibration'))!)!;
    /** Carries the point in hand by whole millimetres, two pixels here, and shows it; says where it then is. */
    const shown = async (at: readonly [number, number], from: readonly [number, number]) => {
      await sheet.focus();
      const now: [number, number] = [from[0], from[1]];
      for (const axis of [0, 1] as const) {
        for (const [keys, step] of [
          ['Control+', 20],
          ['Shift+', 2],
        ] as const) {
          const off = at[axis] - now[axis];
          const arrow = axis === 0 ? (off > 0 ? 'ArrowRight' : 'ArrowLeft') : off > 0 ? 'ArrowDown' : 'ArrowUp';
          const count = Math.trunc(Math.abs(off) / step);
          for (let n = 0; n < count; n += 1) await page.keyboard.press(`${keys}${arrow}`);
          now[axis] += Math.sign(off) * count * step;
        }
      }
      await page.keyboard.press('Enter');
      return now;
    };
    let from: readonly [number, number] = [Number(size[1]) / 2, Number(size[2]) / 2];
    await page.getByRole('button', { name: 'calibrate on a ball' }).click();
    for (const k of [0, 4, 8]) {
      from = await shown(film!.ball[k]!, from);
      if (k < 8) continue;
      // Found points make the cross jump to the centre of the circle.
      await expect
        .poll(() => page.textContent('.calibration'))
        .toMatch(/circle through \d+ points, radius [\d.]+ pixels, off by \d/);
    }
    for (const [field, value] of [
      ['its diameter', '0'],
      ['nearer to the tube than the bone by', '0'],
      ['which may be off by', '5'],
    ] as const) {
      await page.getByLabel(field).fill(value);
      await page.getByLabel(field).press('Enter');
    }
    // A ball of no size is refused in words, and cannot be recorded.
    await expect.poll(() => page.textContent('.calibration [role=alert]')).toMatch(/0 mm.*above 0 mm is needed/);
    expect(await page.getByRole('button', { name: 'record it' }).isDisabled()).toBe(true);
    await page.getByLabel('its diameter').fill('25,0');
    await page.getByLabel('its diameter').press('Enter');
    await page.getByRole('button', { name: 'record it' }).click();
    await expect.poll(() => page.textContent('.calibration')).toMatch(/calibrated on a ball of 25 mm/);

    // The head: points on its rim, 24.5 mm about the true centre; the fit is within 2 mm, four pixels here.
    const hip = film!.marks.find(({ name }) => name === 'hipCentre')!.pixel;
    await page.locator('[data-mark="hipCentre"]').click();
    const start = await page
      .locator('.inhandpanel input')
      .evaluateAll((all) => all.map((i) => Number((i as HTMLInputElement).value)));
    from = [start[0]!, start[1]!];
    await page.getByRole('button', { name: 'by its rim' }).click();
    for (const [x, y] of [
      [-1, 0],
      [-0.6, -0.8],
      [0, -1],
      [0.6, -0.8],
    ] as const) {
      from = await shown([hip[0] + 49 * x, hip[1] + 49 * y], from);
      await page.waitForTimeout(400);
      const now = await page
        .locator('.inhandpanel input')
        .evaluateAll((all) => all.map((i) => Number((i as HTMLInputElement).value)));
      from = [now[0]!, now[1]!];
    }
    await expect.poll(() => page.textContent('.inhandpanel')).toMatch(/circle through \d+ points/);
    await page.getByRole('button', { name: 'set it' }).click();
    await expect.poll(async () => away(await marked(page, 'long-leg', 'hipCentre'), hip)).toBeLessThan(4);
    expect((await viewOf(page)).films[0]!.marks[0]!.by).toBe('helper');
    expect(complaints).toEqual([]);
    await page.close();
  }, 90_000);

  it('are marked again without the marks of before, and what that tells is shown', async () => {
    const { page, complaints } = await watched(browser);
    await begun(page);
    const [film] = films;
    await added(page, film!);
    const id = new URL(page.url()).pathname.split('/')[2]!;
    const known = (await (await page.request.get(`${place.address}/api/cases/${id}`)).json()) as {
      view: { head: string; films: readonly { id: string }[] };
    };
    const names = ['hipCentre', 'femoralKneeCentre', 'distalMedial', 'distalLateral'];
    const statements = film!.marks
      .filter(({ name }) => names.includes(name))
      .map(({ name, pixel }) => ({ kind: 'mark', body: { film: known.view.films[0]!.id, name, pixel, by: 'hand' } }));
    await page.request.post(`${place.address}/api/cases/${id}/entries`, {
      data: { head: known.view.head, statements },
    });
    await page.reload();
    await page.getByRole('button', { name: 'mark this film again' }).click();
    expect(await page.locator('.cell.placed').count()).toBe(0);
    for (const name of names) {
      const [column, row] = film!.marks.find((mark) => mark.name === name)!.pixel;
      await page.locator(`[data-mark="${name}"]`).click();
      for (const [field, value] of [
        ['column', column + 2],
        ['row', row - (name === 'distalMedial' ? 3 : 0)],
      ] as const) {
        await page.getByLabel(field).fill(String(value));
        await page.getByLabel(field).press('Enter');
      }
      await page.getByRole('button', { name: 'set it' }).click();
    }
    await page.getByRole('button', { name: 'record this marking' }).click();
    await expect.poll(() => page.textContent('.again')).toMatch(/LDFA, standard error of a measurement/);
    // The leg keeps the first marks.
    expect(
      away(await marked(page, 'long-leg', 'hipCentre'), film!.marks.find((m) => m.name === 'hipCentre')!.pixel),
    ).toBeLessThan(0.1);
    expect(complaints).toEqual([]);
    await page.close();
  }, 60_000);

  it('of 4,000 by 12,000 pixels are seen soon after they are dropped, and follow the hand', async () => {
    const { page } = await watched(browser, 1280, 800);
    await begun(page);
    await page.evaluate(() => {
      const marks = window as unknown as { dropped: number; seen: number };
      const look = (): void => {
        if (document.querySelector('.filmpreview')) marks.seen = performance.now();
        else requestAnimationFrame(look);
      };
      document.querySelector('input[type=file]')!.addEventListener('change', () => {
        marks.dropped = performance.now();
        look();
      });
    });
    const large = await largeFilmFile('left');
    await page.setInputFiles('input[type=file]', large);
    await page.waitForFunction(() => (window as unknown as { seen: number }).seen > 0);
    const first = await page.evaluate(() => {
      const marks = window as unknown as { dropped: number; seen: number };
      return marks.seen - marks.dropped;
    });
    // On an idle machine 2 s at most; here other work may go on beside it.
    expect(first).toBeLessThan(8000);
    await page.getByLabel(words['long-leg']).check();
    await page.getByLabel('standing', { exact: true }).check();
    await page.getByLabel('L', { exact: true }).check();
    await page.getByRole('button', { name: /add this film/ }).click();
    await page.waitForSelector('.filmsheet canvas', { timeout: 60_000 });
    const box = (await page.locator('.filmsheet .film').boundingBox())!;
    await page.waitForTimeout(1000);
    await page.evaluate(() => {
      const kept = window as unknown as { frames: number[] };
      kept.frames = [];
      let last = performance.now();
      const next = (): void => {
        const now = performance.now();
        kept.frames.push(now - last);
        last = now;
        requestAnimationFrame(next);
      };
      requestAnimationFrame(next);
    });
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let k = 1; k <= 80; k += 1) await page.mouse.move(x + 60 * Math.sin(k / 8), y + 90 * Math.sin(k / 15));
    await page.mouse.up();
    const frames = await page.evaluate(() => (window as unknown as { frames: number[] }).frames);
    const sorted = [...frames].sort((a, b) => a - b);
    // On an idle machine no frame takes 50 ms; the middle one must not here either.
    expect(sorted[Math.floor(sorted.length / 2)]).toBeLessThan(50);
    await page.close();
    await rm(dirname(large), { recursive: true });
  }, 120_000);

  it('may be pictures: a JPEG made by the browser itself is read, is said to know nothing, and is marked', async () => {
    const { page, complaints } = await watched(browser);
    await begun(page);
    const jpeg = await page.evaluate(async () => {
      const canvas = new OffscreenCanvas(700, 1600);
      const context = canvas.getContext('2d')!;
      context.fillStyle = '#222';
      context.fillRect(0, 0, 700, 1600);
      context.fillStyle = '#ccc';
      context.fillRect(300, 100, 90, 1400);
      const blob = await canvas.convertToBlob({ type: 'image/jpeg' });
      return [...new Uint8Array(await blob.arrayBuffer())];
    });
    await page.setInputFiles('input[type=file]', {
      name: 'picture.jpg',
      mimeType: 'image/jpeg',
      buffer: Buffer.from(jpeg),
    });
    await page.waitForSelector('.filmpreview');
    const said = (await page.textContent('.dropped'))!;
    expect(said).toMatch(/700 by 1600 pixels; the file knows no millimetres/);
    expect(said).toMatch(/is likely: Long leg, front/);
    // What is likely is not taken before it is confirmed.
    expect(await page.locator('.dropped input[name^=view]:checked').count()).toBe(0);
    await page.getByRole('button', { name: 'yes, long leg, front' }).click();
    await page.getByLabel('standing', { exact: true }).check();
    await page.getByLabel('no letter', { exact: true }).check();
    await page.getByRole('button', { name: /add this film/ }).click();
    await page.waitForSelector('.filmsheet canvas');
    await page.locator('[data-mark="hipCentre"]').click();
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('Enter');
    // A tenth of a pixel where there are no millimetres.
    await expect.poll(async () => (await marked(page, 'long-leg', 'hipCentre'))?.[0]).toBeCloseTo(350.1, 6);
    expect(complaints).toEqual([]);
    await page.close();
  }, 60_000);

  it.each([
    [1280, 900],
    [820, 1180],
  ])(
    'fit a window %d wide without scrolling sideways',
    async (width, height) => {
      const { page } = await watched(browser, width, height);
      await begun(page);
      const wide = (): Promise<number> => page.evaluate(() => document.documentElement.scrollWidth);
      expect(await wide()).toBeLessThanOrEqual(width);
      await added(page, films[0]!);
      expect(await wide()).toBeLessThanOrEqual(width);
      await page.close();
    },
    60_000,
  );
});
