import { err, type Finding, info, ok, type Result, unreachable } from '@kerfline/geometry';
import { type Promised, runCodec } from './codec-run.ts';
import type { Codecs } from './codecs.ts';
import { refusedSize } from './film-size.ts';
import { greyOf, lumaOf } from './grey.ts';
import { jpegFrame } from './jpeg-header.ts';
import { decodeJpegLossless, type Watch } from './jpeg-lossless.ts';
import { codestreamSize } from './jpeg2000-header.ts';
import type { PixelError } from './pixel-error.ts';
import type { ByteRun, FilmPixels, PixelSource, Samples } from './pixel-source.ts';
import { decodeRunLength } from './run-length.ts';
import { bigEndianWords, littleEndianWords, rangeOf, storedNumbers } from './stored-samples.ts';
import { codingOf, mayBeLossy, readableCodings } from './transfer-syntax.ts';

/** Fragments of one film are few: encoders break at a megabyte or not at all. Project choice, no source. */
const mostFragments = 100_000;

/** Tiles of 128 x 128 on a film of 4,000 x 12,000 are 3,000. Project choice, no source. */
const mostTiles = 4_096;

type Cells = Uint8Array | Uint16Array;

/**
 * The picture of a film from its bytes.
 *
 * Nothing is copied where the file holds the numbers as they are needed: `data` is then a view on `source.data`.
 *
 * @param codecs where decoders come from when the picture needs one that is not ours
 * @param progress told the share that is done, 0 to 1, by coding that takes long
 * @param stop asked now and then; true ends the work with `stopped`
 */
export async function decodePixels(
  source: PixelSource,
  codecs: Codecs,
  progress?: (share: number) => void,
  stop?: () => boolean,
): Promise<Result<FilmPixels, PixelError>> {
  const refused = refusal(source);
  if (refused) return err(refused);
  const decoded = await cellsOf(source, codecs, { progress, stop });
  if (!decoded.ok) return decoded;
  const grey = oneSample(decoded.value.cells, source, decoded.value.together);
  if (!grey.ok) return grey;
  const { data, findings } = storedNumbers(grey.value, source);
  return ok(filmOf(source, data, [...decoded.value.findings, ...findings]));
}

function refusal(source: PixelSource): PixelError | undefined {
  const { rows, columns, bitsAllocated, bitsStored, highBit, samplesPerPixel } = source;
  const size = refusedSize(rows, columns);
  if (size) return size;
  if (bitsAllocated !== 8 && bitsAllocated !== 16)
    return { kind: 'bad-number', what: 'number of bits allocated', found: bitsAllocated, needed: '8 or 16' };
  if (!(Number.isInteger(bitsStored) && bitsStored >= 1 && bitsStored <= bitsAllocated))
    return { kind: 'bad-number', what: 'number of bits stored', found: bitsStored, needed: `1 to ${bitsAllocated}` };
  if (!(Number.isInteger(highBit) && highBit >= bitsStored - 1 && highBit < bitsAllocated))
    return { kind: 'bad-number', what: 'high bit', found: highBit, needed: `${bitsStored - 1} to ${bitsAllocated - 1}` };
  if (samplesPerPixel !== 1 && samplesPerPixel !== 3)
    return { kind: 'bad-number', what: 'number of samples per pixel', found: samplesPerPixel, needed: '1 or 3' };
  const needed = samplesPerPixel === 1 ? ['MONOCHROME1', 'MONOCHROME2'] : ['RGB', 'YBR_FULL', 'YBR_FULL_422', 'YBR_ICT', 'YBR_RCT'];
  if (!needed.includes(source.photometric))
    return { kind: 'not-supported', what: 'photometric interpretation', found: source.photometric, needed: needed.join(', ') };
  const runs = source.at.kind === 'native' ? [source.at] : source.at.fragments;
  if (runs.length > mostFragments) return { kind: 'too-large', what: 'number of fragments', found: runs.length, allowed: mostFragments };
  const total = runs.reduce((sum, { length }) => sum + length, 0);
  if (!(total <= source.data.length)) return { kind: 'truncated', counted: 'bytes', found: source.data.length, needed: total };
  for (const { offset, length } of runs) {
    if (!(offset >= 0 && length >= 0 && offset + length <= source.data.length))
      return { kind: 'truncated', counted: 'bytes', found: source.data.length, needed: offset + length };
  }
  return undefined;
}

