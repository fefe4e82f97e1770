import { unreachable } from '@kerfline/geometry';
import type { FilePlace, MeshFileError } from './mesh-file-error.ts';
import type { PlyHeader, PlyType } from './ply-header.ts';
import { nextWord, type TextCursor, wordNumber, wordPlace, wordText } from './text-cursor.ts';

const bytesOfType: Readonly<Record<PlyType, number>> = {
  int8: 1,
  uint8: 1,
  int16: 2,
  uint16: 2,
  int32: 4,
  uint32: 4,
  float32: 4,
  float64: 8,
};

/** The numbers of a PLY body one after another, however they are written. */
export interface PlyValues {
  /** The next number. NaN where none is to be had; then `fault` says why and every later number is NaN too. */
  next(type: PlyType): number;
  /** Passes over numbers without looking at them. */
  skip(type: PlyType, times: number): void;
  fault(): MeshFileError | undefined;
  /** Where the number read last stands. */
  place(): FilePlace;
  /** Bytes not read yet. */
  remaining(): number;
  /** Bytes that follow the number read last; blanks and line ends at the end of a text do not count. */
  trailing(): number;
  /** Fewest bytes that a number of this type takes. */
  leastBytes(type: PlyType): number;
}

export const plyValues = ({ encoding, body }: PlyHeader): PlyValues =>
  encoding === 'ascii' ? writtenValues(body) : binaryValues(body.bytes, body.end, encoding === 'binary-little-endian');

function writtenValues(cursor: TextCursor): PlyValues {
  let fault: MeshFileError | undefined;
  let count = 0;
  const advanced = (): boolean => {
    if (fault === undefined && nextWord(cursor)) {
      count += 1;
      return true;
    }
    fault ??= { kind: 'truncated', at: wordPlace(cursor), counted: 'numbers', found: count, needed: count + 1 };
    return false;
  };
  return {
    next() {
      if (!advanced()) return Number.NaN;
      const value = wordNumber(cursor);
      if (value !== undefined) return value;
      fault = { kind: 'bad-number', at: wordPlace(cursor), found: wordText(cursor), needed: 'a number' };
      return Number.NaN;
    },
    skip(_, times) {
      for (let i = 0; i < times && advanced(); i += 1);
    },
    fault: () => fault,
    place: () => wordPlace(cursor),
    remaining: () => cursor.bytes.length - cursor.end,
    trailing: () => (nextWord({ ...cursor }) ? cursor.bytes.length - cursor.end : 0),
    // A digit and the blank before it.
    leastBytes: () => 2,
  };
}

function binaryValues(bytes: Uint8Array, start: number, littleEndian: boolean): PlyValues {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let fault: MeshFileError | undefined;
  let at = start;
  let last = start;
  const advanced = (size: number): boolean => {
    if (fault !== undefined) return false;
    last = at;
    if (at + size <= bytes.length) {
      at += size;
      return true;
    }
    const needed = at + size;
    fault = { kind: 'truncated', at: { byte: at }, counted: 'bytes', found: bytes.length, needed };
    return false;
  };
  return {
    next(type) {
      if (!advanced(bytesOfType[type])) return Number.NaN;
      switch (type) {
        case 'float32':
          return view.getFloat32(last, littleEndian);
        case 'int32':
          return view.getInt32(last, littleEndian);
        case 'uint8':
          return view.getUint8(last);
        case 'uint32':
          return view.getUint32(last, littleEndian);
        case 'float64':
          return view.getFloat64(last, littleEndian);
        case 'int8':
          return view.getInt8(last);
        case 'int16':
          return view.getInt16(last, littleEndian);
        case 'uint16':
          return view.getUint16(last, littleEndian);
        default:
          return unreachable(type);
      }
    },
    skip(type, times) {
      advanced(bytesOfType[type] * times);
    },
    fault: () => fault,
    place: () => ({ byte: last }),
    remaining: () => bytes.length - at,
    trailing: () => bytes.length - at,
    leastBytes: (type) => bytesOfType[type],
  };
}
