import { performance } from 'node:perf_hooks';
import { describe, expect, it } from 'vitest';
import { filmLike } from './film-file.fixture.ts';
import { levelFor, pyramid, tileOf } from './pyramid.ts';
import { shownGrey, windowed } from './windowed.ts';

const film = { columns: 5, rows: 3, data: Uint16Array.of(1, 3, 5, 7, 9, 1, 3, 5, 7, 11, 2, 4, 100, 102, 60_000) };

describe('a film made coarser', () => {
  it('[FP19] each number is the mean of its square, and of what is there at the edges, by hand', () => {
    const { columns, rows, data } = pyramid(film, 1);
    expect({ columns, rows }).toEqual({ columns: 3, rows: 2 });
    expect([...data]).toEqual([2, 6, 10, 3, 101, 60_000]);
    expect([...pyramid(film, 2).data]).toEqual([20, 20_007]); // 240 / 12, 60,020 / 3 = 20,006.7
    expect(pyramid(film, 0).data).toBe(film.data);
  });
  it('[FP19] negative numbers keep their sign, and 8 bits stay 8 bits', () => {
    expect(pyramid({ columns: 2, rows: 1, data: Int16Array.of(-10, -20) }, 1).data).toEqual(Int16Array.of(-15));
    expect(pyramid({ columns: 2, rows: 1, data: Uint8Array.of(250, 254) }, 3).data).toEqual(Uint8Array.of(252));
  });
  it('[FP19] the level for a screen is the least that fits', () => {
    expect(levelFor({ columns: 4000, rows: 12_000, data: film.data }, 1600, 1000)).toBe(4);
    expect(levelFor({ columns: 1600, rows: 1000, data: film.data }, 1600, 1000)).toBe(0);
  });
  it('[FP19] a tile is cut where it was asked for, and never beyond the film', () => {
    expect([...tileOf(film, { left: 3, top: 1, columns: 2, rows: 2 }).data]).toEqual([7, 11, 102, 60_000]);
    expect(() => tileOf(film, { left: 4, top: 0, columns: 2, rows: 1 })).toThrow('within');
  });
});

describe('a film on a screen', () => {
  it('[FP20] the worked limits of the LINEAR function', () => {
    // PS3.3 C.11.2.1.2.1, note: centre 2048, width 4096 shows 0 as black and 4095 as white.
    const window = { centre: 2048, width: 4096 };
    expect([0, 4095].map((value) => shownGrey(value, window, false))).toEqual([0, 255]);
    expect([0, 4095].map((value) => shownGrey(value, window, true))).toEqual([255, 0]);
    // The same note: centre 0, width 1 is black below 0 and white from 0.
    expect([-1, 0].map((value) => shownGrey(value, { centre: 0, width: 1 }, false))).toEqual([0, 255]);
    // The same note: centre 2048, width 1 is white from 2048.
    expect([2047, 2048].map((value) => shownGrey(value, { centre: 2048, width: 1 }, false))).toEqual([0, 255]);
  });
  it('[FP20] each pixel becomes four bytes', () => {
    const tile = { columns: 3, rows: 1, data: Int16Array.of(-100, 0, 100) };
    expect([...windowed(tile, { centre: 0.5, width: 201 }, false)]).toEqual([
      0, 0, 0, 255, 128, 128, 128, 255, 255, 255, 255, 255,
    ]);
  });
  it('[FP21] a film of 4,000 x 12,000 pixels of 16 bits is on a screen within a second', () => {
    const part = filmLike(400, 400, 16);
    const data = new Uint16Array(48_000_000);
    for (let at = 0; at < data.length; at += part.length) data.set(part, at);
    const large = { columns: 4000, rows: 12_000, data };
    const before = performance.now();
    const level = pyramid(large, levelFor(large, 1600, 1200));
    windowed(level, { centre: 30_000, width: 40_000 }, false);
    const took = performance.now() - before;
    expect(level.columns * level.rows).toBe(250 * 750);
    expect(took).toBeLessThan(1000);
  });
});
