import { doubt, type Finding } from '@kerfline/geometry';
import type { PixelSource, Samples } from './pixel-source.ts';

/** Where a stored number lies within its cell (PS3.5 8.1.1). */
export interface Cell {
  readonly bitsStored: number;
  readonly highBit: number;
  readonly signed: boolean;
}

/** Runs of this byte order are what typed arrays hold on every machine that browsers and Node run on. */
const word = (bytes: Uint8Array): Uint16Array =>
  bytes.byteOffset % 2 === 0
    ? new Uint16Array(bytes.buffer, bytes.byteOffset, bytes.length >> 1)
    : new Uint16Array(bytes.slice(0, bytes.length & ~1).buffer);

/** Little-endian cells of 16 bits: a view on the bytes, or one copy where they begin at an odd place. */
export const littleEndianWords = (bytes: Uint8Array): Uint16Array => word(bytes);

/** Big-endian cells of 16 bits, always a copy. */
export function bigEndianWords(bytes: Uint8Array): Uint16Array {
  const out = new Uint16Array(bytes.length >> 1);
  for (let i = 0; i < out.length; i++) out[i] = (bytes[2 * i]! << 8) | bytes[2 * i + 1]!;
  return out;
}

/**
 * The stored numbers in their cells, with no copy where the cells hold nothing else.
 *
 * Bits outside those stored may hold old overlays. They are cleared, with a finding, in a copy.
 */
export function storedNumbers(
  cells: Uint8Array | Uint16Array,
  { bitsStored, highBit, signed }: Cell,
): { readonly data: Samples; readonly findings: readonly Finding[] } {
  const allocated = 8 * cells.BYTES_PER_ELEMENT;
  const below = highBit + 1 - bitsStored;
  const mask = 2 ** bitsStored - 1;
  const spread = 32 - bitsStored;
  if (!signed) {
    if (below === 0 && !hasBitsOutside(cells, mask)) return { data: cells, findings: [] };
    const clean = cells.slice();
    for (let i = 0; i < clean.length; i++) clean[i] = (clean[i]! >> below) & mask;
    return { data: clean, findings: below === 0 ? [otherBits(bitsStored, allocated)] : [] };
  }
  if (cells instanceof Uint16Array && below === 0) {
    const numbers = new Int16Array(cells.buffer, cells.byteOffset, cells.length);
    if (bitsStored === 16 || isExtended(numbers, spread)) return { data: numbers, findings: [] };
  }
  const numbers = new Int16Array(cells.length);
  for (let i = 0; i < numbers.length; i++) numbers[i] = ((cells[i]! >> below) << spread) >> spread;
  return { data: numbers, findings: [] };
}

const otherBits = (stored: number, allocated: number): Finding =>
  doubt(
    'bits-outside-stored',
    `Some pixels have bits set beyond the ${stored} that are stored of ${allocated}; they were left out.`,
  );

function hasBitsOutside(cells: Uint8Array | Uint16Array, mask: number): boolean {
  let all = 0;
  for (let i = 0; i < cells.length; i++) all |= cells[i]!;
  return (all & ~mask) !== 0;
}

function isExtended(numbers: Int16Array, spread: number): boolean {
  for (let i = 0; i < numbers.length; i++) if ((numbers[i]! << spread) >> spread !== numbers[i]) return false;
  return true;
}

/** Least and greatest number, padding left out; those of the padding when nothing else is there. */
export function rangeOf(
  data: Samples,
  padding: PixelSource['padding'],
): { readonly low: number; readonly high: number } {
  const [a, b] = typeof padding === 'object' ? [padding.from, padding.to] : [padding, padding];
  // Without padding no number lies between these.
  const from = Math.min(a ?? Number.POSITIVE_INFINITY, b ?? Number.POSITIVE_INFINITY);
  const to = Math.max(a ?? Number.NEGATIVE_INFINITY, b ?? Number.NEGATIVE_INFINITY);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < data.length; i++) {
    const value = data[i]!;
    if (value >= from && value <= to) continue;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return low <= high ? { low, high } : { low: from, high: to };
}
