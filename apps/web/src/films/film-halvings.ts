import { type FilmPixels, pyramid, type Tile, tileOf, windowed } from '@kerfline/imaging';
import type { Light } from './film-messages.ts';
import { type TilePlace, tileEdge } from './film-tiles.ts';

/** The film and its halvings, down to one that fits a tile. */
export function halvings(film: Tile): readonly Tile[] {
  const levels = [film];
  for (let last = film; Math.max(last.columns, last.rows) > tileEdge; levels.push(last)) last = pyramid(last, 1);
  return levels;
}

/** The light that a film is first shown in. */
export const firstLight = ({ window: { centre, width }, inverted }: FilmPixels): Light => ({
  black: centre - width / 2,
  white: centre + width / 2,
  inverted,
});

/** A tile as a screen takes it, with one more pixel at the right and below so that neighbours close up. */
export function tileImage(
  levels: readonly Tile[],
  { level, across, down }: TilePlace,
  { black, white, inverted }: Light,
): ImageData | undefined {
  const film = levels[level];
  if (!film) return undefined;
  const [left, top] = [across * tileEdge, down * tileEdge];
  const columns = Math.min(tileEdge + 1, film.columns - left);
  const rows = Math.min(tileEdge + 1, film.rows - top);
  if (!(columns > 0 && rows > 0)) return undefined;
  const window = { centre: (black + white) / 2, width: Math.max(2, white - black) };
  return new ImageData(windowed(tileOf(film, { left, top, columns, rows }), window, inverted), columns, rows);
}
