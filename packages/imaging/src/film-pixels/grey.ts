import { err, ok, type Result } from '@kerfline/geometry';
import type { PixelError } from './pixel-error.ts';

/** Colours of one pixel that differ by no more than this share of the range are taken for grey: rounding and lossy coding of a grey picture. Project choice, no source. */
export const greyTolerance = 0.03;

/**
 * The grey picture that equal red, green and blue make: the green samples.
 *
 * @param samples `step` of them a pixel, or three planes
 * @returns `colour` with the largest difference found when one is beyond `greyTolerance` of `greatest`
 */
export function greyOf<T extends Uint8Array | Uint16Array>(
  samples: T,
  pixels: number,
  {
    step = 3,
    planes = false,
    greatest,
  }: { readonly step?: number; readonly planes?: boolean; readonly greatest: number },
): Result<T, PixelError> {
  const allowed = Math.ceil(greyTolerance * greatest);
  const out = (samples instanceof Uint8Array ? new Uint8Array(pixels) : new Uint16Array(pixels)) as T;
  const [stride, next] = planes ? [1, pixels] : [step, 1];
  let apart = 0;
  for (let i = 0, at = 0; i < pixels; i++, at += stride) {
    const red = samples[at]!;
    const green = samples[at + next]!;
    const blue = samples[at + 2 * next]!;
    const most = Math.max(red, green, blue);
    const least = Math.min(red, green, blue);
    if (most - least > apart) apart = most - least;
    out[i] = green;
  }
  return apart > allowed ? err({ kind: 'colour', apart, allowed }) : ok(out);
}

/** The same for YBR_FULL that was not turned into RGB: grey where both colour differences are near their middle. */
export function lumaOf(samples: Uint8Array, pixels: number, planes: boolean): Result<Uint8Array, PixelError> {
  const allowed = Math.ceil(greyTolerance * 255);
  const out = new Uint8Array(pixels);
  const [stride, next] = planes ? [1, pixels] : [3, 1];
  let apart = 0;
  for (let i = 0, at = 0; i < pixels; i++, at += stride) {
    out[i] = samples[at]!;
    apart = Math.max(apart, Math.abs(samples[at + next]! - 128), Math.abs(samples[at + 2 * next]! - 128));
  }
  return apart > allowed ? err({ kind: 'colour', apart, allowed }) : ok(out);
}
