import type { Box, Field } from '@kerfline/geometry';

/** One bone as an implicit surface in the frame it is drawn in (its own L, A, P), mm. */
export interface Body {
  /** Negative inside; nearly a distance near the surface. */
  readonly field: Field;
  /** A box with room to spare around the bone. */
  readonly box: Box;
}

/** Largest change of any bone's field per mm near its surface. */
export const STEEPNESS = 2.5;
