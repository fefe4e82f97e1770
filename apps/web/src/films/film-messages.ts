import type { FilmFacts } from '@kerfline/cases';
import type { Pixel } from '@kerfline/knee';
import type { TilePlace } from './film-tiles.ts';

/** What is shown as black and as white, values of the film's samples. */
export interface Light {
  readonly black: number;
  readonly white: number;
  readonly inverted: boolean;
}

/** A film that was read: its size, its halvings and how it is best lit. */
export interface FilmPicture {
  readonly columns: number;
  readonly rows: number;
  /** Height of a pixel over its width. */
  readonly tallness: number;
  readonly levels: number;
  readonly light: Light;
  /** What its exposure does to what is measured on it; nothing for a good one. */
  readonly exposure: string | undefined;
}

/** What a helper is asked to measure; `reachPx` is how far from what was shown an edge is looked for. */
export type Measure =
  | { readonly measure: 'rim' | 'ball'; readonly points: readonly Pixel[]; readonly reachPx: number }
  | { readonly measure: 'across'; readonly from: Pixel; readonly to: Pixel }
  | { readonly measure: 'tangent'; readonly near: Pixel; readonly direction: Pixel; readonly reachPx: number };

/** What a helper found, or why it found nothing. */
export type Measured =
  | {
      readonly measure: 'rim';
      readonly centre: Pixel;
      readonly radiusPx: number;
      readonly residualPx: number;
      /** Places of the rim that the circle goes through. */
      readonly points: readonly Pixel[];
    }
  | {
      readonly measure: 'across';
      readonly edges: readonly [Pixel, Pixel];
      readonly middle: Pixel;
      /** Between the inner sides of two walls, or between the outer edges where no inner ones are seen. */
      readonly between: 'inner' | 'outer';
      readonly residualPx: number;
    }
  | { readonly measure: 'tangent'; readonly at: Pixel; readonly residualPx: number }
  | { readonly measure: 'none'; readonly message: string };

/** What a page asks of the worker that holds a film. */
export type FilmAsk =
  | { readonly kind: 'read'; readonly bytes: ArrayBuffer; readonly name: string }
  | { readonly kind: 'tile'; readonly place: TilePlace; readonly light: Light; readonly lit: number }
  | { readonly kind: 'measure'; readonly id: number; readonly what: Measure };

/** What the worker tells. */
export type FilmTold =
  | { readonly kind: 'progress'; readonly share: number; readonly says: string }
  /** What the file says, and the names of what in it identifies a person. */
  | { readonly kind: 'facts'; readonly facts: FilmFacts; readonly identifying: readonly string[] }
  | { readonly kind: 'picture'; readonly picture: FilmPicture }
  | { readonly kind: 'refused'; readonly message: string }
  | { readonly kind: 'tile'; readonly place: TilePlace; readonly lit: number; readonly bitmap: ImageBitmap }
  | { readonly kind: 'measured'; readonly id: number; readonly found: Measured };
