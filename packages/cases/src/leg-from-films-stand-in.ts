import { err, type Result } from '@kerfline/geometry';
import type { FilmReading, Leg, Pixel, PixelCovariance, Q, Refusal, Side } from '@kerfline/knee';
import { refusal } from '@kerfline/knee';

/** TEMPORARY until the core is merged. */
export interface LegFromFilms {
  readonly leg: Leg;
  readonly films: readonly { readonly id: string; readonly rotation: Q; readonly flexion: Q }[];
  readonly expected: readonly {
    readonly film: string;
    readonly name: string;
    readonly pixel: Pixel;
    readonly covPx2: PixelCovariance;
  }[];
  readonly next: readonly { readonly film: string; readonly name: string; readonly gain: number }[];
  readonly dominates: readonly { readonly source: string; readonly share: number }[];
}
export const legFromFilms = (_side: Side, _films: readonly FilmReading[]): Result<LegFromFilms, readonly Refusal[]> =>
  err([refusal('few-marks', 'Too few marks.')]);
