import { describe, expect, it } from 'vitest';
import { mapOf } from './film-frame.ts';
import { levelFor, tileEdge, tilesIn } from './film-tiles.ts';

const shape = { columns: 4000, rows: 12000, tallness: 1 };
const size = [1280, 800] as const;
const map = (zoom: number, turn = 0) => mapOf({ zoom, turn, mirrored: false, middle: [2000, 6000] }, shape, size);

describe('the tiles of a film', () => {
  it('are of the level whose pixels are about as large as the screen shows them', () => {
    expect(levelFor(map(1), 1, 6)).toBe(0);
    expect(levelFor(map(3), 1, 6)).toBe(0);
    expect(levelFor(map(0.5), 1, 6)).toBe(1);
    expect(levelFor(map(0.5), 2, 6)).toBe(0);
    expect(levelFor(map(0.001), 1, 6)).toBe(5);
  });

  it('cover every pixel in view, turned or not, and none off the film', () => {
    for (const turn of [0, 0.7, Math.PI / 2]) {
      const view = map(0.4, turn);
      const level = levelFor(view, 1, 6);
      const tiles = tilesIn(view, shape, level, [0, 0], size);
      const edge = tileEdge * 2 ** level;
      const names = new Set(tiles.map(({ across, down }) => `${across},${down}`));
      const [a, b, c, d, e, f] = view;
      for (let column = 5; column < shape.columns; column += 90) {
        for (let row = 5; row < shape.rows; row += 90) {
          const [x, y] = [a * column + c * row + e, b * column + d * row + f];
          if (x < 0 || x > size[0] || y < 0 || y > size[1]) continue;
          expect(names.has(`${Math.floor(column / edge)},${Math.floor(row / edge)}`)).toBe(true);
        }
      }
      for (const { across, down } of tiles) {
        expect(across * edge).toBeLessThan(shape.columns);
        expect(down * edge).toBeLessThan(shape.rows);
      }
    }
  });

  it('come with the middle of the view first', () => {
    const [first] = tilesIn(map(1), shape, 0, [0, 0], size);
    expect(first).toEqual({ level: 0, across: 3, down: 11 });
  });
});
