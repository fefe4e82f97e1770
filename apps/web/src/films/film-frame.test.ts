import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type FilmFrame, fitted, mapOf, panned, toPixel, toSpot, turned, turnedOver, zoomed } from './film-frame.ts';

const shape = { columns: 4000, rows: 12000, tallness: 1.1 };
const size = [1280, 800] as const;

const anyFrame: fc.Arbitrary<FilmFrame> = fc.record({
  zoom: fc.double({ min: 0.2, max: 20, noNaN: true }),
  turn: fc.double({ min: -4, max: 4, noNaN: true }),
  mirrored: fc.boolean(),
  middle: fc.tuple(fc.double({ min: 1500, max: 2500, noNaN: true }), fc.double({ min: 5000, max: 7000, noNaN: true })),
});
const anySpot = fc.tuple(
  fc.double({ min: 0, max: size[0], noNaN: true }),
  fc.double({ min: 0, max: size[1], noNaN: true }),
);

const near = (a: readonly number[], b: readonly number[], by: number): void => {
  expect(Math.hypot(a[0]! - b[0]!, a[1]! - b[1]!)).toBeLessThan(by);
};

describe('a film under the viewer', () => {
  it('finds the pixel at a spot that shows it again, however it is turned and turned over', () => {
    fc.assert(
      fc.property(anyFrame, anySpot, (frame, spot) => {
        const map = mapOf(frame, shape, size);
        near(toSpot(map, toPixel(map, spot)), spot, 1e-6);
      }),
    );
  });

  it('stays at the spot about which it is brought nearer or turned, while its middle is on the film', () => {
    fc.assert(
      fc.property(anyFrame, fc.double({ min: 0.5, max: 2, noNaN: true }), (frame, factor) => {
        const spot = [700, 380] as const;
        const held = toPixel(mapOf(frame, shape, size), spot);
        for (const next of [zoomed(frame, factor, spot, shape, size), turned(frame, factor, spot, shape, size)]) {
          near(toSpot(mapOf(next, shape, size), held), spot, 1e-6);
        }
      }),
    );
  });

  it('moves with the hand by exactly what the hand moves', () => {
    fc.assert(
      fc.property(anyFrame, (frame) => {
        const held = toPixel(mapOf(frame, shape, size), [600, 400]);
        near(toSpot(mapOf(panned(frame, [13, -7], shape, size), shape, size), held), [613, 393], 1e-6);
      }),
    );
  });

  it('shows the whole film when it is fitted, also when it lies on its side', () => {
    for (const turn of [0, Math.PI / 2, 0.3]) {
      const frame = fitted({ zoom: 1, turn, mirrored: true, middle: [0, 0] }, shape, size);
      const map = mapOf(frame, shape, size);
      for (const corner of [
        [0, 0],
        [4000, 0],
        [0, 12000],
        [4000, 12000],
      ] as const) {
        const [x, y] = toSpot(map, corner);
        expect(x).toBeGreaterThan(0);
        expect(x).toBeLessThan(1280);
        expect(y).toBeGreaterThan(0);
        expect(y).toBeLessThan(800);
      }
    }
  });

  it('turned over shows left at the right, at the same heights', () => {
    const frame: FilmFrame = { zoom: 1, turn: 0.2, mirrored: false, middle: [2000, 6000] };
    const there = toSpot(mapOf(frame, shape, size), [2100, 6050]);
    const over = toSpot(mapOf(turnedOver(frame), shape, size), [2100, 6050]);
    near([size[0] - over[0], over[1]], there, 1e-9);
  });

  it('cannot be lost: its middle stays on the film however far it is drawn', () => {
    const frame: FilmFrame = { zoom: 0.5, turn: 0, mirrored: false, middle: [2000, 6000] };
    expect(panned(frame, [1e6, -1e6], shape, size).middle).toEqual([0, 12000]);
  });
});
