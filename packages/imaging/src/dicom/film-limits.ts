/**
 * How large a film may be, and how much its file may ask for, before reading stops.
 *
 * @numerical A film of 0.1 mm pixels is 1.2 m long at 12,000 rows and about 0.43 m wide; the rest guards memory and time.
 */
export interface FilmLimits {
  /** Longest side in pixels, either way. */
  readonly mostSide: number;
  /** Columns times rows. */
  readonly mostPixels: number;
  /** Bytes of a file, and of what a deflated one becomes. */
  readonly mostBytes: number;
  /** Sequences within sequences. */
  readonly mostDepth: number;
  /** Numbers read to find the elements; each element takes at least three. */
  readonly mostReads: number;
  /** Pieces of compressed pixel data. */
  readonly mostFragments: number;
}

/** @numerical 4,000 x 12,000 pixels; 16-bit pixels of that size are 96 million bytes, three samples of 8 bits 144 million. */
export const filmLimits: FilmLimits = {
  mostSide: 12_000,
  mostPixels: 48_000_000,
  mostBytes: 192_000_000,
  mostDepth: 16,
  mostReads: 600_000,
  mostFragments: 20_000,
};
