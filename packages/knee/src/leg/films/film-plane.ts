import type { Pixel, PixelSpacing } from './film.ts';

/** A place or a step on a film, mm: to the right and down, as pixels go. */
export type OnFilm = readonly [rightMm: number, downMm: number];

export const onFilm = ([column, row]: Pixel, { columnMm, rowMm }: PixelSpacing): OnFilm => [
  column * columnMm,
  row * rowMm,
];

export const stepTo = (to: OnFilm, from: OnFilm): OnFilm => [to[0] - from[0], to[1] - from[1]];

export const middleOf = (places: readonly OnFilm[]): OnFilm => [
  places.reduce((sum, p) => sum + p[0], 0) / places.length,
  places.reduce((sum, p) => sum + p[1], 0) / places.length,
];

export const sizeOf = (step: OnFilm): number => Math.hypot(step[0], step[1]);

export const along = (a: OnFilm, b: OnFilm): number => a[0] * b[0] + a[1] * b[1];

/** Angle between two steps, radians, 0 to pi. */
export const angleBetween = (a: OnFilm, b: OnFilm): number =>
  Math.atan2(Math.abs(a[0] * b[1] - a[1] * b[0]), along(a, b));
