import { err, ok, type Result } from '@kerfline/geometry';
import type { PixelError } from './pixel-error.ts';

/**
 * Decodes DICOM's run-length coding (PS3.5 Annex G): byte planes, the most significant first, each in its own segment.
 *
 * @param bytes the one fragment of the frame
 * @param pixels rows times columns
 * @param samplesPerPixel 1 or 3; the samples come out together, pixel by pixel
 * @param bytesPerSample 1 or 2
 * @returns little-endian samples
 */
export function decodeRunLength(
  bytes: Uint8Array,
  pixels: number,
  samplesPerPixel: number,
  bytesPerSample: number,
): Result<Uint8Array, PixelError> {
  if (bytes.length < 64) return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: 64 });
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const segments = view.getUint32(0, true);
  const needed = samplesPerPixel * bytesPerSample;
  if (segments !== needed)
    return err({ kind: 'disagrees', what: 'a number of byte planes of', found: segments, needed });
  const stride = needed;
  // A run of two bytes gives at most 128: what cannot be long enough is refused before room is made for it.
  if ((bytes.length - 64) * 64 < pixels * needed)
    return err({
      kind: 'truncated',
      counted: 'pixels',
      found: Math.floor(((bytes.length - 64) * 64) / needed),
      needed: pixels,
    });
  const out = new Uint8Array(pixels * needed);
  for (let plane = 0; plane < segments; plane++) {
    const from = view.getUint32(4 + 4 * plane, true);
    const to = plane + 1 < segments ? view.getUint32(8 + 4 * plane, true) : bytes.length;
    if (from < 64 || to < from || to > bytes.length)
      return err({ kind: 'corrupt', what: 'a byte plane lies outside the fragment', byte: 4 + 4 * plane });
    const sample = Math.floor(plane / bytesPerSample);
    const byte = bytesPerSample - 1 - (plane % bytesPerSample);
    const written = unpacked(bytes, from, to, out, sample * bytesPerSample + byte, stride, pixels);
    if (written < pixels)
      return err({ kind: 'truncated', counted: 'pixels of a byte plane', found: written, needed: pixels });
  }
  return ok(out);
}

/** Unpacks one segment (PS3.5 G.3.2) into every `stride`-th byte from `first`; how many were written. */
function unpacked(
  bytes: Uint8Array,
  from: number,
  to: number,
  out: Uint8Array,
  first: number,
  stride: number,
  count: number,
): number {
  let at = from;
  let written = 0;
  let place = first;
  while (at < to && written < count) {
    const control = bytes[at]!;
    at += 1;
    if (control < 128) {
      const run = Math.min(control + 1, to - at, count - written);
      for (let i = 0; i < run; i++, place += stride) out[place] = bytes[at + i]!;
      at += control + 1;
      written += run;
    } else if (control > 128) {
      if (at >= to) break;
      const run = Math.min(257 - control, count - written);
      const value = bytes[at]!;
      at += 1;
      for (let i = 0; i < run; i++, place += stride) out[place] = value;
      written += run;
    }
  }
  return written;
}
