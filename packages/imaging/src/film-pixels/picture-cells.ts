import { err, type Finding, info, ok, type Result, unreachable } from '@kerfline/geometry';
import { type Promised, runCodec } from './codec-run.ts';
import type { Codecs } from './codecs.ts';
import { decodeJpegExtended } from './jpeg-extended.ts';
import { jpegFrame } from './jpeg-header.ts';
import { decodeJpegLossless, type Watch } from './jpeg-lossless.ts';
import { decodeJpegLs } from './jpeg-ls.ts';
import { tooManyScans } from './jpeg-scans.ts';
import { codestreamSize } from './jpeg2000-header.ts';
import type { PixelError } from './pixel-error.ts';
import type { ByteRun, PixelSource } from './pixel-source.ts';
import { decodeRunLength } from './run-length.ts';
import { bigEndianWords, littleEndianWords } from './stored-samples.ts';
import { codingOf, mayBeLossy, readableCodings } from './transfer-syntax.ts';

/** Tiles of 128 x 128 on a film of 4,000 x 12,000 are 3,000. Project choice, no source. */
const mostTiles = 4_096;

/** The cells of a picture, as they stand in the file or came out of a decoder. */
export interface Cells {
  readonly values: Uint8Array | Uint16Array;
  /** Three samples a pixel: one plane after the other, instead of pixel by pixel. */
  readonly planes: boolean;
  /** The decoder has made red, green and blue of what was kept as brightness and colour. */
  readonly rgb: boolean;
  readonly findings: readonly Finding[];
}

const lossy = [info('lossy-coding', 'The picture was compressed with loss; fine edges may have moved.')];

/** The cells of the picture, decoded by the coding that its transfer syntax names. */
export async function cellsOf(source: PixelSource, codecs: Codecs, watch: Watch): Promise<Result<Cells, PixelError>> {
  const { transferSyntax, rows, columns, samplesPerPixel, bitsAllocated, at } = source;
  const coding = codingOf(transferSyntax);
  const unreadable = (found: string) =>
    err({ kind: 'not-supported', what: 'transfer syntax', found, needed: readableCodings } as const);
  if (!coding) return unreadable(transferSyntax);
  if ((coding === 'little-endian' || coding === 'big-endian') !== (at.kind === 'native'))
    return unreadable(`${transferSyntax} with ${at.kind} pixel data`);
  if (at.kind === 'native') return native(source, at, coding === 'big-endian');
  const stream = joined(source.data, at.fragments);
  const findings = mayBeLossy(transferSyntax) ? lossy : [];
  const done = (values: Uint8Array | Uint16Array, more: Partial<Cells> = {}): Result<Cells, PixelError> =>
    ok({ values, planes: false, rgb: false, findings, ...more });
  switch (coding) {
    case 'run-length': {
      const read = decodeRunLength(stream, rows * columns, samplesPerPixel, bitsAllocated / 8);
      return read.ok ? done(bitsAllocated === 16 ? littleEndianWords(read.value) : read.value) : read;
    }
    case 'jpeg-lossless': {
      const wanted = { rows, columns, components: samplesPerPixel, mostBits: bitsAllocated };
      const read = decodeJpegLossless(stream, wanted, watch);
      return read.ok ? done(bitsAllocated === 8 ? Uint8Array.from(read.value) : read.value) : read;
    }
    case 'jpeg': {
      const frame = jpegFrame(stream);
      if (!frame.ok) return frame;
      if (frame.value.precision === 12 && bitsAllocated === 16) {
        const wanted = { rows, columns, components: samplesPerPixel, mostBits: bitsAllocated };
        const read = decodeJpegExtended(stream, wanted, watch);
        return read.ok ? done(read.value) : read;
      }
      const promised = jpegPromise(stream, source);
      if (!promised.ok) return promised;
      const again = tooManyScans(stream);
      if (again) return err(again);
      const read = await runCodec('JPEG', codecs.jpeg, stream, promised.value);
      return read.ok ? done(widened(read.value, promised.value, source), { rgb: true }) : read;
    }
    case 'jpeg-ls': {
      const wanted = { rows, columns, components: samplesPerPixel, mostBits: bitsAllocated };
      const read = decodeJpegLs(stream, wanted, watch);
      if (!read.ok) return read;
      const { samples, near } = read.value;
      return done(bitsAllocated === 8 ? Uint8Array.from(samples) : samples, { findings: near > 0 ? lossy : [] });
    }
    case 'jpeg-2000': {
      const promised = jpeg2000Promise(stream, source);
      if (!promised.ok) return promised;
      const read = await runCodec('JPEG 2000', codecs.jpeg2000, stream, promised.value);
      return read.ok ? done(widened(read.value, promised.value, source), { rgb: true }) : read;
    }
    case 'little-endian':
    case 'big-endian':
      throw new Error(`${coding} is native`);
    default:
      return unreachable(coding);
  }
}

