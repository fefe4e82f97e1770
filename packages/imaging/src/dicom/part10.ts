import { doubt, err, type Finding, info, ok, type Result } from '@kerfline/geometry';
import dicomParser, { type Element } from 'dicom-parser';
import { tagOf, tagText } from './dicom-tags.ts';
import type { FilmFileError } from './film-file-error.ts';
import type { FilmLimits } from './film-limits.ts';
import { guardedParser, Refusal } from './guarded-parser.ts';
import { inflated } from './inflated.ts';

/** Elements found in `bytes`, by tag, with where their values lie. */
export interface Elements {
  readonly bytes: Uint8Array;
  readonly littleEndian: boolean;
  readonly found: ReadonlyMap<string, Element>;
}

/** A file taken apart as far as its pixel data. */
export interface Part10 {
  /** Group 2; empty in a file that begins with its data. */
  readonly meta: Elements;
  /** Everything else before the pixel data. `bytes` are those of the file, or what they become when deflated. */
  readonly dataSet: Elements;
  readonly transferSyntax: string;
  /** Where the value of Pixel Data begins; `length` is `undefined` where it is in pieces. */
  readonly pixelData: { readonly offset: number; readonly length: number | undefined } | null;
  readonly findings: readonly Finding[];
}

const implicitLittle = '1.2.840.10008.1.2';
export const explicitLittle = '1.2.840.10008.1.2.1';
const deflatedLittle = '1.2.840.10008.1.2.1.99';
const explicitBig = '1.2.840.10008.1.2.2';
/** Compressed pixel data; all of these are explicit little endian. PS3.5 annex A.4. */
const compressed = /^1\.2\.840\.10008\.1\.2\.(4\.\d{2,3}|5)$/;

const preamble = 128;
const pixelDataKey = tagOf('pixelData').key;
/** VRs with lengths of four bytes that the library takes for two. PS3.5 table 7.1-1. */
const longUnknownToLibrary = ['OV', 'SV', 'UV'];

/**
 * Takes a DICOM file apart as far as its pixel data.
 *
 * Read are files with and without preamble and group 2, implicit or explicit, of either byte order, deflated ones too. What
 * lies behind the pixel data is not looked at. A damaged, endless or deeply nested file gives an error; nothing is thrown.
 * @source PS3.10 chapter 7, PS3.5 chapter 7 and annex A
 */
export function readPart10(bytes: Uint8Array, limits: FilmLimits): Result<Part10, FilmFileError> {
  if (bytes.length === 0) return err({ kind: 'empty-file' });
  if (bytes.length > limits.mostBytes) {
    return err({ kind: 'file-too-large', found: bytes.length, allowed: limits.mostBytes });
  }
  const marked = asciiAt(bytes, preamble, 4) === 'DICM';
  const start = marked ? preamble + 4 : 0;
  const firstGroup = groupAt(bytes, start, true);
  const begins = firstGroup === 2 || firstGroup === 8 || groupAt(bytes, start, false) === 8;
  if (!begins || bytes.length < start + 8) {
    return err({ kind: 'not-dicom', needed: 'DICM after 128 bytes, or an element of group 2 or 8 at the start' });
  }

  const findings: Finding[] = [];
  if (!marked) findings.push(info('no-preamble', 'The file begins without the usual 128 bytes and the mark DICM.'));
  const metaExplicit = hasVr(bytes, start);
  const metaWalk = readElements(bytes, start, { explicit: metaExplicit, littleEndian: true, group: 2 }, limits);
  if (!metaWalk.ok) return metaWalk;
  const meta: Elements = { bytes, littleEndian: true, found: metaWalk.value.found };
  const stated = uidIn(meta, tagOf('transferSyntax').key);

  let data = bytes;
  let at = metaWalk.value.end;
  if (stated === deflatedLittle) {
    const whole = inflated(bytes, at, limits.mostBytes);
    if (!whole.ok) return whole;
    data = whole.value;
    at = 0;
  }
  const form = formOf(stated, data, at, findings);
  if (!form.ok) return form;
  const walk = readElements(data, at, { ...form.value, group: undefined }, limits);
  if (!walk.ok) return walk;
  return ok({
    meta,
    dataSet: { bytes: data, littleEndian: form.value.littleEndian, found: walk.value.found },
    transferSyntax: form.value.transferSyntax,
    pixelData: walk.value.pixelData,
    findings,
  });
}

interface Form {
  readonly explicit: boolean;
  readonly littleEndian: boolean;
  readonly transferSyntax: string;
}

/** How the data are written: as stated, or as they look where nothing is stated or VRs stand where none should. */
function formOf(
  stated: string | undefined,
  data: Uint8Array,
  at: number,
  findings: Finding[],
): Result<Form, FilmFileError> {
  const looksExplicit = hasVr(data, at);
  if (stated === undefined || stated === '') {
    const littleEndian = (groupAt(data, at, true) ?? 0) <= (groupAt(data, at, false) ?? 0);
    const transferSyntax = looksExplicit ? (littleEndian ? explicitLittle : explicitBig) : implicitLittle;
    if (!littleEndian && !looksExplicit) return err({ kind: 'unknown-transfer-syntax', found: '' });
    const message = `The file does not say how it is written; it was read as ${transferSyntax}.`;
    findings.push(doubt('transfer-syntax-assumed', message));
    return ok({ explicit: looksExplicit, littleEndian, transferSyntax });
  }
  const native = [implicitLittle, explicitLittle, deflatedLittle, explicitBig].includes(stated);
  if (!native && !compressed.test(stated)) return err({ kind: 'unknown-transfer-syntax', found: stated.slice(0, 64) });
  const explicit = stated !== implicitLittle;
  // A whole class of files states one and is the other; which it is can be seen.
  if (explicit !== looksExplicit && at < data.length) {
    const message = `The file says that its elements are written ${explicit ? 'with' : 'without'} their types, but they are not; they were read as they are.`;
    findings.push(doubt('transfer-syntax-differs', message));
  }
  return ok({ explicit: looksExplicit, littleEndian: stated !== explicitBig, transferSyntax: stated });
}

