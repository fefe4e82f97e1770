import { err, ok, type Result } from '@kerfline/geometry';
import type { MeshFileError } from './mesh-file-error.ts';
import {
  nextWord,
  nextWordOnLine,
  skipLine,
  type TextCursor,
  textCursor,
  wordNumber,
  wordPlace,
  wordText,
} from './text-cursor.ts';

export type PlyType = 'int8' | 'uint8' | 'int16' | 'uint16' | 'int32' | 'uint32' | 'float32' | 'float64';

/** The older and the newer name of each type. */
const typeOfName: ReadonlyMap<string, PlyType> = new Map([
  ['char', 'int8'],
  ['uchar', 'uint8'],
  ['short', 'int16'],
  ['ushort', 'uint16'],
  ['int', 'int32'],
  ['uint', 'uint32'],
  ['float', 'float32'],
  ['double', 'float64'],
  ['int8', 'int8'],
  ['uint8', 'uint8'],
  ['int16', 'int16'],
  ['uint16', 'uint16'],
  ['int32', 'int32'],
  ['uint32', 'uint32'],
  ['float32', 'float32'],
  ['float64', 'float64'],
]);

/** One value, or with `countType` a list of values behind their number. */
export interface PlyProperty {
  readonly name: string;
  readonly type: PlyType;
  readonly countType?: PlyType;
}

export interface PlyElement {
  readonly name: string;
  readonly count: number;
  readonly properties: readonly PlyProperty[];
}

export interface PlyHeader {
  readonly encoding: 'ascii' | 'binary-little-endian' | 'binary-big-endian';
  readonly elements: readonly PlyElement[];
  /** A cursor at the first byte after the header. */
  readonly body: TextCursor;
}

const encodings: ReadonlyMap<string, PlyHeader['encoding']> = new Map([
  ['ascii', 'ascii'],
  ['binary_little_endian', 'binary-little-endian'],
  ['binary_big_endian', 'binary-big-endian'],
]);

/** Whether the file begins with the word `ply`. */
export function isPly(bytes: Uint8Array): boolean {
  const cursor = textCursor(bytes);
  return nextWord(cursor) && wordText(cursor) === 'ply';
}

/**
 * What a PLY file says about its content: encoding, and the elements in the order in which they follow.
 *
 * @returns `bad-header` with the line, what stands there and what was needed
 * @source Greg Turk, The PLY Polygon File Format, Stanford University, 1994
 */
export function readPlyHeader(bytes: Uint8Array): Result<PlyHeader, MeshFileError> {
  const cursor = textCursor(bytes);
  const bad = (needed: string): { readonly ok: false; readonly error: MeshFileError } =>
    err({ kind: 'bad-header', at: wordPlace(cursor), found: wordText(cursor), needed });
  if (!nextWord(cursor) || wordText(cursor) !== 'ply') return bad('"ply"');
  const crOnly = bytes[cursor.end] === 0x0d && bytes[cursor.end + 1] !== 0x0a;
  let encoding: PlyHeader['encoding'] | undefined;
  const elements: { name: string; count: number; properties: PlyProperty[] }[] = [];
  const elementNames = new Set<string>();
  const propertyNames = new Set<string>();

  for (;;) {
    if (!nextWord(cursor)) return bad('"end_header"');
    const word = wordText(cursor);
    if (word === 'end_header') break;
    if (word === 'comment' || word === 'obj_info') skipLine(cursor);
    else if (word === 'format') {
      if (!nextWordOnLine(cursor)) return bad('an encoding');
      encoding = encodings.get(wordText(cursor));
      if (encoding === undefined) return bad(`one of ${[...encodings.keys()].join(', ')}`);
      if (!nextWordOnLine(cursor) || wordText(cursor) !== '1.0') return bad('version 1.0');
    } else if (word === 'element') {
      if (!nextWordOnLine(cursor)) return bad('the name of an element');
      const name = wordText(cursor);
      if (elementNames.has(name)) return bad('another name for another element');
      const count = nextWordOnLine(cursor) ? wordNumber(cursor) : undefined;
      if (count === undefined || !Number.isSafeInteger(count) || count < 0) return bad('a number of elements');
      elements.push({ name, count, properties: [] });
      elementNames.add(name);
      propertyNames.clear();
    } else if (word === 'property') {
      const element = elements.at(-1);
      if (element === undefined) return bad('"element" before any property');
      const types: PlyType[] = [];
      const list = nextWordOnLine(cursor) && wordText(cursor) === 'list';
      if (list) nextWordOnLine(cursor);
      for (const missing = list ? 2 : 1; types.length < missing; nextWordOnLine(cursor)) {
        const type = typeOfName.get(wordText(cursor));
        if (type === undefined) return bad('a type of number');
        types.push(type);
      }
      if (cursor.start === cursor.end) return bad('the name of a property');
      const name = wordText(cursor);
      if (propertyNames.has(name)) return bad('another name for another property');
      propertyNames.add(name);
      element.properties.push(list ? { name, countType: types[0]!, type: types[1]! } : { name, type: types[0]! });
    } else return bad('"format", "element", "property", "comment", "obj_info" or "end_header"');
    skipLine(cursor);
  }
  if (encoding === undefined) return bad('a line "format" before the end of the header');
  passLineEnd(cursor, crOnly);
  return ok({ encoding, elements, body: cursor });
}

/** Moves past one line end. In a file with CR alone, an LF behind it already belongs to the body. */
function passLineEnd(cursor: TextCursor, crOnly: boolean): void {
  const { bytes } = cursor;
  skipLine(cursor);
  let at = cursor.end;
  if (bytes[at] === 0x0d) at += !crOnly && bytes[at + 1] === 0x0a ? 2 : 1;
  else if (bytes[at] === 0x0a) at += 1;
  cursor.start = at;
  cursor.end = at;
  cursor.line += 1;
}
