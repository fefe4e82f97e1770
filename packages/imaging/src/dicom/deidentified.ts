import { doubt, err, type Finding, ok, type Result } from '@kerfline/geometry';
import { sha256 } from '@noble/hashes/sha2.js';
import { utf8ToBytes } from '@noble/hashes/utils.js';
import type { DataSet } from 'dicom-parser';
import { type TagName, tagNameText, tagOf, tagText } from './dicom-tags.ts';
import { drawsInPixels, pictureBits } from './drawn-bits.ts';
import { partsOf, textOf, valueBytes } from './element-values.ts';
import type { FilmFileError } from './film-file-error.ts';
import { type FilmHeader, filmHeaderOf } from './film-header.ts';
import { type FilmLimits, filmLimits } from './film-limits.ts';
import { type Elements, explicitLittle, readPart10 } from './part10.ts';
import { patientCheckOf } from './patient-check.ts';
import {
  decimalText,
  textValue,
  uidValue,
  type WritablePixels,
  type WritableSet,
  type WritableValue,
  writtenPart10,
} from './write-part10.ts';

export interface RemovedElement {
  readonly tag: string;
  readonly name: string;
  readonly action: 'removed' | 'emptied' | 'replaced';
}

export interface DeidentifiedFilm {
  readonly bytes: Uint8Array;
  /** Every element that was there and is not any more as it was; values are never told. */
  readonly removed: readonly RemovedElement[];
  /** Elements that are as they were. */
  readonly kept: readonly { readonly tag: string; readonly name: string }[];
  /** `check XXX`; null where identifier, name and birth date were all empty. */
  readonly check: string | null;
  /** Free text that was kept and must be shown to somebody before the file is given away. */
  readonly calibrationDescription: string | null;
  /** That a picture may show a name, above all. */
  readonly findings: readonly Finding[];
}

/** Shorter secrets can be guessed by trying them all. @numerical */
const shortestSalt = 16;
/** Free text of a calibration is kept up to this length, which is that of the VR. PS3.5 table 6.2-1. @numerical */
const longestDescription = 64;
const descriptionTaken = 'not kept';
const method = 'Kerfline: basic profile; only what is needed to measure is kept';

/** Kept as they are where their values have the form that the standard gives them. */
const keptCodes: readonly TagName[] = [
  ...(['modality', 'conversionType', 'presentationIntent', 'bodyPart', 'positionerType', 'viewPosition'] as const),
  ...(['detectorType', 'laterality', 'imageLaterality', 'patientOrientation', 'photometric', 'burnedIn'] as const),
  ...(['calibrationType', 'intensity', 'rescaleType', 'windowFunction', 'lossy', 'lossyMethod'] as const),
  'presentationShape',
];
const keptDecimals: readonly TagName[] = [
  ...(['sourceToDetector', 'sourceToPatient', 'magnification', 'imagerSpacing', 'scannedSpacing'] as const),
  ...(['pixelSpacing', 'aspectRatio', 'windowCentre', 'windowWidth', 'rescaleIntercept', 'rescaleSlope'] as const),
  ...(['lossyRatio', 'frames'] as const),
];
const keptWholes: readonly TagName[] = [
  ...(['samples', 'planar', 'rows', 'columns', 'bitsAllocated', 'bitsStored', 'highBit'] as const),
  ...(['pixelRepresentation', 'padding', 'paddingLimit', 'intensitySign'] as const),
];
const keptCodeSequences: readonly TagName[] = ['anatomicRegion', 'viewCode'];
/** Texts of which only known words, or a short plain description, are kept. */
const partlyKept: readonly TagName[] = ['imageType', 'calibrationDescription'];
const replacedUids: readonly TagName[] = ['sopInstance', 'studyInstance', 'seriesInstance'];
/** Asked for by every class, and allowed to be empty. */
const emptied: readonly TagName[] = [
  ...(['studyDate', 'studyTime', 'accession', 'manufacturer', 'referringPhysician', 'patientName'] as const),
  ...(['birthDate', 'sex', 'studyId', 'seriesNumber', 'instanceNumber'] as const),
];
const emptyIn: Readonly<Record<FilmHeader['sopClass'], readonly TagName[]>> = {
  CR: ['bodyPart', 'viewPosition'],
  DX: ['anatomicRegion', 'positionerType', 'detectorType', 'acquisitionContext'],
  SC: [],
  other: [],
};
const codeForm = /^[A-Z0-9 _]{0,16}$/;
/** Dictionaries whose codes say what they mean without the words beside them. */
const publicSchemes = ['SCT', 'SRT', 'SNM3', 'DCM'];

