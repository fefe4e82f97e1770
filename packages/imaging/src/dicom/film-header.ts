import { doubt, err, type Finding, info, ok, type Result } from '@kerfline/geometry';
import { type TagName, tagOf } from './dicom-tags.ts';
import { badValue, decimalsOf, neededWhole, partsOf, textOf, valueBytes, wholeOf } from './element-values.ts';
import type { FilmFileError } from './film-file-error.ts';
import { type FilmKind, filmKind } from './film-kind.ts';
import { type FilmLength, type FilmSpacing, filmLength } from './film-length.ts';
import { type FilmLimits, filmLimits } from './film-limits.ts';
import { type Elements, type Part10, readPart10 } from './part10.ts';
import { patientCheckIn } from './patient-check.ts';
import { encapsulatedPixels, nativePixels, type PixelPlace } from './pixel-place.ts';

/** All that is known of a film except its pixels and its patient. */
export interface FilmHeader {
  readonly sopClass: FilmKind;
  readonly sopClassUid: string;
  readonly modality: string;
  readonly transferSyntax: string;
  /** Byte order of native pixels of 16 bits. */
  readonly littleEndian: boolean;
  readonly rows: number;
  readonly columns: number;
  readonly bitsAllocated: 8 | 16;
  readonly bitsStored: number;
  readonly highBit: number;
  readonly signed: boolean;
  readonly samplesPerPixel: 1 | 3;
  /** Samples of three: one plane each instead of pixel by pixel. */
  readonly planar: boolean;
  readonly photometric: string;
  readonly presentationShape: string | null;
  /** The first of those in the file, in values after rescaling. */
  readonly window: { readonly centre: number; readonly width: number } | null;
  readonly rescale: { readonly slope: number; readonly intercept: number } | null;
  /** Stored values that are no part of the picture: one, or from one to the other. */
  readonly padding: { readonly from: number; readonly to: number } | null;
  /** Derived from others, as an image stitched together is. One calibration may not hold all over it. */
  readonly stitched: boolean;
  /** The bytes that `pixels` refers to: those of the file, or what they become when deflated. */
  readonly data: Uint8Array;
  readonly pixels: PixelPlace;
  readonly viewPosition: string | null;
  /** Where rows run to (left to right), then where columns run to (downward), in the words of PS3.3 C.7.6.1.1.1. */
  readonly patientOrientation: readonly [along: string, down: string] | null;
  readonly sideTag: 'left' | 'right' | 'both' | 'none';
  readonly burnedIn: 'yes' | 'no' | 'not-stated';
  readonly length: FilmLength;
  /** Height to width of a pixel where the file has a shape but no millimetres. */
  readonly aspect: readonly [down: number, across: number] | null;
  readonly sourceToDetectorMm: number | null;
  readonly sourceToPatientMm: number | null;
  /** In a file without a patient: what tells one patient's films from another's. See `deidentified`. */
  readonly patientCheck?: string;
  readonly findings: readonly Finding[];
}

/**
 * What a DICOM file says about its film.
 *
 * Computed and digital radiographs, secondary captures, stitched images of one frame. Slices, runs of frames, photographs
 * and what has no pixels are refused. Whatever the bytes, nothing is thrown, and no name of a patient is given on.
 *
 * @param bytes the whole file; not changed. `data` of the result shares them unless the file is deflated
 * @source PS3.3 sections 10.7, C.7.6.3, C.8.1, C.8.11; PS3.10
 */
export function readFilmHeader(bytes: Uint8Array, limits: FilmLimits = filmLimits): Result<FilmHeader, FilmFileError> {
  const file = readPart10(bytes, limits);
  return file.ok ? filmHeaderOf(file.value, limits) : file;
}

