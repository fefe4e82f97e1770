import type { TagName } from './dicom-tags.ts';
import type { FilmSpacing } from './film-length.ts';
import { explicitLittle } from './part10.ts';
import {
  decimalValue,
  textValue,
  uidValue,
  type WritableSet,
  type WritableValue,
  wholeValue,
  writtenPart10,
} from './write-part10.ts';

/** The part of the body, as the defined term of Body Part Examined and as a coded word of a dictionary. */
export interface FilmRegion {
  readonly bodyPart: string;
  readonly value: string;
  readonly scheme: string;
  readonly meaning: string;
}

/** A film to be written as a DICOM file. All of it is given: nothing is taken from a clock, and no name is made up here. */
export interface WritableFilm {
  readonly rows: number;
  readonly columns: number;
  /** Row by row, at most `bitsStored` bits each. */
  readonly data: Uint16Array;
  readonly bitsStored: number;
  /** 1: the smallest value is white; 2: it is black. */
  readonly monochrome: 1 | 2;
  /** What the file is to claim of lengths in the object. */
  readonly spacing?: FilmSpacing;
  readonly calibration?: { readonly type: 'FIDUCIAL' | 'GEOMETRY'; readonly description: string };
  readonly imagerSpacing: FilmSpacing;
  readonly magnification?: number;
  readonly sourceToDetectorMm?: number;
  readonly sourceToPatientMm?: number;
  readonly side: 'left' | 'right' | 'both';
  readonly modality: 'DX' | 'CR';
  readonly viewPosition: string;
  /** Where rows run to, then where columns run to: `['L', 'F']`. */
  readonly patientOrientation: readonly [along: string, down: string];
  readonly region?: FilmRegion;
  /** Pieced together from several exposures. */
  readonly stitched?: boolean;
  readonly studyUid: string;
  readonly seriesUid: string;
  readonly instanceUid: string;
  readonly patientName: string;
  readonly patientId: string;
  /** `YYYYMMDD`. */
  readonly date: string;
  /** `HHMMSS`. */
  readonly time: string;
  readonly description: string;
  readonly window: { readonly centre: number; readonly width: number };
}

const classes = { DX: '1.2.840.10008.5.1.4.1.1.1.1', CR: '1.2.840.10008.5.1.4.1.1.1' };
const sides = { left: 'L', right: 'R', both: 'B' };

/**
 * A film as a DICOM file: Digital X-Ray for presentation, or Computed Radiography; explicit little endian.
 *
 * @throws when there are not as many values as pixels, which is a fault of the caller
 * @source PS3.3 annexes A.2 and A.26
 */
export function writtenFilm(film: WritableFilm): Uint8Array {
  const { rows, columns, data } = film;
  if (data.length !== rows * columns) throw new Error(`${data.length} values for ${rows} rows of ${columns} columns`);
  const set = new Map<TagName, WritableValue>([...commonElements(film), ...lengthElements(film)]);
  for (const [name, value] of film.modality === 'DX' ? dxElements(film) : crElements(film)) set.set(name, value);
  const bytes = new Uint8Array(2 * data.length);
  for (let i = 0; i < data.length; i += 1) {
    bytes[2 * i] = data[i]! & 0xff;
    bytes[2 * i + 1] = data[i]! >> 8;
  }
  const uids = { sopClass: classes[film.modality], sopInstance: film.instanceUid, transferSyntax: explicitLittle };
  return writtenPart10(set, uids, { kind: 'native', bytes, bitsAllocated: 16 });
}

