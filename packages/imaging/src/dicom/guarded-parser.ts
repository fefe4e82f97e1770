import dicomParser, { type ByteArrayParser } from 'dicom-parser';
import type { FilmFileError } from './film-file-error.ts';
import type { FilmLimits } from './film-limits.ts';

/** Carries a refusal out of the library's recursion; caught by `readElements` and by nobody else. */
export class Refusal extends Error {
  readonly error: FilmFileError;
  constructor(error: FilmFileError) {
    super(error.kind);
    this.error = error;
  }
}

const undefinedLength = 0xffffffff;

/**
 * The library's reader of numbers with limits: so many reads in all, so many items within each other, none past the end.
 *
 * The library recurses into sequences and offers no limit of its own, but asks this object for every tag and length. An
 * item is open from its tag to its stated end or its end mark.
 * @returns the reader, and `startElement` to be called before each element of the outermost level
 */
export function guardedParser(
  littleEndian: boolean,
  limits: FilmLimits,
): { readonly parser: ByteArrayParser; readonly startElement: () => void } {
  const plain = littleEndian ? dicomParser.littleEndianByteArrayParser : dicomParser.bigEndianByteArrayParser;
  let reads = 0;
  let openEnds: number[] = [];
  let groupAt = -1;
  let itemAt = -1;

  const allow = (bytes: Uint8Array, at: number, size: number): void => {
    reads += 1;
    if (reads > limits.mostReads) {
      throw new Refusal({ kind: 'too-many-elements', byte: at, allowed: limits.mostReads });
    }
    if (at + size > bytes.length) {
      const found = Math.max(0, bytes.length - at);
      throw new Refusal({ kind: 'truncated', byte: bytes.length, counted: 'bytes of an element', found, needed: size });
    }
    while (openEnds.length > 0 && at >= openEnds.at(-1)!) openEnds.pop();
  };
  const open = (at: number, length: number): void => {
    openEnds.push(length === undefinedLength ? Number.POSITIVE_INFINITY : at + 4 + length);
    if (openEnds.length > limits.mostDepth) {
      throw new Refusal({ kind: 'too-deep', byte: at, allowed: limits.mostDepth });
    }
  };

  const parser: ByteArrayParser = {
    ...plain,
    readUint16: (bytes, at) => {
      allow(bytes, at, 2);
      const value = plain.readUint16(bytes, at);
      if (groupAt === at - 2 && value === 0xe000) itemAt = at - 2;
      if (groupAt === at - 2 && value === 0xe00d) openEnds.pop();
      groupAt = value === 0xfffe ? at : -1;
      return value;
    },
    readUint32: (bytes, at) => {
      allow(bytes, at, 4);
      const value = plain.readUint32(bytes, at);
      if (itemAt === at - 4) open(at, value);
      itemAt = -1;
      return value;
    },
  };
  return {
    parser,
    startElement: () => {
      openEnds = [];
    },
  };
}
