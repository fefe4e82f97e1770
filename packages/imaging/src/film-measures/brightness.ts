import type { FilmPixels } from '../film-pixels/pixel-source.ts';

/** A place on a film, `[column, row]` in pixels; the centre of the first pixel is (0.5, 0.5). */
export type Place = readonly [column: number, row: number];

/** What measuring needs of a film. `FilmPixels` and a made picture both fit. */
export type Picture = Pick<FilmPixels, 'columns' | 'rows' | 'data' | 'inverted'>;

/** The stored value at a place, between four pixels in proportion; NaN beyond the centres of the outermost pixels. */
export function valueAt({ columns, rows, data }: Picture, column: number, row: number): number {
  const x = column - 0.5;
  const y = row - 0.5;
  if (!(x >= 0 && y >= 0 && x <= columns - 1 && y <= rows - 1)) return Number.NaN;
  const c = Math.min(Math.floor(x), columns - 2);
  const r = Math.min(Math.floor(y), rows - 2);
  if (c < 0 || r < 0) return Number.NaN;
  const at = r * columns + c;
  const [fx, fy] = [x - c, y - r];
  const above = data[at]! * (1 - fx) + data[at + 1]! * fx;
  const below = data[at + columns]! * (1 - fx) + data[at + columns + 1]! * fx;
  return above * (1 - fy) + below * fy;
}

/** +1 where dense parts have high stored values, -1 where they have low ones: dense is shown bright. */
export const brightSign = ({ inverted }: Picture): 1 | -1 => (inverted ? -1 : 1);