/**
 * A film without its patient: the Basic Application Level Confidentiality Profile, kept to by an allow list.
 *
 * A new file is made that holds only what is needed to measure and to be a valid object: pixels, spacings, calibration,
 * distances, side, view, brightness. Everything else is left behind, known here or not, private or not; what the standard
 * asks for stays as an empty element. Identifiers become hashes of the secret and themselves, so that films of one study
 * stay together; whoever has the secret and the original identifiers can match them again, so the secret is not to lie beside
 * the films that are given away. `patientCheckOf` says what stands for the patient. Words beside codes are replaced by the code.
 *
 * The picture is not looked at: names that are drawn into it, or lie inside compressed pieces, stay. Native pixels are written
 * in explicit little endian, without drawings that an overlay keeps in their unused bits; compressed pieces are copied.
 *
 * A film that this function made is given back as it was, whatever the secret.
 * @param options.salt the secret, at least 16 characters; the same for all films that are to be compared
 * @source PS3.15 annex E; table E.1-1 for what is removed, emptied or replaced
 */
export function deidentified(
  bytes: Uint8Array,
  options: { readonly salt: string; readonly limits?: FilmLimits },
): Result<DeidentifiedFilm, FilmFileError> {
  const { salt, limits = filmLimits } = options;
  if (salt.length < shortestSalt) return err({ kind: 'salt-too-short', found: salt.length, needed: shortestSalt });
  const file = readPart10(bytes, limits);
  if (!file.ok) return file;
  const header = filmHeaderOf(file.value, limits);
  if (!header.ok) return header;
  const set = file.value.dataSet;
  const done = textOf(set, 'identityRemoved') === 'YES' && textOf(set, 'removalMethod') === method;
  const uidFor = (tag: TagName): string => {
    const uid = textOf(set, tag) ?? '';
    return done && ownUid.test(uid) ? uid : hashedUid(salt, tag, uid);
  };

  const written = new Map<TagName, WritableValue>(emptied.map((tag) => [tag, textValue('')]));
  for (const tag of emptyIn[header.value.sopClass]) written.set(tag, tagOf(tag).vr === 'SQ' ? [] : textValue(''));
  const kept = keptElements(set, header.value);
  const changed = changedElements(set, kept, done);
  for (const [tag, value] of kept) written.set(tag, value);
  for (const tag of replacedUids) written.set(tag, uidValue(uidFor(tag)));
  const check = patientCheckOf(set, salt) ?? null;
  written.set('patientId', textValue(check ?? ''));
  written.set('identityRemoved', textValue('YES'));
  written.set('removalMethod', textValue(method));
  written.set('removalCodes', [profileCode]);
  written.set('dateRemoval', textValue('REMOVED'));

  const native = header.value.pixels.kind === 'native';
  const uids = {
    sopClass: header.value.sopClassUid,
    sopInstance: uidFor('sopInstance'),
    transferSyntax: native ? explicitLittle : header.value.transferSyntax,
  };
  const findings: Finding[] = [];
  if (header.value.burnedIn !== 'no') {
    const message =
      'The file does not say that its picture is free of written names. Look at all of it before you give it away.';
    findings.push(doubt('burned-in-not-excluded', message));
  }
  const drawn = drawsInPixels(set);
  if (drawn && !native) {
    const message = 'The compressed pixels may hold a drawing beside the picture, which could not be taken out.';
    findings.push(doubt('drawing-in-pixels', message));
  }
  return ok({
    bytes: writtenPart10(written, uids, writablePixels(header.value, drawn)),
    removed: [
      ...removedElements(set, changed, new Set(kept.keys()), new Set(written.keys()), done),
      ...(drawn && native ? [{ ...namedTag('pixelData'), action: 'replaced' as const }] : []),
    ],
    kept: [...kept.keys()].filter((tag) => !changed.has(tag)).map(namedTag),
    check,
    calibrationDescription: kept.has('calibrationDescription') ? keptDescription(set) : null,
    findings,
  });
}