interface Decoded {
  readonly cells: Cells;
  /** Three samples of a pixel stand together, and are red, green and blue. */
  readonly together: boolean;
  readonly findings: readonly Finding[];
}

async function cellsOf(source: PixelSource, codecs: Codecs, watch: Watch): Promise<Result<Decoded, PixelError>> {
  const { transferSyntax, rows, columns, samplesPerPixel, bitsAllocated, at } = source;
  const coding = codingOf(transferSyntax);
  const samples = rows * columns * samplesPerPixel;
  if (!coding) return err({ kind: 'not-supported', what: 'transfer syntax', found: transferSyntax, needed: readableCodings });
  const whole = coding === 'little-endian' || coding === 'big-endian';
  if (whole !== (at.kind === 'native'))
    return err({ kind: 'not-supported', what: 'transfer syntax', found: `${transferSyntax} with ${at.kind} pixel data`, needed: readableCodings });
  if (at.kind === 'native') return native(source, at, coding === 'big-endian');
  const stream = joined(source.data, at.fragments);
  const findings = mayBeLossy(transferSyntax) ? [info('lossy-coding', 'The picture was compressed with loss; fine edges may have moved.')] : [];
  const plain = (read: Result<Uint8Array | Uint16Array, PixelError>, together = true): Result<Decoded, PixelError> => {
    if (!read.ok) return read;
    const cells = bitsAllocated === 16 && read.value instanceof Uint8Array ? littleEndianWords(read.value) : read.value;
    return ok({ cells, together, findings });
  };
  switch (coding) {
    case 'run-length':
      return plain(decodeRunLength(stream, rows * columns, samplesPerPixel, bitsAllocated / 8), false);
    case 'jpeg-lossless': {
      const read = decodeJpegLossless(stream, { rows, columns, components: samplesPerPixel, mostBits: bitsAllocated }, watch);
      return plain(read.ok && bitsAllocated === 8 ? ok(Uint8Array.from(read.value)) : read, false);
    }
    case 'jpeg': {
      const ending = cutOff(stream);
      if (ending) return err(ending);
      const promised = jpegPromise(stream, source);
      return promised.ok ? plain(await runCodec('JPEG', codecs.jpeg, stream, promised.value)) : promised;
    }
    case 'jpeg-ls':
    case 'jpeg-2000': {
      const promised = coding === 'jpeg-ls' ? jpegLsPromise(stream) : jpeg2000Promise(stream);
      if (!promised.ok) return promised;
      const other = disagreement(promised.value, source) ?? (coding === 'jpeg-2000' ? cutOff(stream) : undefined);
      if (other) return err(other);
      const read =
        coding === 'jpeg-ls'
          ? await runCodec('JPEG-LS', codecs.jpegLs, stream, promised.value)
          : await runCodec('JPEG 2000', codecs.jpeg2000, stream, promised.value);
      return plain(read.ok && promised.value.bits <= 8 && bitsAllocated === 16 ? ok(Uint16Array.from(read.value)) : read);
    }
    case 'little-endian':
    case 'big-endian':
      throw new Error(`${coding} is native`);
    default:
      return unreachable(coding);
  }
}

