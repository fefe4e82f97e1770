import type { Light } from './film-messages.ts';
import { type TilePlace, tileEdge } from './film-tiles.ts';

/** Samples of a film, row by row. */
export interface Samples {
  readonly columns: number;
  readonly rows: number;
  readonly data: Uint8Array | Uint16Array | Int16Array;
}

/** Half as wide and half as high: each sample the mean of the four it covers, fewer at an odd edge. */
export function halved({ columns, rows, data }: Samples): Samples {
  const [wide, tall] = [(columns + 1) >> 1, (rows + 1) >> 1];
  const half = new (data.constructor as Uint16ArrayConstructor)(wide * tall) as Samples['data'];
  for (let row = 0; row < tall; row += 1) {
    const upper = 2 * row * columns;
    const lower = 2 * row + 1 < rows ? upper + columns : upper;
    for (let column = 0; column < wide; column += 1) {
      const left = 2 * column;
      const right = left + 1 < columns ? left + 1 : left;
      half[row * wide + column] =
        (data[upper + left]! + data[upper + right]! + data[lower + left]! + data[lower + right]!) / 4;
    }
  }
  return { columns: wide, rows: tall, data: half };
}

/** The film and its halvings, down to one that fits a tile. */
export function halvings(film: Samples): readonly Samples[] {
  const levels = [film];
  for (let last = film; Math.max(last.columns, last.rows) > tileEdge; levels.push(last)) last = halved(last);
  return levels;
}

/** A shade for every sample value, as four bytes of a picture; values of two bytes are their bits. */
export function shades({ black, white, inverted }: Light): Uint32Array {
  const table = new Uint32Array(65536);
  const span = Math.max(1e-9, white - black);
  // Fine steps of 8 bits: white is at the end of the span.
  for (let bits = 0; bits < 65536; bits += 1) table[bits] = shade((bits - black) / span, inverted);
  return table;
}

/** The same for samples that may be negative. */
export function signedShades({ black, white, inverted }: Light): Uint32Array {
  const table = new Uint32Array(65536);
  const span = Math.max(1e-9, white - black);
  for (let bits = 0; bits < 65536; bits += 1) {
    table[bits] = shade(((bits > 32767 ? bits - 65536 : bits) - black) / span, inverted);
  }
  return table;
}

function shade(share: number, inverted: boolean): number {
  const grey = Math.round(255 * Math.min(1, Math.max(0, inverted ? 1 - share : share)));
  return (0xff000000 | (grey << 16) | (grey << 8) | grey) >>> 0;
}

/** Pixels of a tile as a screen takes them, with one more at the right and below so that neighbours close up. */
export function tilePixels(
  levels: readonly Samples[],
  { level, across, down }: TilePlace,
  table: Uint32Array,
): ImageData | undefined {
  const film = levels[level];
  if (!film) return undefined;
  const [left, top] = [across * tileEdge, down * tileEdge];
  const [wide, tall] = [Math.min(tileEdge + 1, film.columns - left), Math.min(tileEdge + 1, film.rows - top)];
  if (!(wide > 0 && tall > 0)) return undefined;
  const image = new ImageData(wide, tall);
  const out = new Uint32Array(image.data.buffer);
  const { data, columns } = film;
  for (let row = 0; row < tall; row += 1) {
    const from = (top + row) * columns + left;
    for (let column = 0; column < wide; column += 1) out[row * wide + column] = table[data[from + column]! & 0xffff]!;
  }
  return image;
}
