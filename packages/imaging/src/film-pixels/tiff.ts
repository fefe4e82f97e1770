import { doubt, err, type Finding, info, ok, type Result } from '@kerfline/geometry';
import { boundedInflate } from './bounded-inflate.ts';
import { refusedSize } from './film-size.ts';
import { unpackLzw } from './lzw.ts';
import type { PictureSamples } from './picture-film.ts';
import type { PixelError } from './pixel-error.ts';

/** Numbers of the tags that are read (TIFF 6.0, sections 4, 6, 14, 15). */
const tag = {
  width: 256,
  length: 257,
  bits: 258,
  compression: 259,
  photometric: 262,
  fillOrder: 266,
  stripOffsets: 273,
  orientation: 274,
  samples: 277,
  rowsPerStrip: 278,
  stripBytes: 279,
  planar: 284,
  predictor: 317,
  tileWidth: 322,
  tileLength: 323,
  tileOffsets: 324,
  tileBytes: 325,
  format: 339,
} as const;

/** A directory holds so many values at most: strips of one row on the longest film, twice. */
const mostValues = 200_000;

interface Directory {
  readonly numbers: (which: number) => readonly number[];
  readonly number: (which: number, otherwise: number) => number;
  readonly little: boolean;
  readonly more: boolean;
}

/** Reads the first picture of a TIFF file: 8 or 16 bits, strips or tiles; uncompressed, LZW, Deflate or PackBits. */
export function readTiff(bytes: Uint8Array): Result<PictureSamples, PixelError> {
  const directory = directoryIn(bytes);
  if (!directory.ok) return directory;
  const { number, numbers, little, more } = directory.value;
  const columns = number(tag.width, 0);
  const rows = number(tag.length, 0);
  const size = refusedSize(rows, columns);
  if (size) return err(size);
  const channels = number(tag.samples, 1);
  const bits = number(tag.bits, 1);
  const photometric = number(tag.photometric, -1);
  const refused =
    unless('number of bits', numbers(tag.bits).every((n) => n === bits) ? bits : -1, [8, 16]) ??
    unless('number of samples per pixel', channels, photometric === 2 ? [3, 4] : [1, 2]) ??
    unless('photometric interpretation', photometric, [0, 1, 2]) ??
    unless('order of bits', number(tag.fillOrder, 1), [1]) ??
    unless('arrangement of samples', channels === 1 ? 1 : number(tag.planar, 1), [1]) ??
    unless('format of samples', number(tag.format, 1), [1]) ??
    unless('predictor', number(tag.predictor, 1), [1, 2]);
  if (refused) return err(refused);
  const findings: Finding[] = [];
  if (more) findings.push(info('more-pages', 'The file holds more pictures; the first one was read.'));
  if (number(tag.orientation, 1) !== 1)
    findings.push(
      doubt(
        'turned-picture',
        'The file asks for its picture to be shown turned or mirrored; it is read as it is stored.',
      ),
    );
  const data = samplesOf(bytes, directory.value, { rows, columns, channels, wide: bits === 16, little });
  if (!data.ok) return data;
  return ok({
    rows,
    columns,
    data: data.value,
    channels: channels as 1 | 2 | 3 | 4,
    greatest: 2 ** bits - 1,
    highIsDark: photometric === 0,
    findings,
  });
}

const unless = (what: string, found: number, needed: readonly number[]): PixelError | undefined =>
  needed.includes(found) ? undefined : { kind: 'not-supported', what, found: `${found}`, needed: needed.join(' or ') };

/** Bytes of one value of each type that numbers come in: BYTE, SHORT, LONG. */
const sizes: Readonly<Record<number, number>> = { 1: 1, 3: 2, 4: 4 };

function directoryIn(bytes: Uint8Array): Result<Directory, PixelError> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const little = bytes[0] === 0x49;
  const short = (needed: number) => err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed } as const);
  if (bytes.length < 8) return short(8);
  if (view.getUint16(2, little) !== 42)
    return err({ kind: 'not-supported', what: 'kind of TIFF', found: `${view.getUint16(2, little)}`, needed: '42' });
  const from = view.getUint32(4, little);
  if (from + 2 > bytes.length) return short(from + 2);
  const count = view.getUint16(from, little);
  const end = from + 2 + 12 * count;
  if (end > bytes.length) return short(end);
  const entries = new Map<number, readonly number[]>();
  let values = 0;
  for (let i = 0; i < count; i++) {
    const at = from + 2 + 12 * i;
    const type = view.getUint16(at + 2, little);
    const each = sizes[type];
    const which = view.getUint16(at, little);
    if (each === undefined || !(Object.values(tag) as number[]).includes(which)) continue;
    const many = view.getUint32(at + 4, little);
    values += many;
    if (values > mostValues)
      return err({ kind: 'too-large', what: 'number of values in the directory', found: values, allowed: mostValues });
    const place = many * each <= 4 ? at + 8 : view.getUint32(at + 8, little);
    if (place + many * each > bytes.length) return short(place + many * each);
    entries.set(
      which,
      Array.from({ length: many }, (_, k) =>
        each === 1
          ? view.getUint8(place + k)
          : each === 2
            ? view.getUint16(place + 2 * k, little)
            : view.getUint32(place + 4 * k, little),
      ),
    );
  }
  const numbers = (which: number) => entries.get(which) ?? [];
  return ok({
    numbers,
    number: (which, otherwise) => numbers(which)[0] ?? otherwise,
    little,
    more: end + 4 <= bytes.length && view.getUint32(end, little) !== 0,
  });
}

