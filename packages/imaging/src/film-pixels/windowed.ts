import type { FilmPixels } from './pixel-source.ts';
import type { Tile } from './pyramid.ts';

/**
 * The grey a stored value is shown with, 0 black to 255 white: the standard's LINEAR function (PS3.3 C.11.2.1.2.1).
 *
 * @param inverted true where high values are dark
 */
export function shownGrey(value: number, { centre, width }: FilmPixels['window'], inverted: boolean): number {
  const half = (width - 1) / 2;
  const share =
    value <= centre - 0.5 - half ? 0 : value > centre - 0.5 + half ? 1 : (value - (centre - 0.5)) / (width - 1) + 0.5;
  return Math.round(255 * (inverted ? 1 - share : share));
}

/** A tile as a screen takes it: red, green, blue and full opacity for each pixel. */
export function windowed(tile: Tile, window: FilmPixels['window'], inverted: boolean): Uint8ClampedArray<ArrayBuffer> {
  const { data } = tile;
  const signed = data instanceof Int16Array;
  const from = signed ? -32_768 : 0;
  const table = new Uint32Array(data instanceof Uint8Array ? 256 : 65_536);
  for (let i = 0; i < table.length; i++) table[i] = 0xff000000 + 0x010101 * shownGrey(from + i, window, inverted);
  const out = new Uint32Array(data.length);
  for (let i = 0; i < out.length; i++) out[i] = table[data[i]! - from]!;
  return new Uint8ClampedArray(out.buffer);
}