/** Room for one film, and what is behind it; an odd film has one byte more. */
function native(source: PixelSource, run: ByteRun, bigEndian: boolean): Result<Decoded, PixelError> {
  const { rows, columns, samplesPerPixel, bitsAllocated, photometric } = source;
  if (photometric === 'YBR_FULL_422')
    return err({ kind: 'not-supported', what: 'photometric interpretation', found: 'YBR_FULL_422, uncompressed', needed: 'RGB, YBR_FULL or grey' });
  const needed = (rows * columns * samplesPerPixel * bitsAllocated) / 8;
  if (run.length < needed) return err({ kind: 'truncated', counted: 'bytes', found: run.length, needed });
  const bytes = source.data.subarray(run.offset, run.offset + needed);
  const behind = run.length - needed;
  const findings =
    behind > needed % 2
      ? [info('bytes-behind-picture', `${behind} bytes behind the picture were left out.`)]
      : [];
  const cells = bitsAllocated === 8 ? bytes : bigEndian ? bigEndianWords(bytes) : littleEndianWords(bytes);
  return ok({ cells, together: source.planes !== true, findings });
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

/**
 * Decoders fill up what a stream cut off does not hold. So its last marker, FF D9 in JPEG (T.81 B.1.1.3) as in
 * JPEG 2000 (T.800 A.4.4), must be there; zero bytes behind it pad it to an even length.
 */
function cutOff(stream: Uint8Array): PixelError | undefined {
  let end = stream.length;
  while (end > 0 && stream[end - 1] === 0) end -= 1;
  if (end >= 2 && stream[end - 2] === 0xff && stream[end - 1] === 0xd9) return undefined;
  return { kind: 'truncated', counted: 'end markers', found: 0, needed: 1 };
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
  const promised = { rows, columns, bits: precision, components: components.length };
  const other = disagreement(promised, source);
  return other ? err(other) : ok(promised);
}

function jpegLsPromise(stream: Uint8Array): Result<Promised, PixelError> {
  const frame = jpegFrame(stream);
  if (!frame.ok) return frame;
  const { marker, precision, rows, columns, components } = frame.value;
  if (marker !== 0xf7)
    return err({ kind: 'not-supported', what: 'kind of JPEG', found: `SOF${marker - 0xc0}`, needed: 'JPEG-LS' });
  return ok({ rows, columns, bits: precision, components: components.length });
}

function jpeg2000Promise(stream: Uint8Array): Result<Promised, PixelError> {
  const size = codestreamSize(stream);
  if (!size.ok) return size;
  const { rows, columns, precision, components, tiles } = size.value;
  if (tiles > mostTiles) return err({ kind: 'too-large', what: 'number of tiles', found: tiles, allowed: mostTiles });
  return ok({ rows, columns, bits: precision, components });
}

function disagreement(promised: Promised, source: PixelSource): PixelError | undefined {
  const pairs = [
    ['rows', promised.rows, source.rows],
    ['columns', promised.columns, source.columns],
    ['components', promised.components, source.samplesPerPixel],
  ] as const;
  for (const [what, found, needed] of pairs) if (found !== needed) return { kind: 'disagrees', what, found, needed };
  if (!(promised.bits >= 1 && promised.bits <= source.bitsAllocated))
    return { kind: 'disagrees', what: 'bits', found: promised.bits, needed: source.bitsAllocated };
  return undefined;
}

/** Grey from what may be three samples a pixel. */
function oneSample(cells: Cells, source: PixelSource, together: boolean): Result<Cells, PixelError> {
  if (source.samplesPerPixel === 1) return ok(cells);
  const pixels = source.rows * source.columns;
  const coding = codingOf(source.transferSyntax);
  const converted = coding === 'jpeg' || coding === 'jpeg-2000';
  const planes = !together && coding !== 'run-length' && coding !== 'jpeg-lossless';
  if (source.photometric.startsWith('YBR') && !converted) {
    if (!(cells instanceof Uint8Array))
      return err({ kind: 'not-supported', what: 'photometric interpretation', found: `${source.photometric} with 16 bits`, needed: 'RGB or grey' });
    return lumaOf(cells, pixels, planes);
  }
  return greyOf<Cells>(cells, pixels, { planes, greatest: 2 ** source.bitsStored - 1 });
}

/** @returns the film with its range and the window to begin with: the file's own, or all that was found */
function filmOf(source: PixelSource, data: Samples, findings: readonly Finding[]): FilmPixels {
  const { rows, columns, rescale, window } = source;
  const { low, high } = rangeOf(data, source.padding);
  const slope = rescale?.slope ?? 1;
  const usable = Number.isFinite(slope) && slope !== 0 && Number.isFinite(rescale?.intercept ?? 0);
  const stated =
    window && usable && Number.isFinite(window.centre) && window.width >= 1
      ? { centre: (window.centre - (rescale?.intercept ?? 0)) / slope, width: window.width / Math.abs(slope) }
      : undefined;
  const highIsDark = source.photometric === 'MONOCHROME1' || source.presentationInverse === true;
  return {
    columns,
    rows,
    data,
    low,
    high,
    inverted: highIsDark !== slope < 0,
    window: stated ?? { centre: (low + high + 1) / 2, width: high - low + 1 },
    findings,
  };
}