interface Layout {
  readonly rows: number;
  readonly columns: number;
  readonly channels: number;
  readonly wide: boolean;
  readonly little: boolean;
}

function samplesOf(
  bytes: Uint8Array,
  directory: Directory,
  layout: Layout,
): Result<Uint8Array | Uint16Array, PixelError> {
  const { number, numbers } = directory;
  const { rows, columns, channels, wide } = layout;
  const tiled = numbers(tag.tileOffsets).length > 0;
  const width = tiled ? number(tag.tileWidth, 0) : columns;
  const height = tiled ? number(tag.tileLength, 0) : Math.min(rows, number(tag.rowsPerStrip, rows));
  if (width < 1 || height < 1 || width > 65_536 || height > 65_536 || width * height > 2 * rows * columns + 4_194_304)
    return err({
      kind: 'bad-number',
      what: 'size of a strip or tile',
      found: width * height,
      needed: 'about the picture at most',
    });
  const across = Math.ceil(columns / width);
  const down = Math.ceil(rows / height);
  const offsets = numbers(tiled ? tag.tileOffsets : tag.stripOffsets);
  const lengths = numbers(tiled ? tag.tileBytes : tag.stripBytes);
  const single = across * down === 1 && lengths.length === 0;
  if (offsets.length < across * down || (lengths.length < across * down && !single))
    return err({
      kind: 'truncated',
      counted: 'strips or tiles',
      found: Math.min(offsets.length, lengths.length),
      needed: across * down,
    });
  const each = wide ? 2 : 1;
  const most = width * height * channels * each;
  // No coding read here makes more than 4,096 bytes of one, so that much is refused before room is made.
  if (bytes.length * 4096 < rows * columns * channels * each)
    return err({
      kind: 'truncated',
      counted: 'bytes',
      found: bytes.length,
      needed: Math.ceil((rows * columns * channels * each) / 4096),
    });
  const data = wide ? new Uint16Array(rows * columns * channels) : new Uint8Array(rows * columns * channels);
  const room = new Uint8Array(most);
  for (let part = 0; part < across * down; part++) {
    const [left, top] = [(part % across) * width, Math.floor(part / across) * height];
    const here = tiled ? height : Math.min(height, rows - top);
    const from = offsets[part]!;
    const to = from + (single ? bytes.length - from : lengths[part]!);
    if (to > bytes.length || from > to)
      return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: to });
    const needed = width * here * channels * each;
    const filled = unpack(number(tag.compression, 1), bytes.subarray(from, to), room.subarray(0, needed));
    if (!filled.ok) return filled;
    if (filled.value < needed)
      return err({ kind: 'truncated', counted: `bytes of part ${part + 1}`, found: filled.value, needed });
    const values = width * channels;
    const predicted = number(tag.predictor, 1) === 2;
    const row = wide ? new Uint16Array(values) : new Uint8Array(values);
    const kept = Math.min(width, columns - left) * channels;
    for (let r = 0; r < Math.min(here, rows - top); r++) {
      rowOf(room, r * values * each, row, layout.little);
      if (predicted) for (let i = channels; i < values; i++) row[i] = row[i]! + row[i - channels]!;
      data.set(row.subarray(0, kept), ((top + r) * columns + left) * channels);
    }
  }
  return ok(data);
}

function rowOf(room: Uint8Array, from: number, row: Uint8Array | Uint16Array, little: boolean): void {
  if (row instanceof Uint8Array) row.set(room.subarray(from, from + row.length));
  else {
    const [low, high] = little ? [0, 1] : [1, 0];
    for (let i = 0; i < row.length; i++) row[i] = room[from + 2 * i + low]! | (room[from + 2 * i + high]! << 8);
  }
}

/** Unpacks one strip or tile into `room`; how many bytes came out. */
function unpack(compression: number, part: Uint8Array, room: Uint8Array): Result<number, PixelError> {
  switch (compression) {
    case 1: {
      const plain = part.subarray(0, room.length);
      room.set(plain);
      return ok(plain.length);
    }
    case 5:
      return ok(unpackLzw(part, room));
    case 8:
    case 32_946: {
      let at = 0;
      return boundedInflate('zlib', [part], room.length, (chunk) => {
        room.set(chunk, at);
        at += chunk.length;
      });
    }
    case 32_773:
      return ok(unpackBits(part, room));
    default:
      return err({
        kind: 'not-supported',
        what: 'compression of the TIFF',
        found: `${compression}`,
        needed: 'none, LZW, Deflate or PackBits',
      });
  }
}

/** PackBits (TIFF 6.0, section 9). */
function unpackBits(part: Uint8Array, room: Uint8Array): number {
  let at = 0;
  let written = 0;
  while (at < part.length && written < room.length) {
    const control = part[at]!;
    at += 1;
    if (control === 128) continue;
    const run = Math.min(control < 128 ? control + 1 : 257 - control, room.length - written);
    if (control < 128) {
      const plain = part.subarray(at, at + run);
      room.set(plain, written);
      written += plain.length;
      at += control + 1;
    } else {
      if (at >= part.length) break;
      room.fill(part[at]!, written, written + run);
      at += 1;
      written += run;
    }
  }
  return written;
}
