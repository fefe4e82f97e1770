import type { Side } from '../../side.ts';
import type { FilmReading, FilmView } from './film.ts';

/** A film of 1 mm pixels with marks given in mm from its middle: lateral (front views) or front (side views), and up. */
export const readingOf = (
  view: FilmView,
  side: Side,
  points: Readonly<Record<string, readonly [lateral: number, up: number]>>,
  more: Partial<FilmReading> = {},
): FilmReading => {
  const spacing = { rowMm: 1, columnMm: 1 };
  const toRight = side === 'right' ? -1 : 1;
  return {
    id: view,
    view,
    posture: 'standing',
    side,
    columns: 600,
    rows: 1400,
    scale: { kind: 'bone', spacing, sd: 0.01, method: 'drawn' },
    mirrored: false,
    marks: Object.entries(points).map(([name, [lateral, up]]) => ({
      name,
      pixel: [300 + toRight * lateral, 700 - up],
    })),
    ...more,
  };
};

/** The mirror image of a film, declared as the other leg. */
export const mirroredReading = (film: FilmReading): FilmReading => ({
  ...film,
  side: film.side === 'right' ? 'left' : 'right',
  marks: film.marks.map((mark) => ({ ...mark, pixel: [film.columns - mark.pixel[0], mark.pixel[1]] })),
});
