import type { Pixel } from '@kerfline/knee';

/** A place on the screen, CSS pixels from the upper left corner of the viewer. */
export type Spot = readonly [x: number, y: number];

/** Size of the viewer, CSS pixels. */
export type Size = readonly [width: number, height: number];

/** Pixels of a film, and how much taller than wide one of them is. */
export interface FilmShape {
  readonly columns: number;
  readonly rows: number;
  readonly tallness: number;
}

/** How a film lies under the viewer; marks stay in the pixels of the file whatever this says. */
export interface FilmFrame {
  /** CSS pixels in one column. */
  readonly zoom: number;
  /** Turned clockwise, radians. */
  readonly turn: number;
  /** Turned over left for right, before it is turned round. */
  readonly mirrored: boolean;
  /** The pixel under the middle of the viewer. */
  readonly middle: Pixel;
}

/**
 * Six numbers [a, b, c, d, e, f] of the map from pixels of the film to the screen: x = a column + c row + e,
 * y = b column + d row + f, as a canvas takes them.
 */
export type FilmMap = readonly [a: number, b: number, c: number, d: number, e: number, f: number];

/** The map of a frame. */
export function mapOf({ zoom, turn, mirrored, middle }: FilmFrame, shape: FilmShape, size: Size): FilmMap {
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const across = mirrored ? -zoom : zoom;
  const down = zoom * shape.tallness;
  const [a, b, c, d] = [cos * across, sin * across, -sin * down, cos * down];
  return [a, b, c, d, size[0] / 2 - a * middle[0] - c * middle[1], size[1] / 2 - b * middle[0] - d * middle[1]];
}

/** Where a pixel is seen. */
export const toSpot = ([a, b, c, d, e, f]: FilmMap, [column, row]: Pixel): Spot => [
  a * column + c * row + e,
  b * column + d * row + f,
];

/** The pixel seen at a spot. */
export function toPixel([a, b, c, d, e, f]: FilmMap, [x, y]: Spot): Pixel {
  const whole = a * d - b * c;
  return [(d * (x - e) - c * (y - f)) / whole, (a * (y - f) - b * (x - e)) / whole];
}

/**
 * Never smaller than this share of the whole film in view, nor larger than so many CSS pixels in a column.
 *
 * @numerical
 */
const [leastOfFit, mostZoom] = [0.5, 40];

/** The zoom at which the whole film is seen with a little air around it. */
export function fitZoom(turn: number, shape: FilmShape, [width, height]: Size): number {
  const [cos, sin] = [Math.abs(Math.cos(turn)), Math.abs(Math.sin(turn))];
  const [wide, tall] = [shape.columns, shape.rows * shape.tallness];
  return 0.97 * Math.min(width / (cos * wide + sin * tall), height / (sin * wide + cos * tall));
}

/** The whole film, turned as it was. */
export const fitted = (frame: FilmFrame, shape: FilmShape, size: Size): FilmFrame => ({
  ...frame,
  zoom: fitZoom(frame.turn, shape, size),
  middle: [shape.columns / 2, shape.rows / 2],
});

const withMiddle = (frame: FilmFrame, [column, row]: Pixel, shape: FilmShape): FilmFrame => ({
  ...frame,
  // The middle of the viewer never leaves the film, so that it cannot be lost.
  middle: [Math.min(shape.columns, Math.max(0, column)), Math.min(shape.rows, Math.max(0, row))],
});

/** Drawn along by the hand. */
export function panned(frame: FilmFrame, [dx, dy]: Spot, shape: FilmShape, size: Size): FilmFrame {
  const map = mapOf(frame, shape, size);
  return withMiddle(frame, toPixel(map, [size[0] / 2 - dx, size[1] / 2 - dy]), shape);
}

/** Brought nearer by a factor, with what is at `spot` staying there. */
export function zoomed(frame: FilmFrame, factor: number, spot: Spot, shape: FilmShape, size: Size): FilmFrame {
  const zoom = Math.min(mostZoom, Math.max(leastOfFit * fitZoom(frame.turn, shape, size), frame.zoom * factor));
  return kept({ ...frame, zoom }, frame, spot, shape, size);
}

/** Turned clockwise about `spot`, radians. */
export const turned = (frame: FilmFrame, by: number, spot: Spot, shape: FilmShape, size: Size): FilmFrame =>
  kept({ ...frame, turn: frame.turn + by }, frame, spot, shape, size);

/** Turned over for left and right about the middle of the viewer. */
export const turnedOver = (frame: FilmFrame): FilmFrame => ({
  ...frame,
  mirrored: !frame.mirrored,
  turn: -frame.turn,
});

/** Brought so that a pixel is in the middle. */
export const centred = (frame: FilmFrame, pixel: Pixel, shape: FilmShape): FilmFrame => withMiddle(frame, pixel, shape);

/** The changed frame, moved so that what was at `spot` is there again. */
function kept(changed: FilmFrame, before: FilmFrame, spot: Spot, shape: FilmShape, size: Size): FilmFrame {
  const held = toPixel(mapOf(before, shape, size), spot);
  const now = toSpot(mapOf(changed, shape, size), held);
  const map = mapOf(changed, shape, size);
  return withMiddle(changed, toPixel(map, [size[0] / 2 + now[0] - spot[0], size[1] / 2 + now[1] - spot[1]]), shape);
}
