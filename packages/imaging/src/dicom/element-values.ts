import { err, ok, type Result } from '@kerfline/geometry';
import { decimalNumber } from '../decimal-number.ts';
import { type DicomTag, type TagName, tagOf, tagText } from './dicom-tags.ts';
import type { FilmFileError } from './film-file-error.ts';
import type { Elements } from './part10.ts';

/** The longest value that is read as text; what films need is far shorter. */
const longestText = 1024;
/** A value in an error is shown as far as this. */
const shownText = 40;

/** The raw bytes of a value; `undefined` where the element is missing or empty. */
export function valueBytes(elements: Elements, tag: TagName): Uint8Array | undefined {
  const element = elements.found.get(tagOf(tag).key);
  if (element === undefined || element.length === 0) return undefined;
  return elements.bytes.subarray(element.dataOffset, element.dataOffset + element.length);
}

/** A value as text without its padding; `undefined` where it is missing or empty. Bytes beyond ASCII as Latin-1. */
export function textOf(elements: Elements, tag: TagName): string | undefined {
  const bytes = valueBytes(elements, tag)?.subarray(0, longestText);
  if (bytes === undefined) return undefined;
  const text = String.fromCharCode(...bytes)
    .replace(/[\0 ]+$/, '')
    .replace(/^ +/, '');
  return text === '' ? undefined : text;
}

/** The parts of a text value, each without blanks around it. */
export const partsOf = (elements: Elements, tag: TagName): readonly string[] =>
  textOf(elements, tag)
    ?.split('\\')
    .map((part) => part.trim()) ?? [];

/** Safe to show: control characters as dots, and not longer than a line. */
const shown = (text: string): string =>
  [...text.slice(0, shownText)].map((c) => (c < ' ' || (c > '~' && c < '\u00a1') ? '.' : c)).join('');

export const badValue = (tag: DicomTag, found: string, needed: string): FilmFileError => ({
  kind: 'bad-value',
  tag: tagText(tag.key),
  name: tag.name,
  found: shown(found),
  needed,
});

/** An unsigned 16-bit value; `undefined` where it is missing. */
export function wholeOf(elements: Elements, tag: TagName): Result<number | undefined, FilmFileError> {
  const bytes = valueBytes(elements, tag);
  if (bytes === undefined) return ok(undefined);
  if (bytes.length !== 2) return err(badValue(tagOf(tag), `${bytes.length} bytes`, 'a number of 2 bytes'));
  const view = new DataView(bytes.buffer, bytes.byteOffset, 2);
  return ok(view.getUint16(0, elements.littleEndian));
}

/** The same where a film cannot be read without it. */
export function neededWhole(elements: Elements, tag: TagName): Result<number, FilmFileError> {
  const value = wholeOf(elements, tag);
  if (!value.ok) return value;
  if (value.value !== undefined) return ok(value.value);
  const { key, name } = tagOf(tag);
  return err({ kind: 'missing-tag', tag: tagText(key), name });
}

/**
 * Decimal numbers written as text (DS, IS); `undefined` where they are missing.
 *
 * Digits, sign, point and exponent only. A comma is refused and said to be one: it may stand for a point or part numbers.
 */
export function decimalsOf(elements: Elements, tag: TagName): Result<readonly number[] | undefined, FilmFileError> {
  const parts = partsOf(elements, tag);
  if (parts.length === 0) return ok(undefined);
  const values: number[] = [];
  for (const part of parts) {
    const bytes = Uint8Array.from(part, (c) => c.charCodeAt(0));
    const value = decimalNumber(bytes, 0, bytes.length);
    if (value === undefined || !Number.isFinite(value)) {
      const needed = part.includes(',') ? 'a number with a decimal point instead of a comma' : 'a number';
      return err(badValue(tagOf(tag), parts.join('\\'), needed));
    }
    values.push(value);
  }
  return ok(values);
}
