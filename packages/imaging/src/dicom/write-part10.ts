import { type TagName, tagOf } from './dicom-tags.ts';
import type { ByteRange } from './pixel-place.ts';

/** A value ready to be written: bytes of even length in little endian, or the items of a sequence. */
export type WritableValue = Uint8Array | readonly WritableSet[];
/** What is written under each name; the order does not matter. */
export type WritableSet = ReadonlyMap<TagName, WritableValue>;

/** Pixel data: bytes in little endian, or pieces of `data` that are copied as they are. */
export type WritablePixels =
  | { readonly kind: 'native'; readonly bytes: Uint8Array; readonly bitsAllocated: number }
  | {
      readonly kind: 'encapsulated';
      readonly data: Uint8Array;
      readonly fragments: readonly ByteRange[];
      readonly offsets: readonly number[];
    };

/** Text padded to an even length: identifiers with a zero, everything else with a blank. PS3.5 section 6.2. */
export function textValue(text: string, pad: ' ' | '\0' = ' '): Uint8Array {
  const even = text.length % 2 === 0 ? text : text + pad;
  return Uint8Array.from(even, (c) => (c.charCodeAt(0) < 0x100 ? c.charCodeAt(0) : 0x3f));
}
export const uidValue = (uid: string): Uint8Array => textValue(uid, '\0');
export const wholeValue = (value: number): Uint8Array => Uint8Array.of(value & 0xff, (value >> 8) & 0xff);
/** Numbers as DS: each in at most 16 characters, rounded to nearest where that is needed. */
export const decimalValue = (...values: readonly number[]): Uint8Array => textValue(values.map(decimalText).join('\\'));

const longestDecimal = 16;

/** A number in at most 16 characters: PS3.5 table 6.2-1 allows no more, and cutting would not round. */
export function decimalText(value: number): string {
  for (let digits = 17; digits > 0; digits -= 1) {
    const rounded = Number(value.toPrecision(digits));
    for (const text of [`${rounded}`, rounded.toExponential()]) {
      if (text.length <= longestDecimal && Number.isFinite(Number(text))) return text;
    }
  }
  throw new Error(`${value} is no number that can be written`);
}

/** Names this writer in files; made once from a random UUID, as PS3.5 annex B.2 has it. */
const implementation = '2.25.224462785684426955061856690369801675400';
const implementationName = 'KERFLINE';
const longLengths = ['OB', 'OW', 'SQ', 'UN', 'UT'];

/**
 * A DICOM file in explicit little endian, or with compressed pixel data as they were.
 *
 * The length is worked out first and the file written into one array, so that pixels are copied once.
 * @param transferSyntax explicit little endian, or that of the pieces
 * @source PS3.10 chapter 7, PS3.5 chapter 7 and annex A
 */
export function writtenPart10(
  set: WritableSet,
  uids: { readonly sopClass: string; readonly sopInstance: string; readonly transferSyntax: string },
  pixels: WritablePixels,
): Uint8Array {
  const meta: WritableSet = new Map<TagName, WritableValue>([
    ['mediaStorageSopClass', uidValue(uids.sopClass)],
    ['mediaStorageSopInstance', uidValue(uids.sopInstance)],
    ['transferSyntax', uidValue(uids.transferSyntax)],
    ['implementationClass', uidValue(implementation)],
    ['implementationVersion', textValue(implementationName)],
  ]);
  /** (0002,0000) and (0002,0001), which stand before the rest of group 2. */
  const metaStart = 12 + 14;
  const metaLength = setLength(meta);
  const before = 132 + metaStart + metaLength + setLength(set);
  const out = new Uint8Array(before + pixelsLength(pixels));
  out.set(textValue('DICM'), 128);
  const view = new DataView(out.buffer);
  let at = writeHead(view, 132, 'x00020000', 'UL', 4);
  view.setUint32(at, 14 + metaLength, true);
  at = writeHead(view, at + 4, 'x00020001', 'OB', 2);
  out[at + 1] = 1;
  at = writeSet(view, at + 2, meta);
  at = writeSet(view, at, set);
  writePixels(view, at, pixels);
  return out;
}

const headLength = (vr: string): number => (longLengths.includes(vr) ? 12 : 8);
const valueLength = (value: WritableValue): number =>
  value instanceof Uint8Array ? value.length : value.reduce((sum, item) => sum + 8 + setLength(item), 0);

function setLength(set: WritableSet): number {
  let length = 0;
  for (const [name, value] of set) length += headLength(tagOf(name).vr) + valueLength(value);
  return length;
}

function writeSet(view: DataView, start: number, set: WritableSet): number {
  let at = start;
  const sorted = [...set].map(([name, value]) => ({ ...tagOf(name), value })).sort((a, b) => (a.key < b.key ? -1 : 1));
  for (const { key, vr, value } of sorted) {
    at = writeHead(view, at, key, vr, valueLength(value));
    if (value instanceof Uint8Array) at = writeBytes(view, at, value);
    else {
      for (const item of value) {
        view.setUint32(at, 0xe000fffe, true);
        view.setUint32(at + 4, setLength(item), true);
        at = writeSet(view, at + 8, item);
      }
    }
  }
  return at;
}

function writeHead(view: DataView, at: number, key: string, vr: string, length: number): number {
  view.setUint16(at, Number.parseInt(key.slice(1, 5), 16), true);
  view.setUint16(at + 2, Number.parseInt(key.slice(5, 9), 16), true);
  view.setUint8(at + 4, vr.charCodeAt(0));
  view.setUint8(at + 5, vr.charCodeAt(1));
  if (headLength(vr) === 12) view.setUint32(at + 8, length, true);
  else view.setUint16(at + 6, length, true);
  return at + headLength(vr);
}

function writeBytes(view: DataView, at: number, bytes: Uint8Array): number {
  new Uint8Array(view.buffer).set(bytes, at);
  return at + bytes.length;
}

const even = (length: number): number => length + (length % 2);

function pixelsLength(pixels: WritablePixels): number {
  if (pixels.kind === 'native') return 12 + even(pixels.bytes.length);
  const pieces = pixels.fragments.reduce((sum, { length }) => sum + 8 + even(length), 0);
  return 12 + 8 + 4 * pixels.offsets.length + pieces + 8;
}

function writePixels(view: DataView, start: number, pixels: WritablePixels): void {
  const { key } = tagOf('pixelData');
  if (pixels.kind === 'native') {
    const vr = pixels.bitsAllocated > 8 ? 'OW' : 'OB';
    writeBytes(view, writeHead(view, start, key, vr, even(pixels.bytes.length)), pixels.bytes);
    return;
  }
  let at = writeHead(view, start, key, 'OB', 0xffffffff);
  const piece = (length: number): void => {
    view.setUint32(at, 0xe000fffe, true);
    view.setUint32(at + 4, length, true);
    at += 8;
  };
  piece(4 * pixels.offsets.length);
  for (const offset of pixels.offsets) {
    view.setUint32(at, offset, true);
    at += 4;
  }
  for (const { offset, length } of pixels.fragments) {
    piece(even(length));
    writeBytes(view, at, pixels.data.subarray(offset, offset + length));
    at += even(length);
  }
  view.setUint32(at, 0xe0ddfffe, true);
}
