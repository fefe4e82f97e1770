import type { Finding } from '@kerfline/geometry';

/** A run of bytes of the file: `offset` from its start, both in bytes. */
export interface ByteRun {
  readonly offset: number;
  readonly length: number;
}

/** Where a file keeps the picture of one film and how its numbers are written, as its tags say (DICOM PS3.3 C.7.6.3, PS3.5 8). */
export interface PixelSource {
  /** The whole file; inflated when it came deflated. */
  readonly data: Uint8Array;
  readonly rows: number;
  readonly columns: number;
  readonly bitsAllocated: 8 | 16;
  readonly bitsStored: number;
  readonly highBit: number;
  /** Two's complement within `bitsStored`. */
  readonly signed: boolean;
  readonly samplesPerPixel: 1 | 3;
  /** RGB kept as three planes; without it the three samples of a pixel stand together. */
  readonly planes?: boolean;
  readonly photometric: string;
  /** UID of the transfer syntax. */
  readonly transferSyntax: string;
  readonly at:
    | ({ readonly kind: 'native' } & ByteRun)
    | { readonly kind: 'encapsulated'; readonly fragments: readonly ByteRun[] };
  /** Shown value = slope * stored + intercept; the window is in shown values. */
  readonly rescale?: { readonly slope: number; readonly intercept: number };
  readonly window?: { readonly centre: number; readonly width: number };
  /** Presentation LUT shape INVERSE. */
  readonly presentationInverse?: boolean;
  /** The stored value, or the first and last of those, that mark pixels outside the picture; left out of `low` and `high`. */
  readonly padding?: number | { readonly from: number; readonly to: number };
}

export type Samples = Uint8Array | Uint16Array | Int16Array;

/** The picture of one film: one stored number per pixel, rows from the top, columns from the left. */
export interface FilmPixels {
  readonly columns: number;
  readonly rows: number;
  readonly data: Samples;
  /** Least and greatest stored value found, padding left out. */
  readonly low: number;
  readonly high: number;
  /** True where high stored values are to be shown dark. */
  readonly inverted: boolean;
  /** The window to begin with, in stored values, as the standard's LINEAR function reads them (PS3.3 C.11.2.1.2.1). */
  readonly window: { readonly centre: number; readonly width: number };
  readonly findings: readonly Finding[];
}
