const clear = 256;
const finish = 257;

/**
 * Unpacks one strip of TIFF's LZW coding (TIFF 6.0, section 13): codes of 9 to 12 bits from the left, one bit longer one
 * code early.
 *
 * @returns how many bytes were written to `out`; fewer than it holds when the strip is cut off or damaged
 */
export function unpackLzw(bytes: Uint8Array, out: Uint8Array): number {
  const before = new Uint16Array(4096);
  const last = new Uint8Array(4096);
  const lengths = new Uint16Array(4096);
  for (let i = 0; i < 256; i++) {
    last[i] = i;
    lengths[i] = 1;
  }
  let next = 258;
  let width = 9;
  let previous = -1;
  let held = 0;
  let count = 0;
  let at = 0;
  let written = 0;
  while (written < out.length) {
    while (count < width) {
      if (at >= bytes.length) return written;
      held = ((held << 8) | bytes[at]!) & 0xffffff;
      at += 1;
      count += 8;
    }
    count -= width;
    const code = (held >>> count) & ((1 << width) - 1);
    if (code === finish) return written;
    if (code === clear) {
      next = 258;
      width = 9;
      previous = -1;
      continue;
    }
    // The code that is just being made stands for the one before and its own first byte.
    const known = code < next && code !== clear;
    if (previous < 0 ? code >= 256 : !known && code !== next) return written;
    const from = known ? code : previous;
    const length = lengths[from]! + (known ? 0 : 1);
    let walk = from;
    let place = written + lengths[from]! - 1;
    while (walk >= 256) {
      if (place < out.length) out[place] = last[walk]!;
      place -= 1;
      walk = before[walk]!;
    }
    const first = last[walk]!;
    out[written] = first;
    if (!known && written + length - 1 < out.length) out[written + length - 1] = first;
    written = Math.min(out.length, written + length);
    if (previous >= 0 && next < 4096) {
      before[next] = previous;
      last[next] = first;
      lengths[next] = lengths[previous]! + 1;
      next += 1;
    }
    if (next >= 2047) width = 12;
    else if (next >= 1023) width = 11;
    else if (next >= 511) width = 10;
    previous = code;
  }
  return written;
}
