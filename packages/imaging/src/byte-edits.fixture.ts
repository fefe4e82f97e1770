import fc from 'fast-check';
import { joined } from './cube.fixture.ts';

/** A change to a file of any length. */
export type Edit = (bytes: Uint8Array) => Uint8Array;

/** A place in a file of any length, as a share of it; all places alike, which an arbitrary double is not. */
export const place = fc.nat(65_535).map((part) => part / 65_536);

export const replaced = (bytes: Uint8Array, from: number, to: number, by: Uint8Array): Uint8Array =>
  joined(bytes.subarray(0, from), by, bytes.subarray(to));

/**
 * Changes that any file may meet: a bit turned, an end missing, bytes put in, left out or said twice.
 *
 * @param first the first byte of a file that says anything
 */
export function byteEdits(first: (bytes: Uint8Array) => number = () => 0) {
  const offset = (share: number, bytes: Uint8Array): number =>
    Math.min(bytes.length, first(bytes) + Math.floor(share * (bytes.length - first(bytes))));
  return {
    offset,
    flippedBit: fc.tuple(place, fc.nat(7)).map(
      ([share, bit]): Edit =>
        (bytes) => {
          const out = bytes.slice();
          const at = offset(share, out);
          if (at < out.length) out[at] = out[at]! ^ (1 << bit);
          return out;
        },
    ),
    shortened: place.map(
      (share): Edit =>
        (bytes) =>
          bytes.slice(0, offset(share, bytes)),
    ),
    withInsertion: fc.tuple(place, fc.uint8Array({ minLength: 1, maxLength: 60 })).map(
      ([share, more]): Edit =>
        (bytes) =>
          replaced(bytes, offset(share, bytes), offset(share, bytes), more),
    ),
    withDeletion: fc.tuple(place, fc.integer({ min: 1, max: 60 })).map(
      ([share, length]): Edit =>
        (bytes) => {
          const from = offset(share, bytes);
          return replaced(bytes, from, Math.min(bytes.length, from + length), new Uint8Array(0));
        },
    ),
    withRepetition: fc.tuple(place, place, fc.integer({ min: 1, max: 200 })).map(
      ([from, to, length]): Edit =>
        (bytes) => {
          const start = offset(from, bytes);
          return replaced(bytes, offset(to, bytes), offset(to, bytes), bytes.subarray(start, start + length));
        },
    ),
  };
}
