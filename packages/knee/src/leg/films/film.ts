import type { Side } from '../../side.ts';

/** How a film was taken. After the operation component lines are marked beside the axes. */
export const filmViews = ['long-leg', 'knee-front', 'knee-lateral', 'skyline', 'after-front', 'after-lateral'] as const;
export type FilmView = (typeof filmViews)[number];

/** Whether a view is of a knee that has its components: no leg is told from it. */
export const isAfter = (view: FilmView): boolean => view === 'after-front' || view === 'after-lateral';

export const postures = ['standing', 'lying', 'notStated'] as const;
/** Standing and lying films of one limb differ by degrees (D76 of docs/sources.md) and are never mixed silently. */
export type Posture = (typeof postures)[number];

/** Columns to the right, rows down; the centre of the first pixel is (0.5, 0.5), as in PS3.3 C.10.5.1.2. */
export type Pixel = readonly [column: number, row: number];

/** Row by row: columns and rows of the film, pixels squared. */
export type PixelCovariance = readonly [readonly [number, number], readonly [number, number]];

/** A landmark placed on a film. */
export interface FilmMark {
  readonly name: string;
  readonly pixel: Pixel;
  /** How far it may be off; without one the spread of its kind is taken. */
  readonly covPx2?: PixelCovariance | undefined;
  /** Of a mark that is the centre of a fitted circle: its radius in columns' pixels. */
  readonly radiusPx?: number | undefined;
}

/** Millimetres of one pixel: down first, then across, as the standard orders them. */
export interface PixelSpacing {
  readonly rowMm: number;
  readonly columnMm: number;
}

/**
 * What a millimetre is on a film.
 * `bone`: spacing in the plane of the bone, off by the share `sd`; `method` says who calibrated it and how.
 * `detector`: spacing at the detector, larger than the bone by an unknown amount.
 * `none`: only pixels, with their shape.
 */
export type FilmScale =
  | { readonly kind: 'bone'; readonly spacing: PixelSpacing; readonly sd: number; readonly method: string }
  | { readonly kind: 'detector'; readonly spacing: PixelSpacing }
  | { readonly kind: 'none'; readonly aspect: PixelSpacing };

/** A film with what was marked on it: all that a leg needs of it, and no pixels. */
export interface FilmReading {
  /** Names the film in findings and results. */
  readonly id: string;
  readonly view: FilmView;
  readonly posture: Posture;
  readonly side: Side;
  readonly columns: number;
  readonly rows: number;
  readonly scale: FilmScale;
  /** Turned over left for right on the page, by hand and recorded; marks are in the pixels of the file all the same. */
  readonly mirrored: boolean;
  /** Source to detector, where the file says it, mm. */
  readonly sourceMm?: number | undefined;
  readonly marks: readonly FilmMark[];
}
