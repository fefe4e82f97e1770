import type { PixelError } from './pixel-error.ts';

/** Progressive pictures come in about ten scans. Each one more costs time again. Project choice, no source. */
const mostScans = 100;

/** Refuses pictures that would be decoded again and again. */
export function tooManyScans(stream: Uint8Array): PixelError | undefined {
  let scans = 0;
  for (let at = stream.indexOf(0xff); at >= 0; at = stream.indexOf(0xff, at + 1))
    if (stream[at + 1] === 0xda) scans += 1;
  return scans > mostScans
    ? { kind: 'too-large', what: 'number of scans', found: scans, allowed: mostScans }
    : undefined;
}
