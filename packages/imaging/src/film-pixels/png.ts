import { doubt, err, type Finding, ok, type Result } from '@kerfline/geometry';
import { boundedInflate } from './bounded-inflate.ts';
import { refusedSize } from './film-size.ts';
import type { PictureSamples } from './picture-film.ts';
import type { PixelError } from './pixel-error.ts';

/** The first bytes of every PNG file (PNG, third edition, 5.2). */
export const pngSignature = Uint8Array.of(137, 80, 78, 71, 13, 10, 26, 10);

interface Header {
  readonly rows: number;
  readonly columns: number;
  readonly depth: number;
  readonly colour: number;
  readonly interlaced: boolean;
}

/** Colour types and the samples of a pixel they have (PNG 11.2.1). */
const channelsOf: Readonly<Record<number, 1 | 2 | 3 | 4>> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };
const depthsOf: Readonly<Record<number, readonly number[]>> = {
  0: [1, 2, 4, 8, 16],
  2: [8, 16],
  3: [1, 2, 4, 8],
  4: [8, 16],
  6: [8, 16],
};

const remainders = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

/** The check number of a chunk (PNG 5.5 and Annex D). */
function check(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (let i = 0; i < bytes.length; i++) c = remainders[(c ^ bytes[i]!) & 255]! ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

/** Reads a PNG picture of any depth and colour type, interlaced or not. */
export function readPng(bytes: Uint8Array): Result<PictureSamples, PixelError> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const findings: Finding[] = [];
  const parts: Uint8Array[] = [];
  let header: Header | undefined;
  let palette: Uint8Array | undefined;
  let at = 8;
  for (;;) {
    if (at + 12 > bytes.length)
      return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: at + 12 });
    const length = view.getUint32(at);
    const end = at + 8 + length;
    if (end + 4 > bytes.length)
      return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: end + 4 });
    const kind = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    const content = bytes.subarray(at + 8, end);
    const needed = kind === 'IHDR' || kind === 'PLTE' || kind === 'IDAT';
    if (needed && check(bytes.subarray(at + 4, end)) !== view.getUint32(end))
      return err({ kind: 'corrupt', what: `the check number of its part ${kind} is wrong`, byte: at });
    if (kind === 'IHDR') {
      const read = headerIn(content);
      if (!read.ok) return read;
      header = read.value;
    } else if (kind === 'PLTE') palette = content;
    else if (kind === 'IDAT') parts.push(content);
    else if (kind === 'acTL')
      findings.push(doubt('moving-picture', 'The file holds a moving picture; its first one was read.'));
    else if (kind === 'IEND') break;
    at = end + 4;
  }
  if (!header) return err({ kind: 'corrupt', what: 'there is no header', byte: 8 });
  return pictureFrom(header, parts, palette, findings);
}

function headerIn(content: Uint8Array): Result<Header, PixelError> {
  if (content.length !== 13)
    return err({ kind: 'bad-number', what: 'length of the header', found: content.length, needed: '13' });
  const view = new DataView(content.buffer, content.byteOffset, content.byteLength);
  const header = {
    columns: view.getUint32(0),
    rows: view.getUint32(4),
    depth: content[8]!,
    colour: content[9]!,
    interlaced: content[12] === 1,
  };
  const size = refusedSize(header.rows, header.columns);
  if (size) return err(size);
  if (!depthsOf[header.colour]?.includes(header.depth))
    return err({
      kind: 'not-supported',
      what: 'kind of PNG',
      found: `colour type ${header.colour} with ${header.depth} bits`,
      needed: 'those of the standard',
    });
  if (content[10] !== 0 || content[11] !== 0)
    return err({
      kind: 'not-supported',
      what: 'compression of the PNG',
      found: `${content[10]}, ${content[11]}`,
      needed: '0, 0',
    });
  if (content[12]! > 1)
    return err({ kind: 'not-supported', what: 'interlacing', found: `${content[12]}`, needed: '0 or 1' });
  return ok(header);
}

/** One pass over the picture: its first row and column and the steps to the next. */
interface Pass {
  readonly top: number;
  readonly left: number;
  readonly down: number;
  readonly across: number;
}

/** The seven passes of an interlaced picture (PNG 8.2, Adam7). */
const interlaced: readonly Pass[] = [
  { top: 0, left: 0, down: 8, across: 8 },
  { top: 0, left: 4, down: 8, across: 8 },
  { top: 4, left: 0, down: 8, across: 4 },
  { top: 0, left: 2, down: 4, across: 4 },
  { top: 2, left: 0, down: 4, across: 2 },
  { top: 0, left: 1, down: 2, across: 2 },
  { top: 1, left: 0, down: 2, across: 1 },
];
const straight: readonly Pass[] = [{ top: 0, left: 0, down: 1, across: 1 }];