const ownUid = /^2\.25\.\d{1,39}$/;

/**
 * An identifier that stands for another one: `2.25.` and the first 128 bits of the SHA-256 of the secret and it.
 *
 * @source PS3.5 annex B.2: a number below 2^128 after `2.25.`; strictly it should be a UUID, which some of these bits are not
 */
function hashedUid(salt: string, tag: TagName, uid: string): string {
  // Without an identifier each kind of thing still gets its own.
  const hash = sha256(utf8ToBytes([salt, uid === '' ? tag : uid].join('\0')));
  let number = 0n;
  for (const byte of hash.subarray(0, 16)) number = 256n * number + BigInt(byte);
  return `2.25.${number}`;
}

const profileCode: WritableSet = new Map<TagName, WritableValue>([
  ['codeValue', textValue('113100')],
  ['codingScheme', textValue('DCM')],
  ['codeMeaning', textValue('Basic Application Confidentiality Profile')],
]);

/** What goes over into the new file, written anew; a value without the form of its kind does not. */
function keptElements(set: Elements, header: FilmHeader): ReadonlyMap<TagName, WritableValue> {
  const kept = new Map<TagName, WritableValue>([['sopClass', uidValue(header.sopClassUid)]]);
  const types = partsOf(set, 'imageType');
  if (types.length > 0) {
    const stitched = header.stitched && types[0] !== 'DERIVED' ? ['', 'STITCHED'] : [];
    const [pixels, examination] = [known(types[0], 'ORIGINAL', 'DERIVED'), known(types[1], 'PRIMARY', 'SECONDARY')];
    kept.set('imageType', textValue([pixels, examination, ...stitched].join('\\')));
  }
  for (const tag of keptCodes) {
    const parts = partsOf(set, tag);
    if (parts.length > 0 && parts.every((part) => codeForm.test(part))) kept.set(tag, textValue(parts.join('\\')));
  }
  for (const tag of keptDecimals) {
    const parts = partsOf(set, tag);
    const numbers = parts.map((part) => (/^[+\-.\deE]{1,64}$/.test(part) ? Number(part) : Number.NaN));
    if (numbers.length === 0 || !numbers.every(Number.isFinite)) continue;
    // A number of at most 16 characters stays to the digit.
    const texts = parts.map((part, i) => (part.length <= 16 ? part : decimalText(numbers[i]!)));
    kept.set(tag, textValue(texts.join('\\')));
  }
  for (const tag of keptWholes) {
    const bytes = valueBytes(set, tag);
    if (bytes?.length === 2) kept.set(tag, wholes(bytes, set.littleEndian));
  }
  if (set.found.has(tagOf('calibrationDescription').key)) {
    kept.set('calibrationDescription', textValue(keptDescription(set)));
  }
  for (const tag of keptCodeSequences) {
    const items = codedItems(set, tag);
    if (items.length > 0) kept.set(tag, items);
  }
  const tables = tableItems(set);
  if (tables.length > 0) kept.set('voiTable', tables);
  return kept;
}

const known = (word: string | undefined, first: string, second: string): string => (word === second ? second : first);

function keptDescription(set: Elements): string {
  const text = textOf(set, 'calibrationDescription') ?? '';
  return text.length <= longestDescription && /^[ -~]*$/.test(text) ? text : descriptionTaken;
}

/** Whole numbers of 16 bits in little endian. */
function wholes(bytes: Uint8Array, littleEndian: boolean): Uint8Array {
  if (littleEndian) return bytes.slice();
  const out = new Uint8Array(bytes.length);
  for (let i = 0; i + 1 < bytes.length; i += 2) {
    out[i] = bytes[i + 1]!;
    out[i + 1] = bytes[i]!;
  }
  return out;
}

/** The data sets of a sequence that was read. */
function itemsOf(set: Elements, tag: TagName): readonly Elements[] {
  const items = set.found.get(tagOf(tag).key)?.items ?? [];
  return items.flatMap(({ dataSet }) => (dataSet === undefined ? [] : [elementsOf(set, dataSet)]));
}

