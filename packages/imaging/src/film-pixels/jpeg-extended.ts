import { err, ok, type Result } from '@kerfline/geometry';
import { inverseCosine } from './inverse-cosine.ts';
import { frameIn, isFrame, type JpegFrame, type Segment, segmentAt } from './jpeg-header.ts';
import type { Wanted, Watch } from './jpeg-lossless.ts';
import type { PixelError } from './pixel-error.ts';

/** Codes of up to 16 bits, looked up whole: length in the upper byte, value in the lower; 0 where there is none. */
type Codes = Uint16Array;

/** The order in which coefficients are coded (T.81 figure A.6). */
const order = Uint8Array.of(
  ...[0, 1, 8, 16, 9, 2, 3, 10, 17, 24, 32, 25, 18, 11, 4, 5, 12, 19, 26, 33, 40, 48, 41, 34, 27, 20, 13, 6, 7, 14, 21],
  ...[28, 35, 42, 49, 56, 57, 50, 43, 36, 29, 22, 15, 23, 30, 37, 44, 51, 58, 59, 52, 45, 38, 31, 39, 46, 53, 60, 61],
  ...[54, 47, 55, 62, 63],
);

interface Tables {
  readonly steps: (Float64Array | undefined)[];
  readonly dc: (Codes | undefined)[];
  readonly ac: (Codes | undefined)[];
}

/**
 * Decodes extended sequential JPEG of one component with 12 bits (ITU-T T.81, process 4), which the compiled decoder
 * does not read.
 *
 * @returns unsigned samples, rows from the top
 */
export function decodeJpegExtended(
  bytes: Uint8Array,
  wanted: Wanted,
  watch: Watch = {},
): Result<Uint16Array, PixelError> {
  const tables: Tables = { steps: [], dc: [], ac: [] };
  let frame: JpegFrame | undefined;
  let quantisation = 0;
  let restart = 0;
  let at = 0;
  for (;;) {
    const segment = segmentAt(bytes, at);
    if (!segment.ok) return segment;
    const { marker, from, to } = segment.value;
    at = to;
    if (isFrame(marker)) {
      const read = frameIn(bytes, segment.value);
      if (!read.ok) return read;
      const refused = refusal(read.value, wanted, bytes.length - to);
      if (refused) return err(refused);
      frame = read.value;
      quantisation = bytes[from + 8]!;
    } else if (marker === 0xdb || marker === 0xc4) {
      const read = marker === 0xdb ? readSteps(bytes, segment.value, tables) : readCodes(bytes, segment.value, tables);
      if (!read.ok) return read;
    } else if (marker === 0xdd) {
      if (to - from < 2) return err({ kind: 'corrupt', what: 'a restart interval without a number', byte: from });
      restart = (bytes[from]! << 8) | bytes[from + 1]!;
    } else if (marker === 0xda) {
      if (!frame) return err({ kind: 'corrupt', what: 'a scan before the frame header', byte: from });
      const steps = tables.steps[quantisation];
      const dc = tables.dc[bytes[from + 2]! >> 4];
      const ac = tables.ac[bytes[from + 2]! & 15];
      if (to - from < 6 || bytes[from] !== 1 || !steps || !dc || !ac)
        return err({ kind: 'corrupt', what: 'a scan without its tables', byte: from });
      return decodeScan(bytes, to, frame, { steps, dc, ac, restart }, watch);
    } else if (marker === 0xd9) {
      return err({ kind: 'corrupt', what: 'there is no scan', byte: from });
    }
  }
}

function refusal(frame: JpegFrame, wanted: Wanted, left: number): PixelError | undefined {
  if (frame.marker !== 0xc1 || frame.precision !== 12 || frame.components.length !== 1)
    return {
      kind: 'not-supported',
      what: 'kind of JPEG',
      found: `SOF${frame.marker - 0xc0} with ${frame.precision} bits and ${frame.components.length} components`,
      needed: 'extended (SOF1) with 12 bits and one component',
    };
  const pairs = [
    ['rows', frame.rows, wanted.rows],
    ['columns', frame.columns, wanted.columns],
  ] as const;
  for (const [what, found, needed] of pairs) if (found !== needed) return { kind: 'disagrees', what, found, needed };
  // A block takes at least two bits.
  const least = Math.ceil((Math.ceil(frame.rows / 8) * Math.ceil(frame.columns / 8)) / 4);
  return left < least ? { kind: 'truncated', counted: 'bytes', found: left, needed: least } : undefined;
}

function readSteps(bytes: Uint8Array, { from, to }: Segment, tables: Tables): Result<void, PixelError> {
  let at = from;
  while (at < to) {
    const [wide, place] = [bytes[at]! >> 4, bytes[at]! & 15];
    const each = wide === 0 ? 1 : 2;
    if (wide > 1 || place > 3 || at + 1 + 64 * each > to)
      return err({ kind: 'corrupt', what: 'a table of steps is cut off', byte: at });
    const steps = new Float64Array(64);
    for (let i = 0; i < 64; i++) {
      const p = at + 1 + i * each;
      steps[order[i]!] = each === 1 ? bytes[p]! : (bytes[p]! << 8) | bytes[p + 1]!;
    }
    tables.steps[place] = steps;
    at += 1 + 64 * each;
  }
  return ok(undefined);
}

