import type { Samples } from './pixel-source.ts';

/** Part of a film, or a coarser film: stored values, rows from the top. */
export interface Tile {
  readonly columns: number;
  readonly rows: number;
  readonly data: Samples;
}

/**
 * A film `level` times halved: each number is the mean of a square of 2^level pixels, fewer at the right and lower edge.
 *
 * Pixel (c, r) of it covers columns c * 2^level to (c + 1) * 2^level of the film, so a place on it times 2^level is the
 * place on the film.
 */
export function pyramid(pixels: Tile, level: number): Tile {
  if (!(Number.isInteger(level) && level >= 0 && level <= 8)) throw new Error(`level ${level} is not 0 to 8`);
  if (level === 0) return { columns: pixels.columns, rows: pixels.rows, data: pixels.data };
  const { data } = pixels;
  const side = 1 << level;
  const columns = Math.ceil(pixels.columns / side);
  const rows = Math.ceil(pixels.rows / side);
  const out =
    data instanceof Uint8Array
      ? new Uint8Array(columns * rows)
      : data instanceof Int16Array
        ? new Int16Array(columns * rows)
        : new Uint16Array(columns * rows);
  // 2^16 pixels of 16 bits add up to at most 2^32: doubles hold them exactly.
  const sums = new Float64Array(columns);
  const whole = Math.floor(pixels.columns / side);
  for (let row = 0; row < rows; row++) {
    const to = Math.min(pixels.rows, (row + 1) * side);
    sums.fill(0);
    for (let r = row * side; r < to; r++) {
      let at = r * pixels.columns;
      for (let c = 0; c < whole; c++) {
        let sum = 0;
        for (const end = at + side; at < end; at++) sum += data[at]!;
        sums[c] = sums[c]! + sum;
      }
      for (const end = (r + 1) * pixels.columns; at < end; at++) sums[whole] = sums[whole]! + data[at]!;
    }
    const high = to - row * side;
    for (let c = 0; c < columns; c++) {
      const wide = Math.min(side, pixels.columns - c * side);
      out[row * columns + c] = Math.round(sums[c]! / (wide * high));
    }
  }
  return { columns, rows, data: out };
}

/** The least level at which a film is no larger than `columns` by `rows`. */
export function levelFor(pixels: Tile, columns: number, rows: number): number {
  let level = 0;
  while (level < 8 && (pixels.columns / 2 ** level > columns || pixels.rows / 2 ** level > rows)) level += 1;
  return level;
}

/** A rectangle cut out of a film or level; it must lie within. */
export function tileOf(
  pixels: Tile,
  {
    left,
    top,
    columns,
    rows,
  }: { readonly left: number; readonly top: number; readonly columns: number; readonly rows: number },
): Tile {
  if (!(left >= 0 && top >= 0 && left + columns <= pixels.columns && top + rows <= pixels.rows))
    throw new Error(`${columns} x ${rows} from ${left}, ${top} is not within ${pixels.columns} x ${pixels.rows}`);
  const { data } = pixels;
  const size = columns * rows;
  const out =
    data instanceof Uint8Array
      ? new Uint8Array(size)
      : data instanceof Int16Array
        ? new Int16Array(size)
        : new Uint16Array(size);
  for (let r = 0; r < rows; r++) {
    const from = (top + r) * pixels.columns + left;
    out.set(data.subarray(from, from + columns), r * columns);
  }
  return { columns, rows, data: out };
}