interface Walk {
  readonly found: ReadonlyMap<string, Element>;
  readonly end: number;
  readonly pixelData: Part10['pixelData'];
}

/** The elements from `start` to the pixel data, or those of one group. */
function readElements(
  bytes: Uint8Array,
  start: number,
  form: { readonly explicit: boolean; readonly littleEndian: boolean; readonly group: number | undefined },
  limits: FilmLimits,
): Result<Walk, FilmFileError> {
  const found = new Map<string, Element>();
  if (start >= bytes.length) return ok({ found, end: start, pixelData: null });
  const { parser, startElement } = guardedParser(form.littleEndian, limits);
  const stream = new dicomParser.ByteStream(parser, bytes, start);
  while (stream.position < bytes.length) {
    const at = stream.position;
    startElement();
    if (bytes.length - at < 8) return err(cutOff(bytes.length, 'bytes of an element', bytes.length - at, 8));
    if (form.group !== undefined && groupAt(bytes, at, form.littleEndian) !== form.group) break;
    const element = readElement(stream, form.explicit);
    if (!element.ok) return element;
    const { tag, dataOffset, length, hadUndefinedLength } = element.value;
    if (tag === pixelDataKey) {
      const pixelData = { offset: dataOffset, length: hadUndefinedLength ? undefined : length };
      return ok({ found, end: stream.position, pixelData });
    }
    if (stream.position > bytes.length) {
      const there = Math.max(0, bytes.length - dataOffset);
      return err(cutOff(bytes.length, `bytes of the element ${tagText(tag)}`, there, length));
    }
    // The library warns only where a sequence or item has no end mark before the end of the file.
    if (stream.warnings.length > 0)
      return err(cutOff(bytes.length, 'bytes of the file', bytes.length, bytes.length + 8));
    if (found.has(tag)) return err(damaged(at, tag, 'each element once'));
    found.set(tag, element.value);
  }
  return ok({ found, end: stream.position, pixelData: null });
}

const cutOff = (byte: number, counted: string, found: number, needed: number): FilmFileError => ({
  kind: 'truncated',
  byte,
  counted,
  found,
  needed,
});

const damaged = (byte: number, tag: string, needed: string): FilmFileError => ({
  kind: 'bad-element',
  byte,
  tag: tagText(tag),
  needed,
});

/** One element; pixel data only as far as its length. The library throws texts, plain objects and what its bugs cause. */
function readElement(
  stream: InstanceType<typeof dicomParser.ByteStream>,
  explicit: boolean,
): Result<Element, FilmFileError> {
  const at = stream.position;
  let tag = 'x????????';
  try {
    tag = dicomParser.readTag(stream);
    if (explicit && longUnknownToLibrary.includes(asciiAt(stream.byteArray, at + 4, 2))) {
      stream.seek(4);
      const length = stream.readUint32();
      const dataOffset = stream.position;
      stream.seek(length);
      return ok({ tag, vr: asciiAt(stream.byteArray, at + 4, 2), length, dataOffset });
    }
    stream.seek(-4);
    if (explicit) return ok(dicomParser.readDicomElementExplicit(stream, stream.warnings, pixelDataKey));
    return ok(dicomParser.readDicomElementImplicit(stream, pixelDataKey));
  } catch (thrown) {
    if (thrown instanceof Refusal) return err(thrown.error);
    const [there, needed] = [stream.byteArray.length, stream.position];
    if (needed >= there) return err(cutOff(there, 'bytes of the file', there, Math.max(needed, there + 1)));
    return err(damaged(at, tag, 'an element with a type and a length'));
  }
}

const groupAt = (bytes: Uint8Array, at: number, littleEndian: boolean): number | undefined => {
  if (at + 2 > bytes.length) return undefined;
  return littleEndian ? bytes[at]! + 256 * bytes[at + 1]! : 256 * bytes[at]! + bytes[at + 1]!;
};

const asciiAt = (bytes: Uint8Array, at: number, length: number): string =>
  String.fromCharCode(...bytes.subarray(at, at + length));

/** Every VR of PS3.5 table 6.2-1. */
const vrs = /^(AE|AS|AT|CS|DA|DS|DT|FL|FD|IS|LO|LT|O[BDFLVW]|PN|SH|SL|SQ|SS|ST|SV|TM|U[CILNRSTV])$/;
/** Whether a VR stands where an explicit element has one. */
const hasVr = (bytes: Uint8Array, at: number): boolean => vrs.test(asciiAt(bytes, at + 4, 2));

function uidIn({ bytes, found }: Elements, key: string): string | undefined {
  const element = found.get(key);
  if (element === undefined) return undefined;
  return asciiAt(bytes, element.dataOffset, Math.min(element.length, 64)).replace(/[\0 ]+$/, '');
}