function readCodes(bytes: Uint8Array, { from, to }: Segment, tables: Tables): Result<void, PixelError> {
  let at = from;
  while (at < to) {
    const [kind, place] = [bytes[at]! >> 4, bytes[at]! & 15];
    const counts = bytes.subarray(at + 1, Math.min(at + 17, to));
    const total = counts.reduce((sum, n) => sum + n, 0);
    if (kind > 1 || place > 3 || counts.length < 16 || at + 17 + total > to)
      return err({ kind: 'corrupt', what: 'a table of codes is cut off', byte: at });
    const codes = new Uint16Array(65_536);
    let next = 0;
    let value = at + 17;
    for (let length = 1; length <= 16; length++) {
      for (let i = 0; i < counts[length - 1]!; i++) {
        const width = 1 << (16 - length);
        if (next + width > 65_536) return err({ kind: 'corrupt', what: 'a table has more codes than fit', byte: at });
        codes.fill((length << 8) | bytes[value]!, next, next + width);
        next += width;
        value += 1;
      }
    }
    (kind === 0 ? tables.dc : tables.ac)[place] = codes;
    at += 17 + total;
  }
  return ok(undefined);
}

interface ScanTables {
  readonly steps: Float64Array;
  readonly dc: Codes;
  readonly ac: Codes;
  readonly restart: number;
}

function decodeScan(
  bytes: Uint8Array,
  from: number,
  { rows, columns }: JpegFrame,
  { steps, dc, ac, restart }: ScanTables,
  { progress, stop }: Watch,
): Result<Uint16Array, PixelError> {
  const out = new Uint16Array(rows * columns);
  const [across, down] = [Math.ceil(columns / 8), Math.ceil(rows / 8)];
  const block = new Float64Array(64);
  let at = from;
  let held = 0;
  let count = 0;
  let made = 0;
  const fill = () => {
    while (count <= 24) {
      let byte = at < bytes.length ? bytes[at]! : -1;
      if (byte === 0xff) {
        if (bytes[at + 1] === 0) at += 2;
        else byte = -1;
      } else if (byte >= 0) at += 1;
      if (byte < 0) made += 8;
      held = (held << 8) | Math.max(0, byte);
      count += 8;
    }
  };
  const symbol = (codes: Codes): number => {
    if (count < 16) fill();
    const entry = codes[(held >>> (count - 16)) & 0xffff]!;
    count -= entry >> 8;
    return entry === 0 ? -1 : entry & 255;
  };
  /** Extra bits as a signed number (T.81 F.2.2.1). */
  const extra = (size: number): number => {
    if (size === 0) return 0;
    if (count < size) fill();
    count -= size;
    const value = (held >>> count) & ((1 << size) - 1);
    return value < 1 << (size - 1) ? value - (1 << size) + 1 : value;
  };
  let before = 0;
  let expected = 0;
  for (let n = 0; n < across * down; n++) {
    if (restart > 0 && n > 0 && n % restart === 0) {
      held = 0;
      count = 0;
      made = 0;
      before = 0;
      const marker = segmentAt(bytes, at);
      if (!marker.ok) return marker;
      if (marker.value.marker !== 0xd0 + expected)
        return err({ kind: 'corrupt', what: 'a restart marker is missing', byte: at });
      expected = (expected + 1) & 7;
      at = marker.value.to;
    }
    block.fill(0);
    const size = symbol(dc);
    if (size < 0 || size > 15) return err({ kind: 'corrupt', what: 'a code that does not exist', byte: at });
    before += extra(size);
    block[0] = before * steps[0]!;
    for (let i = 1; i < 64; i++) {
      const code = symbol(ac);
      if (code < 0) return err({ kind: 'corrupt', what: 'a code that does not exist', byte: at });
      const bits = code & 15;
      i += code >> 4;
      if (bits === 0) {
        if (code >> 4 === 15) continue;
        break;
      }
      if (i > 63) return err({ kind: 'corrupt', what: 'a block with too many numbers', byte: at });
      block[order[i]!] = extra(bits) * steps[order[i]!]!;
    }
    if (made > 0 && count < made) return err({ kind: 'truncated', counted: 'blocks', found: n, needed: across * down });
    inverseCosine(block);
    const [left, top] = [8 * (n % across), 8 * Math.floor(n / across)];
    for (let y = 0; y < Math.min(8, rows - top); y++) {
      for (let x = 0; x < Math.min(8, columns - left); x++) {
        const value = Math.round(block[8 * y + x]! + 2048);
        out[(top + y) * columns + left + x] = Math.max(0, Math.min(4095, value));
      }
    }
    if (n % (across * 8) === across * 8 - 1) {
      if (stop?.()) return err({ kind: 'stopped' });
      progress?.((n + 1) / (across * down));
    }
  }
  return ok(out);
}