/** The same of a file that has been taken apart. */
export function filmHeaderOf(file: Part10, limits: FilmLimits): Result<FilmHeader, FilmFileError> {
  const set = file.dataSet;
  const findings: Finding[] = [...file.findings];
  const kind = filmKind(set);
  if (!kind.ok) return kind;
  if (file.pixelData === null)
    return err({ kind: 'not-a-film', found: 'an object without pixels, or cut off before them' });
  const image = imageTags(set, limits);
  if (!image.ok) return image;
  const { rows, columns, bitsAllocated, samplesPerPixel, photometric, signed } = image.value;
  if (samplesPerPixel === 3 && kind.value.sopClass !== 'SC') {
    return err({ kind: 'not-a-film', found: 'a colour image' });
  }
  const needed = (rows * columns * samplesPerPixel * bitsAllocated) / 8;
  const place = file.pixelData;
  if (place.length !== undefined && /^YBR_(FULL_422|ICT|RCT|PARTIAL_420)$/.test(photometric)) {
    return err(badValue(tagOf('photometric'), photometric, 'RGB or YBR_FULL where pixels are not compressed'));
  }
  const pixels =
    place.length === undefined
      ? encapsulatedPixels(set.bytes, place.offset, limits)
      : nativePixels(set.bytes, { offset: place.offset, length: place.length }, needed);
  if (!pixels.ok) return pixels;
  findings.push(...pixels.value.findings);

  const length = lengthOf(set, findings);
  if (!length.ok) return length;
  const side = sideTag(set, findings);
  if (!side.ok) return side;
  const rescale = rescaleOf(set);
  if (!rescale.ok) return rescale;
  const imageType = partsOf(set, 'imageType');
  const burnedIn = textOf(set, 'burnedIn');
  const [along, down] = partsOf(set, 'patientOrientation');
  const check = patientCheckIn(set);
  return ok({
    ...kind.value,
    transferSyntax: file.transferSyntax,
    littleEndian: set.littleEndian,
    ...image.value,
    photometric,
    presentationShape: textOf(set, 'presentationShape') ?? null,
    window: windowOf(set, findings),
    rescale: rescale.value,
    padding: paddingOf(set, signed, findings),
    stitched: imageType[0] === 'DERIVED' || imageType.some((part) => /STITCH|COMPOS/i.test(part)),
    data: set.bytes,
    pixels: pixels.value.pixels,
    viewPosition: textOf(set, 'viewPosition') ?? null,
    patientOrientation: along && down ? [along, down] : null,
    sideTag: side.value,
    burnedIn: burnedIn === 'YES' ? 'yes' : burnedIn === 'NO' ? 'no' : 'not-stated',
    ...length.value,
    ...(check === undefined ? {} : { patientCheck: check }),
    findings,
  });
}

type ImageTags = Pick<
  FilmHeader,
  | 'rows'
  | 'columns'
  | 'bitsAllocated'
  | 'bitsStored'
  | 'highBit'
  | 'signed'
  | 'samplesPerPixel'
  | 'planar'
  | 'photometric'
>;

