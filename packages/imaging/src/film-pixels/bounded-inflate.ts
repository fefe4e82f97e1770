import { err, ok, type Result } from '@kerfline/geometry';
import { Inflate, Unzlib } from 'fflate';
import type { PixelError } from './pixel-error.ts';

/** Compressed bytes given at a time: a thousandfold of it is the most that can come out at once. */
const piece = 16_384;

/**
 * Inflates pieces of one stream, and stops as soon as more comes out than there can be.
 *
 * @param take given what comes out, in order; more than `most` bytes in all are never given
 * @returns the number of bytes given
 */
export function boundedInflate(
  kind: 'zlib' | 'raw',
  pieces: readonly Uint8Array[],
  most: number,
  take: (bytes: Uint8Array) => void,
): Result<number, PixelError> {
  let given = 0;
  const stream = kind === 'zlib' ? new Unzlib() : new Inflate();
  stream.ondata = (chunk) => {
    const part = chunk.subarray(0, most - given);
    given += part.length;
    if (part.length > 0) take(part);
  };
  try {
    for (const whole of pieces) {
      for (let at = 0; at < whole.length && given < most; at += piece)
        stream.push(whole.subarray(at, at + piece), false);
    }
    if (given < most) stream.push(new Uint8Array(0), true);
  } catch (thrown) {
    if (given < most)
      return err({
        kind: 'decoder-failed',
        decoder: 'deflate',
        said: thrown instanceof Error ? thrown.message : 'damaged',
      });
  }
  return ok(given);
}
