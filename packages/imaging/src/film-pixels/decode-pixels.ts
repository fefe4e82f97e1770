import { err, type Finding, ok, type Result } from '@kerfline/geometry';
import type { Codecs } from './codecs.ts';
import { refusedSize } from './film-size.ts';
import { greyOf, lumaOf } from './grey.ts';
import { type Cells, cellsOf } from './picture-cells.ts';
import type { PixelError } from './pixel-error.ts';
import type { FilmPixels, PixelSource, Samples } from './pixel-source.ts';
import { rangeOf, storedNumbers } from './stored-samples.ts';

/** Fragments of one film are few: encoders break at a megabyte or not at all. Project choice, no source. */
const mostFragments = 100_000;

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
  const grey = oneSample(decoded.value, source);
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
    return {
      kind: 'bad-number',
      what: 'high bit',
      found: highBit,
      needed: `${bitsStored - 1} to ${bitsAllocated - 1}`,
    };
  if (samplesPerPixel !== 1 && samplesPerPixel !== 3)
    return { kind: 'bad-number', what: 'number of samples per pixel', found: samplesPerPixel, needed: '1 or 3' };
  const needed =
    samplesPerPixel === 1 ? ['MONOCHROME1', 'MONOCHROME2'] : ['RGB', 'YBR_FULL', 'YBR_FULL_422', 'YBR_ICT', 'YBR_RCT'];
  if (!needed.includes(source.photometric))
    return {
      kind: 'not-supported',
      what: 'photometric interpretation',
      found: source.photometric,
      needed: needed.join(', '),
    };
  const runs = source.at.kind === 'native' ? [source.at] : source.at.fragments;
  if (runs.length > mostFragments)
    return { kind: 'too-large', what: 'number of fragments', found: runs.length, allowed: mostFragments };
  const total = runs.reduce((sum, { length }) => sum + length, 0);
  if (!(total <= source.data.length))
    return { kind: 'truncated', counted: 'bytes', found: source.data.length, needed: total };
  for (const { offset, length } of runs) {
    if (!(offset >= 0 && length >= 0 && offset + length <= source.data.length))
      return { kind: 'truncated', counted: 'bytes', found: source.data.length, needed: offset + length };
  }
  return undefined;
}

/** Grey from what may be three samples a pixel. */
function oneSample({ values, planes, rgb }: Cells, source: PixelSource): Result<Cells['values'], PixelError> {
  if (source.samplesPerPixel === 1) return ok(values);
  const pixels = source.rows * source.columns;
  if (!source.photometric.startsWith('YBR') || rgb)
    return greyOf<Cells['values']>(values, pixels, { planes, greatest: 2 ** source.bitsStored - 1 });
  if (values instanceof Uint8Array) return lumaOf(values, pixels, planes);
  return err({
    kind: 'not-supported',
    what: 'photometric interpretation',
    found: `${source.photometric} with 16 bits`,
    needed: 'RGB or grey',
  });
}

/** @returns the film with its range and the window to begin with: the file's own, or all that was found */
function filmOf(source: PixelSource, data: Samples, findings: readonly Finding[]): FilmPixels {
  const { rows, columns, rescale, window: asked } = source;
  const { low, high } = rangeOf(data, source.padding);
  const slope = rescale?.slope ?? 1;
  const usable = Number.isFinite(slope) && slope !== 0 && Number.isFinite(rescale?.intercept ?? 0);
  const stated =
    asked && usable && Number.isFinite(asked.centre) && asked.width >= 1
      ? { centre: (asked.centre - (rescale?.intercept ?? 0)) / slope, width: asked.width / Math.abs(slope) }
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