/** What a decoder gave, in cells of the size the file allocates. */
const widened = (bytes: Uint8Array, { bits }: Promised, { bitsAllocated }: PixelSource): Uint8Array | Uint16Array =>
  bits > 8 ? littleEndianWords(bytes) : bitsAllocated === 16 ? Uint16Array.from(bytes) : bytes;

/** Room for one film, and what is behind it; an odd film has one byte more. */
function native(source: PixelSource, run: ByteRun, bigEndian: boolean): Result<Cells, PixelError> {
  const { rows, columns, samplesPerPixel, bitsAllocated, photometric } = source;
  if (photometric === 'YBR_FULL_422')
    return err({
      kind: 'not-supported',
      what: 'photometric interpretation',
      found: 'YBR_FULL_422, uncompressed',
      needed: 'RGB, YBR_FULL or grey',
    });
  const needed = (rows * columns * samplesPerPixel * bitsAllocated) / 8;
  if (run.length < needed) return err({ kind: 'truncated', counted: 'bytes', found: run.length, needed });
  const bytes = source.data.subarray(run.offset, run.offset + needed);
  const behind = run.length - needed;
  const findings =
    behind > needed % 2 ? [info('bytes-behind-picture', `${behind} bytes behind the picture were left out.`)] : [];
  const values = bitsAllocated === 8 ? bytes : bigEndian ? bigEndianWords(bytes) : littleEndianWords(bytes);
  return ok({ values, planes: source.planes === true, rgb: false, findings });
}

function joined(data: Uint8Array, fragments: readonly ByteRun[]): Uint8Array {
  const parts = fragments.map(({ offset, length }) => data.subarray(offset, offset + length));
  if (parts.length === 1) return parts[0]!;
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

function jpegPromise(stream: Uint8Array, source: PixelSource): Result<Promised, PixelError> {
  const frame = jpegFrame(stream);
  if (!frame.ok) return frame;
  const { marker, precision, rows, columns, components } = frame.value;
  if (marker > 0xc2 || precision !== 8)
    return err({
      kind: 'not-supported',
      what: 'transfer syntax',
      found: `${source.transferSyntax} with ${precision} bits, SOF${marker - 0xc0}`,
      needed: readableCodings,
    });
  return agreed({ rows, columns, bits: precision, components: components.length }, source);
}

function jpeg2000Promise(stream: Uint8Array, source: PixelSource): Result<Promised, PixelError> {
  const size = codestreamSize(stream);
  if (!size.ok) return size;
  const { rows, columns, precision, components, tiles } = size.value;
  if (tiles > mostTiles) return err({ kind: 'too-large', what: 'number of tiles', found: tiles, allowed: mostTiles });
  return agreed({ rows, columns, bits: precision, components }, source);
}

/** What a stream promises, if that is what the tags say. */
function agreed(promised: Promised, source: PixelSource): Result<Promised, PixelError> {
  const pairs = [
    ['rows', promised.rows, source.rows],
    ['columns', promised.columns, source.columns],
    ['components', promised.components, source.samplesPerPixel],
  ] as const;
  for (const [what, found, needed] of pairs)
    if (found !== needed) return err({ kind: 'disagrees', what, found, needed });
  if (!(promised.bits >= 1 && promised.bits <= source.bitsAllocated))
    return err({ kind: 'disagrees', what: 'bits', found: promised.bits, needed: source.bitsAllocated });
  return ok(promised);
}