function commonElements(film: WritableFilm): WritableSet {
  const { centre, width } = film.window;
  return new Map<TagName, WritableValue>([
    ['imageType', textValue(film.stitched === true ? 'DERIVED\\PRIMARY' : 'ORIGINAL\\PRIMARY')],
    ['sopClass', uidValue(classes[film.modality])],
    ['sopInstance', uidValue(film.instanceUid)],
    ['studyDate', textValue(film.date)],
    ['contentDate', textValue(film.date)],
    ['studyTime', textValue(film.time)],
    ['contentTime', textValue(film.time)],
    ['accession', textValue('')],
    ['modality', textValue(film.modality)],
    ['manufacturer', textValue('')],
    ['referringPhysician', textValue('')],
    ['seriesDescription', textValue(film.description)],
    ['patientName', textValue(film.patientName)],
    ['patientId', textValue(film.patientId)],
    ['birthDate', textValue('')],
    ['sex', textValue('')],
    ['bodyPart', textValue(film.region?.bodyPart ?? '')],
    ['viewPosition', textValue(film.viewPosition)],
    ['studyInstance', uidValue(film.studyUid)],
    ['seriesInstance', uidValue(film.seriesUid)],
    ['studyId', textValue('')],
    ['seriesNumber', textValue('1')],
    ['instanceNumber', textValue('1')],
    ['patientOrientation', textValue(film.patientOrientation.join('\\'))],
    ['samples', wholeValue(1)],
    ['photometric', textValue(`MONOCHROME${film.monochrome}`)],
    ['rows', wholeValue(film.rows)],
    ['columns', wholeValue(film.columns)],
    ['bitsAllocated', wholeValue(16)],
    ['bitsStored', wholeValue(film.bitsStored)],
    ['highBit', wholeValue(film.bitsStored - 1)],
    ['pixelRepresentation', wholeValue(0)],
    ['burnedIn', textValue('NO')],
    ['windowCentre', decimalValue(centre)],
    ['windowWidth', decimalValue(width)],
    ['lossy', textValue('00')],
  ]);
}

function lengthElements(film: WritableFilm): WritableSet {
  const { spacing, calibration, imagerSpacing, magnification, sourceToDetectorMm, sourceToPatientMm } = film;
  const set = new Map<TagName, WritableValue>();
  set.set('imagerSpacing', decimalValue(imagerSpacing.rowMm, imagerSpacing.columnMm));
  if (spacing !== undefined) set.set('pixelSpacing', decimalValue(spacing.rowMm, spacing.columnMm));
  if (calibration !== undefined) {
    set.set('calibrationType', textValue(calibration.type));
    set.set('calibrationDescription', textValue(calibration.description));
  }
  if (magnification !== undefined) set.set('magnification', decimalValue(magnification));
  if (sourceToDetectorMm !== undefined) set.set('sourceToDetector', decimalValue(sourceToDetectorMm));
  if (sourceToPatientMm !== undefined) set.set('sourceToPatient', decimalValue(sourceToPatientMm));
  return set;
}

/** What the Digital X-Ray classes ask for beyond the rest. PS3.3 C.8.11. */
function dxElements(film: WritableFilm): WritableSet {
  const { region } = film;
  return new Map<TagName, WritableValue>([
    ['presentationIntent', textValue('FOR PRESENTATION')],
    ['anatomicRegion', region === undefined ? [] : [codedItem(region)]],
    ['positionerType', textValue('')],
    ['detectorType', textValue('')],
    ['imageLaterality', textValue(sides[film.side])],
    ['intensity', textValue('LOG')],
    // 1: smaller values mean fewer rays. What stops rays is shown bright either way.
    ['intensitySign', wholeValue(film.monochrome === 1 ? 1 : 0xffff)],
    ['rescaleIntercept', textValue('0')],
    ['rescaleSlope', textValue('1')],
    ['rescaleType', textValue('US')],
    ['acquisitionContext', []],
    ['presentationShape', textValue(film.monochrome === 1 ? 'INVERSE' : 'IDENTITY')],
  ]);
}

/** Series of one side say it for the whole series; of both, the standard has no word at that level. PS3.3 C.7.3.1. */
const crElements = (film: WritableFilm): WritableSet =>
  new Map<TagName, WritableValue>(
    film.side === 'both' ? [['imageLaterality', textValue('B')]] : [['laterality', textValue(sides[film.side])]],
  );

const codedItem = ({ value, scheme, meaning }: FilmRegion): WritableSet =>
  new Map<TagName, WritableValue>([
    ['codeValue', textValue(value)],
    ['codingScheme', textValue(scheme)],
    ['codeMeaning', textValue(meaning)],
  ]);
