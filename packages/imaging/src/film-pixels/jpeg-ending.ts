import type { PixelError } from './pixel-error.ts';

/** Progressive pictures come in about ten scans. Each one more costs time again. Project choice, no source. */
const mostScans = 100;

/**
 * Decoders fill up what a stream cut off does not hold. So its last marker, FF D9 in JPEG (T.81 B.1.1.3) as in
 * JPEG 2000 (T.800 A.4.4), must be there; zero bytes behind it pad it to an even length.
 */
export function cutOff(stream: Uint8Array): PixelError | undefined {
  let end = stream.length;
  while (end > 0 && stream[end - 1] === 0) end -= 1;
  if (end >= 2 && stream[end - 2] === 0xff && stream[end - 1] === 0xd9) return undefined;
  return { kind: 'truncated', counted: 'end markers', found: 0, needed: 1 };
}

/** Refuses pictures that would be decoded again and again. */
export function tooManyScans(stream: Uint8Array): PixelError | undefined {
  let scans = 0;
  for (let at = stream.indexOf(0xff); at >= 0; at = stream.indexOf(0xff, at + 1))
    if (stream[at + 1] === 0xda) scans += 1;
  return scans > mostScans
    ? { kind: 'too-large', what: 'number of scans', found: scans, allowed: mostScans }
    : undefined;
}