/** Shape and type of the pixels, each in the range that films have. */
function imageTags(set: Elements, limits: FilmLimits): Result<ImageTags, FilmFileError> {
  const values: Partial<Record<TagName, number>> = {};
  for (const tag of ['rows', 'columns', 'bitsAllocated', 'bitsStored', 'pixelRepresentation', 'samples'] as const) {
    const value = neededWhole(set, tag);
    if (!value.ok) return value;
    values[tag] = value.value;
  }
  const { rows = 0, columns = 0, bitsAllocated = 0, bitsStored = 0, pixelRepresentation = 0, samples = 0 } = values;
  const refuse = (tag: TagName, found: number | string, needed: string) =>
    err(badValue(tagOf(tag), `${found}`, needed));
  const frames = decimalsOf(set, 'frames');
  if (!frames.ok) return frames;
  if ((frames.value?.[0] ?? 1) !== 1) return err({ kind: 'not-a-film', found: `a run of ${frames.value![0]} frames` });
  if (rows < 1) return refuse('rows', rows, 'a number of at least 1');
  if (columns < 1) return refuse('columns', columns, 'a number of at least 1');
  const { mostSide, mostPixels } = limits;
  if (Math.max(rows, columns) > mostSide || rows * columns > mostPixels) {
    return err({ kind: 'too-many-pixels', columns, rows, mostSide, mostPixels });
  }
  if (samples !== 1 && samples !== 3) return refuse('samples', samples, '1 or 3');
  if (bitsAllocated !== 8 && bitsAllocated !== 16) return refuse('bitsAllocated', bitsAllocated, '8 or 16');
  if (bitsStored < 1 || bitsStored > bitsAllocated) return refuse('bitsStored', bitsStored, `1 to ${bitsAllocated}`);
  const high = wholeOf(set, 'highBit');
  if (!high.ok) return high;
  const highBit = high.value ?? bitsStored - 1;
  if (highBit < bitsStored - 1 || highBit >= bitsAllocated) {
    return refuse('highBit', highBit, `${bitsStored - 1} to ${bitsAllocated - 1}`);
  }
  if (pixelRepresentation > 1) return refuse('pixelRepresentation', pixelRepresentation, '0 or 1');
  const photometric = textOf(set, 'photometric') ?? '';
  const allowed = samples === 1 ? /^MONOCHROME[12]$/ : /^(RGB|YBR_(FULL|FULL_422|ICT|RCT|PARTIAL_420))$/;
  if (!allowed.test(photometric)) {
    return refuse('photometric', photometric, samples === 1 ? 'MONOCHROME1 or MONOCHROME2' : 'RGB or a kind of YBR');
  }
  const planar = wholeOf(set, 'planar');
  if (!planar.ok) return planar;
  return ok({
    rows,
    columns,
    bitsAllocated,
    bitsStored,
    highBit,
    signed: pixelRepresentation === 1,
    samplesPerPixel: samples,
    planar: samples === 3 && planar.value === 1,
    photometric,
  });
}

/** The side from the two tags that may say it. */
function sideTag(set: Elements, findings: Finding[]): Result<FilmHeader['sideTag'], FilmFileError> {
  const sides = { R: 'right', L: 'left', B: 'both', U: 'none', '': 'none' } as const;
  const read = (tag: TagName): readonly [found: string, side: FilmHeader['sideTag']] => {
    const found = textOf(set, tag)?.trim() ?? '';
    if (found in sides) return [found, sides[found as keyof typeof sides]];
    findings.push(
      doubt('side-tag-unknown', `${tagOf(tag).name} holds no side that the standard knows; it was not used.`),
    );
    return [found, 'none'];
  };
  const [imageLaterality, image] = read('imageLaterality');
  const [laterality, series] = read('laterality');
  if (image !== 'none' && series !== 'none' && image !== series) {
    return err({ kind: 'side-tags-disagree', imageLaterality, laterality });
  }
  return ok(image === 'none' ? series : image);
}

/** Two positive numbers of millimetres, down and across. A spacing that is there but cannot be one refuses the file. */
function spacingOf(set: Elements, tag: TagName): Result<FilmSpacing | null, FilmFileError> {
  const values = decimalsOf(set, tag);
  if (!values.ok) return values;
  if (values.value === undefined) return ok(null);
  const [rowMm, columnMm] = values.value;
  const usable = values.value.length === 2 && values.value.every((value) => value > 0);
  if (!usable) return err(badValue(tagOf(tag), textOf(set, tag) ?? '', 'two positive numbers'));
  return ok({ rowMm: rowMm!, columnMm: columnMm! });
}

function numberOf(set: Elements, tag: TagName): Result<number | null, FilmFileError> {
  const values = decimalsOf(set, tag);
  return values.ok ? ok(values.value?.[0] ?? null) : values;
}

