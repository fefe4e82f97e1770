import { decimalNumber } from './decimal-number.ts';
import type { FilePlace, MeshFileError } from './mesh-file-error.ts';

/**
 * A text that is read word by word without being decoded as a whole: the word lies in bytes `start` to `end`.
 *
 * Words are parted by blanks and line ends; a line ends with LF, CRLF or CR.
 */
export interface TextCursor {
  readonly bytes: Uint8Array;
  start: number;
  end: number;
  /** Line of the current word, counted from 1. */
  line: number;
}

const lineFeed = 0x0a;
const carriageReturn = 0x0d;
const backslash = 0x5c;
/** Words are shown, and names told apart, by so many characters: no file can make a longer text of them. */
const shownLength = 64;

const isBlank = (byte: number | undefined): boolean => byte === 0x20 || byte === 0x09 || byte === 0x0b || byte === 0x0c;
const isLineEnd = (byte: number | undefined): boolean => byte === lineFeed || byte === carriageReturn;

/** A cursor before the first word; a UTF-8 byte order mark is passed over. */
export function textCursor(bytes: Uint8Array): TextCursor {
  const start = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
  return { bytes, start, end: start, line: 1 };
}

/**
 * Whether the first 84 bytes can be those of a text: without a zero. They are the header of a binary STL file, where
 * the last byte of the count is zero below 16.7 million facets.
 */
export const beginsAsText = (bytes: Uint8Array): boolean => !bytes.subarray(0, 84).includes(0);

/** Moves to the next word; false at the end of the text. */
export function nextWord(cursor: TextCursor): boolean {
  const { bytes } = cursor;
  let at = cursor.end;
  for (; at < bytes.length; at += 1) {
    const byte = bytes[at]!;
    if (byte === lineFeed || (byte === carriageReturn && bytes[at + 1] !== lineFeed)) cursor.line += 1;
    else if (!isBlank(byte) && byte !== carriageReturn) break;
  }
  cursor.start = at;
  while (at < bytes.length && !isBlank(bytes[at]) && !isLineEnd(bytes[at])) at += 1;
  cursor.end = at;
  return at > cursor.start;
}

/**
 * Moves to the next word of the same line; false, staying before the line's end, when there is none.
 *
 * @param joined whether a backslash at the end of a line joins the next line to it
 */
export function nextWordOnLine(cursor: TextCursor, joined = false): boolean {
  const { bytes } = cursor;
  const joins = (at: number): boolean => joined && bytes[at] === backslash && isLineEnd(bytes[at + 1]);
  let at = cursor.end;
  for (; at < bytes.length; at += 1) {
    if (joins(at)) {
      at += bytes[at + 1] === carriageReturn && bytes[at + 2] === lineFeed ? 2 : 1;
      cursor.line += 1;
    } else if (!isBlank(bytes[at])) break;
  }
  cursor.start = at;
  while (at < bytes.length && !isBlank(bytes[at]) && !isLineEnd(bytes[at]) && !joins(at)) at += 1;
  cursor.end = at;
  return at > cursor.start;
}

/** Moves to the end of the line. */
export function skipLine(cursor: TextCursor): void {
  const { bytes } = cursor;
  let at = cursor.end;
  while (at < bytes.length && !isLineEnd(bytes[at])) at += 1;
  cursor.start = at;
  cursor.end = at;
}

/** Whether the current word is `word`, given in lower case; capitals in the text count as their small letters. */
export function wordIs(cursor: TextCursor, word: string): boolean {
  if (cursor.end - cursor.start !== word.length) return false;
  for (let i = 0; i < word.length; i += 1) {
    const byte = cursor.bytes[cursor.start + i]!;
    const small = byte >= 0x41 && byte <= 0x5a ? byte + 0x20 : byte;
    if (small !== word.charCodeAt(i)) return false;
  }
  return true;
}

/** The current word as a number: see `decimalNumber`. */
export const wordNumber = (cursor: TextCursor): number | undefined =>
  decimalNumber(cursor.bytes, cursor.start, cursor.end);

/** Up to 64 bytes as text that is safe to show: whatever is no plain character becomes a dot. */
export function shownBytes(bytes: Uint8Array, start: number, end: number): string {
  let text = '';
  for (let at = start; at < end && at < start + shownLength; at += 1) {
    const byte = bytes[at]!;
    text += byte < 0x20 || byte > 0x7e ? '.' : String.fromCharCode(byte);
  }
  return text;
}

/** The current word as text that is safe to show; `end of line` or `end of file` where there is no word. */
export function wordText(cursor: TextCursor): string {
  if (cursor.start < cursor.end) return shownBytes(cursor.bytes, cursor.start, cursor.end);
  return cursor.start < cursor.bytes.length ? 'end of line' : 'end of file';
}

export const wordPlace = (cursor: TextCursor): FilePlace => ({ line: cursor.line });

/** Why the current word, read as `value`, is no coordinate of a vertex; `value` is not finite in 32 bits. */
export function coordinateFault(cursor: TextCursor, value: number | undefined, vertex: number): MeshFileError {
  const [at, found] = [wordPlace(cursor), wordText(cursor)];
  if (value === undefined) return { kind: 'bad-number', at, found, needed: 'a coordinate' };
  return { kind: 'non-finite-coordinate', at, vertex, found };
}
