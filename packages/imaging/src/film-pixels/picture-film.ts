import { type Finding, ok, type Result } from '@kerfline/geometry';
import { greyOf } from './grey.ts';
import type { PixelError } from './pixel-error.ts';
import type { FilmPixels } from './pixel-source.ts';
import { rangeOf } from './stored-samples.ts';

/** Samples read from a picture file, in the order of the picture. */
export interface PictureSamples {
  readonly rows: number;
  readonly columns: number;
  readonly data: Uint8Array | Uint16Array;
  /** Samples of one pixel: grey, grey and opacity, colours, colours and opacity. */
  readonly channels: 1 | 2 | 3 | 4;
  readonly greatest: number;
  readonly highIsDark: boolean;
  readonly findings: readonly Finding[];
}

/** The film that a picture file holds: its grey, opacity left out, and all that was found as the window to begin with. */
export function filmFromPicture(picture: PictureSamples): Result<FilmPixels, PixelError> {
  const { rows, columns, channels, greatest, highIsDark, findings } = picture;
  const grey = greyFrom(picture, rows * columns, channels, greatest);
  if (!grey.ok) return grey;
  const data = grey.value;
  const { low, high } = rangeOf(data, undefined);
  const window = { centre: (low + high + 1) / 2, width: high - low + 1 };
  return ok({ rows, columns, data, low, high, inverted: highIsDark, window, findings });
}

function greyFrom(
  { data }: PictureSamples,
  pixels: number,
  channels: number,
  greatest: number,
): Result<Uint8Array | Uint16Array, PixelError> {
  if (channels === 1) return ok(data);
  if (channels >= 3) return greyOf(data, pixels, { step: channels, greatest });
  const grey = data instanceof Uint8Array ? new Uint8Array(pixels) : new Uint16Array(pixels);
  for (let i = 0; i < pixels; i++) grey[i] = data[2 * i]!;
  return ok(grey);
}