function lengthOf(
  set: Elements,
  findings: Finding[],
): Result<Pick<FilmHeader, 'length' | 'aspect' | 'sourceToDetectorMm' | 'sourceToPatientMm'>, FilmFileError> {
  const pixelSpacing = spacingOf(set, 'pixelSpacing');
  if (!pixelSpacing.ok) return pixelSpacing;
  const imagerSpacing = spacingOf(set, 'imagerSpacing');
  if (!imagerSpacing.ok) return imagerSpacing;
  const scannedSpacing = spacingOf(set, 'scannedSpacing');
  if (!scannedSpacing.ok) return scannedSpacing;
  const ermf = numberOf(set, 'magnification');
  if (!ermf.ok) return ermf;
  const sid = numberOf(set, 'sourceToDetector');
  if (!sid.ok) return sid;
  const sod = numberOf(set, 'sourceToPatient');
  if (!sod.ok) return sod;
  const length = filmLength({
    pixelSpacing: pixelSpacing.value,
    imagerSpacing: imagerSpacing.value,
    scannedSpacing: scannedSpacing.value,
    calibrationType: textOf(set, 'calibrationType') ?? null,
    description: describedText(set),
    ermf: ermf.value,
    sourceToDetectorMm: sid.value,
    sourceToPatientMm: sod.value,
  });
  const aspect = decimalsOf(set, 'aspectRatio');
  const shape = aspect.ok && aspect.value?.length === 2 && aspect.value.every((v) => v > 0) ? aspect.value : null;
  if (shape === null && textOf(set, 'aspectRatio') !== undefined) {
    findings.push(doubt('aspect-unusable', 'Pixel Aspect Ratio is not two positive numbers; it was not used.'));
  }
  const positive = (value: number | null): number | null => (value !== null && value > 0 ? value : null);
  return ok({
    length,
    aspect: shape === null ? null : [shape[0]!, shape[1]!],
    sourceToDetectorMm: positive(sid.value),
    sourceToPatientMm: positive(sod.value),
  });
}

/** Free text in the file's own character set: UTF-8 where it says so, else as Latin-1. */
function describedText(set: Elements): string | null {
  const bytes = valueBytes(set, 'calibrationDescription');
  if (bytes === undefined || !partsOf(set, 'characterSet').includes('ISO_IR 192')) {
    return textOf(set, 'calibrationDescription') ?? null;
  }
  return new TextDecoder().decode(bytes).replace(/[\0 ]+$/, '') || null;
}

/** The first window, if it has both numbers and a width. */
function windowOf(set: Elements, findings: Finding[]): FilmHeader['window'] {
  const centres = decimalsOf(set, 'windowCentre');
  const widths = decimalsOf(set, 'windowWidth');
  const centre = centres.ok ? centres.value?.[0] : undefined;
  const width = widths.ok ? widths.value?.[0] : undefined;
  if (centre !== undefined && width !== undefined && width >= 1) return { centre, width };
  if (textOf(set, 'windowCentre') !== undefined || textOf(set, 'windowWidth') !== undefined) {
    findings.push(
      doubt(
        'window-unusable',
        'Window Center and Width are not two numbers with a width of at least 1; they were not used.',
      ),
    );
  } else if (set.found.has(tagOf('voiTable').key)) {
    findings.push(info('window-as-table', 'Brightness is given as a table (VOI LUT Sequence), which is not used.'));
  }
  return null;
}

function rescaleOf(set: Elements): Result<FilmHeader['rescale'], FilmFileError> {
  const slope = numberOf(set, 'rescaleSlope');
  if (!slope.ok) return slope;
  const intercept = numberOf(set, 'rescaleIntercept');
  if (!intercept.ok) return intercept;
  if (slope.value === null && intercept.value === null) return ok(null);
  if (slope.value === 0) return err(badValue(tagOf('rescaleSlope'), '0', 'a number other than 0'));
  return ok({ slope: slope.value ?? 1, intercept: intercept.value ?? 0 });
}

function paddingOf(set: Elements, signed: boolean, findings: Finding[]): FilmHeader['padding'] {
  const value = wholeOf(set, 'padding');
  const limit = wholeOf(set, 'paddingLimit');
  if (!value.ok || !limit.ok) {
    findings.push(doubt('padding-unusable', 'Pixel Padding Value is not one number; it was not used.'));
    return null;
  }
  if (value.value === undefined) return null;
  const read = (v: number): number => (signed && v > 0x7fff ? v - 0x10000 : v);
  const a = read(value.value);
  const b = read(limit.value ?? value.value);
  return { from: Math.min(a, b), to: Math.max(a, b) };
}
