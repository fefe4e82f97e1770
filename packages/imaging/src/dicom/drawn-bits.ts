import type { FilmHeader } from './film-header.ts';
import type { Elements } from './part10.ts';

/** Overlay Bit Position of any of the overlay groups 6000 to 60FE. PS3.3 C.9.2, retired form. */
const bitPosition = /^x60[0-9a-f][02468ace]0102$/;

/** Whether the file says that a drawing lies in bits of the pixels that hold no picture. Such a drawing may be writing. */
export function drawsInPixels({ bytes, found }: Elements): boolean {
  for (const [key, { dataOffset, length }] of found) {
    if (bitPosition.test(key) && bytes.subarray(dataOffset, dataOffset + length).some((byte) => byte !== 0))
      return true;
  }
  return false;
}

/** Native pixels in little endian with every bit that holds no picture set to 0. */
export function pictureBits(
  bytes: Uint8Array,
  { bitsAllocated, bitsStored, highBit }: Pick<FilmHeader, 'bitsAllocated' | 'bitsStored' | 'highBit'>,
): Uint8Array {
  const mask = ((1 << bitsStored) - 1) << (highBit + 1 - bitsStored);
  const masks = bitsAllocated === 8 ? [mask] : [mask & 0xff, mask >> 8];
  return bytes.map((byte, i) => byte & masks[i % masks.length]!);
}
