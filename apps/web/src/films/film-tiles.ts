import type { Pixel } from '@kerfline/knee';
import { type FilmMap, type FilmShape, type Size, toPixel } from './film-frame.ts';

/**
 * Edge of a tile, pixels of its level.
 *
 * @numerical
 */
export const tileEdge = 512;

/** A square of a film, at one of its halvings: level 0 is the film itself. */
export interface TilePlace {
  readonly level: number;
  readonly across: number;
  readonly down: number;
}

export const tileName = ({ level, across, down }: TilePlace): string => `${level}/${across}/${down}`;

/** The level whose pixels are as fine as the screen's, or the next finer one. */
export function levelFor([a, b]: FilmMap, devicePixels: number, levels: number): number {
  const perColumn = Math.hypot(a, b) * devicePixels;
  return Math.min(levels - 1, Math.max(0, Math.floor(Math.log2(1 / perColumn) + 0.25)));
}

/** Tiles of a level that a part of the screen shows, those nearest to its middle first. */
export function tilesIn(
  map: FilmMap,
  shape: FilmShape,
  level: number,
  from: readonly [number, number],
  size: Size,
): readonly TilePlace[] {
  const corners: readonly Pixel[] = [
    toPixel(map, from),
    toPixel(map, [from[0] + size[0], from[1]]),
    toPixel(map, [from[0], from[1] + size[1]]),
    toPixel(map, [from[0] + size[0], from[1] + size[1]]),
  ];
  const edge = tileEdge * 2 ** level;
  const span = (k: 0 | 1, most: number): readonly [number, number] => {
    const seen = corners.map((corner) => corner[k]);
    return [
      Math.max(0, Math.floor(Math.min(...seen) / edge)),
      Math.min(Math.ceil(most / edge) - 1, Math.floor(Math.max(...seen) / edge)),
    ];
  };
  const [left, right] = span(0, shape.columns);
  const [top, bottom] = span(1, shape.rows);
  const middle = toPixel(map, [from[0] + size[0] / 2, from[1] + size[1] / 2]);
  const places: TilePlace[] = [];
  for (let down = top; down <= bottom; down += 1) {
    for (let across = left; across <= right; across += 1) places.push({ level, across, down });
  }
  const away = ({ across, down }: TilePlace): number =>
    Math.hypot((across + 0.5) * edge - middle[0], (down + 0.5) * edge - middle[1]);
  return places.sort((one, other) => away(one) - away(other));
}
