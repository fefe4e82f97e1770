import { err, ok, type Result } from '@kerfline/geometry';
import type { PixelError } from './pixel-error.ts';

/** So many bits are looked at together. @numerical 2^13 entries of 4 bytes stay in the first cache of a processor. */
export const lookBits = 13;

/** A Huffman table for differences, laid out for speed. */
export interface DifferenceTable {
  /**
   * For the next `lookBits` bits: 0 where code and difference do not both lie within them; otherwise the difference in
   * the upper bits and the number of bits used in the lowest 5.
   */
  readonly quick: Int32Array;
  /** Per code length 1-16: the greatest code, or -1 (T.81 F.2.2.3 MAXCODE). */
  readonly greatest: Int32Array;
  /** Per code length: what to add to a code to get the place of its value (VALPTR - MINCODE). */
  readonly shift: Int32Array;
  readonly values: Uint8Array;
}

/** The difference that `size` extra bits stand for (T.81 F.2.2.1 EXTEND, H.1.2.2 for 16). */
export const extended = (size: number, bits: number): number =>
  size === 0 ? 0 : size === 16 ? 32_768 : bits < 1 << (size - 1) ? bits - (1 << size) + 1 : bits;

/**
 * Reads one table of a DHT segment (T.81 B.2.4.2, C.2).
 *
 * @param at the first of the 16 counts of codes per length
 * @param to the byte behind the segment
 */
export function differenceTable(bytes: Uint8Array, at: number, to: number): Result<DifferenceTable, PixelError> {
  const counts = bytes.subarray(at, Math.min(at + 16, to));
  const total = counts.reduce((sum, n) => sum + n, 0);
  if (counts.length < 16 || at + 16 + total > to)
    return err({ kind: 'corrupt', what: 'a table of codes is cut off', byte: at });
  const values = bytes.slice(at + 16, at + 16 + total);
  if (values.some((size) => size > 16))
    return err({ kind: 'corrupt', what: 'a code stands for more than 16 bits', byte: at });
  const quick = new Int32Array(1 << lookBits);
  const greatest = new Int32Array(18).fill(-1);
  const shift = new Int32Array(18);
  let code = 0;
  let place = 0;
  for (let length = 1; length <= 16; length++) {
    shift[length] = place - code;
    for (let i = 0; i < counts[length - 1]!; i++, code++, place++) {
      if (code >= 1 << length) return err({ kind: 'corrupt', what: 'a table has more codes than fit', byte: at });
      enter(quick, code, length, values[place]!);
    }
    greatest[length] = counts[length - 1]! > 0 ? code - 1 : -1;
    code <<= 1;
  }
  return ok({ quick, greatest, shift, values });
}

function enter(quick: Int32Array, code: number, length: number, size: number): void {
  const extra = size === 16 ? 0 : size;
  const used = length + extra;
  if (used > lookBits) return;
  const free = lookBits - used;
  for (let bits = 0; bits < 1 << extra; bits++) {
    const entry = (extended(size, bits) << 5) | used;
    const from = ((code << extra) | bits) << free;
    quick.fill(entry, from, from + (1 << free));
  }
}