/** Undoes the filters row by row as the bytes come (PNG 9.2), so that little more than the picture is held. */
function pictureFrom(
  header: Header,
  parts: readonly Uint8Array[],
  palette: Uint8Array | undefined,
  findings: readonly Finding[],
): Result<PictureSamples, PixelError> {
  const { rows, columns, depth, colour } = header;
  const channels = channelsOf[colour]!;
  const back = Math.max(1, (channels * depth) / 8);
  const passes = (header.interlaced ? interlaced : straight)
    .map((pass) => {
      const high = Math.ceil((rows - pass.top) / pass.down);
      const wide = Math.ceil((columns - pass.left) / pass.across);
      return { ...pass, high, wide, width: Math.ceil((wide * channels * depth) / 8) };
    })
    .filter(({ high, wide }) => high > 0 && wide > 0);
  const most = passes.reduce((sum, { high, width }) => sum + high * (width + 1), 0);
  const held = parts.reduce((sum, part) => sum + part.length, 0);
  // Deflate gives at most 1,032 bytes for one (RFC 1951: 258 bytes for 2 bits).
  if (held * 1032 < most)
    return err({ kind: 'truncated', counted: 'bytes', found: held, needed: Math.ceil(most / 1032) });
  const samples = columns * channels;
  const data = depth === 16 ? new Uint16Array(samples * rows) : new Uint8Array(samples * rows);
  const widest = passes.reduce((wide, { width }) => Math.max(wide, width), 0);
  const lines = { before: new Uint8Array(widest), now: new Uint8Array(widest) };
  const at = { pass: 0, row: 0, place: 0, filter: 0 };
  let wrong: number | undefined;
  const given = boundedInflate('zlib', parts, most, (chunk) => {
    let from = 0;
    while (from < chunk.length) {
      const pass = passes[at.pass]!;
      if (at.place === 0) {
        at.filter = chunk[from]!;
        from += 1;
        at.place = 1;
        if (at.filter > 4) wrong ??= at.row;
        continue;
      }
      const run = Math.min(chunk.length - from, pass.width + 1 - at.place);
      lines.now.set(chunk.subarray(from, from + run), at.place - 1);
      from += run;
      at.place += run;
      if (at.place <= pass.width) continue;
      const line = lines.now.subarray(0, pass.width);
      unfilter(at.filter, line, lines.before, back);
      const first = (pass.top + at.row * pass.down) * samples + pass.left * channels;
      store(line, data, first, { pixels: pass.wide, channels, step: pass.across * channels, depth });
      [lines.before, lines.now] = [lines.now, lines.before];
      at.place = 0;
      at.row += 1;
      if (at.row === pass.high) {
        at.pass += 1;
        at.row = 0;
        lines.before.fill(0);
      }
    }
  });
  if (!given.ok) return given;
  if (wrong !== undefined) return err({ kind: 'corrupt', what: `row ${wrong + 1} has an unknown filter`, byte: 0 });
  if (at.pass < passes.length) return err({ kind: 'truncated', counted: 'bytes', found: given.value, needed: most });
  const greatest = colour === 3 ? 255 : 2 ** depth - 1;
  const base = { rows, columns, greatest, highIsDark: false, findings };
  if (colour !== 3) return ok({ ...base, data, channels });
  if (!palette || palette.length % 3 !== 0)
    return err({ kind: 'corrupt', what: 'the palette is missing or cut off', byte: 0 });
  const colours = new Uint8Array(3 * rows * columns);
  for (let i = 0; i < rows * columns; i++) {
    if (3 * data[i]! >= palette.length)
      return err({ kind: 'corrupt', what: 'a pixel lies outside the palette', byte: 0 });
    for (let k = 0; k < 3; k++) colours[3 * i + k] = palette[3 * data[i]! + k]!;
  }
  return ok({ ...base, data: colours, channels: 3 });
}

function unfilter(filter: number, now: Uint8Array, before: Uint8Array, back: number): void {
  const { length } = now;
  if (filter === 1) for (let i = back; i < length; i++) now[i] = now[i]! + now[i - back]!;
  else if (filter === 2) for (let i = 0; i < length; i++) now[i] = now[i]! + before[i]!;
  else if (filter === 3) {
    for (let i = 0; i < length; i++) now[i] = now[i]! + (((i < back ? 0 : now[i - back]!) + before[i]!) >> 1);
  } else if (filter === 4) {
    for (let i = 0; i < length; i++) {
      const a = i < back ? 0 : now[i - back]!;
      const b = before[i]!;
      const c = i < back ? 0 : before[i - back]!;
      const [pa, pb, pc] = [Math.abs(b - c), Math.abs(a - c), Math.abs(a + b - 2 * c)];
      now[i] = now[i]! + (pa <= pb && pa <= pc ? a : pb <= pc ? b : c);
    }
  }
}

/** Puts one row into the picture: `pixels` of `channels` each, `step` samples from one to the next. */
function store(
  line: Uint8Array,
  data: Uint8Array | Uint16Array,
  first: number,
  {
    pixels,
    channels,
    step,
    depth,
  }: { readonly pixels: number; readonly channels: number; readonly step: number; readonly depth: number },
): void {
  if (depth === 8 && step === channels) {
    data.set(line, first);
    return;
  }
  const each = 8 / depth;
  const mask = 2 ** depth - 1;
  for (let x = 0, i = 0; x < pixels; x++) {
    for (let k = 0; k < channels; k++, i++) {
      const value =
        depth === 16
          ? (line[2 * i]! << 8) | line[2 * i + 1]!
          : (line[Math.floor(i / each)]! >> (8 - depth - (i % each) * depth)) & mask;
      data[first + x * step + k] = value;
    }
  }
}