const elementsOf = (set: Elements, { elements }: DataSet): Elements => ({
  ...set,
  found: new Map(Object.entries(elements)),
});

function codedItems(set: Elements, tag: TagName): readonly WritableSet[] {
  return itemsOf(set, tag).flatMap((item) => {
    const value = textOf(item, 'codeValue') ?? '';
    const scheme = textOf(item, 'codingScheme') ?? '';
    if (!/^[A-Z0-9-]{1,16}$/.test(value) || !publicSchemes.includes(scheme)) return [];
    return [
      new Map<TagName, WritableValue>([
        ['codeValue', textValue(value)],
        ['codingScheme', textValue(scheme)],
        ['codeMeaning', textValue(value)],
      ]),
    ];
  });
}

/** Tables of brightness: three numbers that say how long they are, and the values. */
function tableItems(set: Elements): readonly WritableSet[] {
  return itemsOf(set, 'voiTable').flatMap((item) => {
    const [descriptor, data] = [valueBytes(item, 'tableDescriptor'), valueBytes(item, 'tableData')];
    if (descriptor?.length !== 6 || data === undefined || data.length % 2 !== 0) return [];
    const stated = wholes(descriptor, set.littleEndian);
    const entries = stated[0]! + 256 * stated[1]! || 0x10000;
    // Bytes behind the table could be anything.
    if (data.length !== 2 * entries && data.length !== entries + (entries % 2)) return [];
    return [
      new Map<TagName, WritableValue>([
        ['tableDescriptor', stated],
        ['tableData', wholes(data, set.littleEndian)],
      ]),
    ];
  });
}

function writablePixels(header: FilmHeader, drawn: boolean): WritablePixels {
  const { pixels, data, bitsAllocated, littleEndian } = header;
  if (pixels.kind === 'encapsulated') return { ...pixels, data };
  const there = data.subarray(pixels.offset, pixels.offset + pixels.length);
  const bytes = bitsAllocated === 16 && !littleEndian ? wholes(there, false) : there;
  return { kind: 'native', bytes: drawn ? pictureBits(bytes, header) : bytes, bitsAllocated };
}

const namedTag = (tag: TagName): { readonly tag: string; readonly name: string } => ({
  tag: tagText(tagOf(tag).key),
  name: tagOf(tag).name,
});

/** What is kept in part: words beside codes and tables, and all but the known words of texts, are not. */
function changedElements(
  set: Elements,
  kept: ReadonlyMap<TagName, WritableValue>,
  done: boolean,
): ReadonlySet<TagName> {
  const changed = new Set<TagName>();
  for (const [tag, value] of kept) {
    if (!(value instanceof Uint8Array)) {
      if (!done) changed.add(tag);
    } else if (partlyKept.includes(tag)) {
      const text = String.fromCharCode(...value).trim();
      if (text !== partsOf(set, tag).join('\\')) changed.add(tag);
    }
  }
  return changed;
}

/** What was there with a value and is not kept as it was; of a film that was made here its own marks do not count. */
function removedElements(
  set: Elements,
  changed: ReadonlySet<TagName>,
  kept: ReadonlySet<TagName>,
  written: ReadonlySet<TagName>,
  done: boolean,
): readonly RemovedElement[] {
  const keys = (tags: Iterable<TagName>) => new Set([...tags].map((tag) => tagOf(tag).key));
  const [changedKeys, keptKeys, writtenKeys] = [keys(changed), keys(kept), keys(written)];
  const replacedKeys = keys([...replacedUids, 'patientId']);
  const ownKeys = keys(['identityRemoved', 'removalMethod', 'removalCodes', 'dateRemoval']);
  const removed: RemovedElement[] = [];
  for (const [key, { length }] of set.found) {
    if (length === 0 || key.endsWith('0000') || ownKeys.has(key)) continue;
    if (keptKeys.has(key) && !changedKeys.has(key)) continue;
    if (done && replacedKeys.has(key)) continue;
    const replaced = replacedKeys.has(key) || changedKeys.has(key);
    const action = replaced ? 'replaced' : writtenKeys.has(key) ? 'emptied' : 'removed';
    removed.push({ tag: tagText(key), name: tagNameText(key), action });
  }
  return removed;
}
