import { doubt, err, type Finding, ok, type Result } from '@kerfline/geometry';
import type { FilmFileError } from './film-file-error.ts';
import type { FilmLimits } from './film-limits.ts';

export interface ByteRange {
  readonly offset: number;
  readonly length: number;
}

/** Where pixel data lie in the bytes of a film: as they are, or compressed in pieces. */
export type PixelPlace =
  | ({ readonly kind: 'native' } & ByteRange)
  /** `offsets`: the basic offset table, from the first byte of the first piece to that of each frame; often empty. */
  | { readonly kind: 'encapsulated'; readonly fragments: readonly ByteRange[]; readonly offsets: readonly number[] };

const item = 0xe000fffe;
const sequenceEnd = 0xe0ddfffe;

/** Native pixel data of `needed` bytes, or an error with the number there; more than one byte too many is a finding. */
export function nativePixels(
  bytes: Uint8Array,
  place: ByteRange,
  needed: number,
): Result<{ readonly pixels: PixelPlace; readonly findings: readonly Finding[] }, FilmFileError> {
  const there = Math.min(place.length, bytes.length - place.offset);
  if (there < needed) {
    const byte = place.offset + there;
    return err({ kind: 'truncated', byte, counted: 'bytes of pixel data', found: there, needed });
  }
  const findings: Finding[] = [];
  if (place.length > needed + 1) {
    const message = `The pixel data are stated to have ${place.length} bytes, but the image takes ${needed}; the rest was not read.`;
    findings.push(doubt('more-pixel-data', message));
  }
  return ok({ pixels: { kind: 'native', offset: place.offset, length: needed }, findings });
}

/**
 * The pieces of compressed pixel data; always little endian.
 *
 * @source PS3.5 annex A.4
 */
export function encapsulatedPixels(
  bytes: Uint8Array,
  offset: number,
  limits: FilmLimits,
): Result<{ readonly pixels: PixelPlace; readonly findings: readonly Finding[] }, FilmFileError> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const pieces: ByteRange[] = [];
  const findings: Finding[] = [];
  let at = offset;
  for (;;) {
    if (at === bytes.length && pieces.length > 1) {
      const message = 'The end mark of the compressed pixel data is missing; all pieces that the file has are whole.';
      findings.push(doubt('no-end-of-pixel-data', message));
      break;
    }
    if (bytes.length - at < 8) {
      const found = bytes.length - at;
      return err({
        kind: 'truncated',
        byte: bytes.length,
        counted: 'bytes of a piece of pixel data',
        found,
        needed: 8,
      });
    }
    const tag = view.getUint32(at, true);
    const length = view.getUint32(at + 4, true);
    if (tag === sequenceEnd) break;
    if (tag !== item || length === 0xffffffff) {
      return err({ kind: 'bad-element', byte: at, tag: '(7FE0,0010)', needed: 'a piece of pixel data' });
    }
    const found = bytes.length - at - 8;
    if (found < length) {
      const counted = 'bytes of a piece of pixel data';
      return err({ kind: 'truncated', byte: bytes.length, counted, found, needed: length });
    }
    if (pieces.length > limits.mostFragments) {
      return err({ kind: 'too-many-elements', byte: at, allowed: limits.mostFragments });
    }
    pieces.push({ offset: at + 8, length });
    at += 8 + length;
  }
  const [table, ...fragments] = pieces;
  if (table === undefined || fragments.every((fragment) => fragment.length === 0)) {
    return err({ kind: 'truncated', byte: at, counted: 'pieces of pixel data', found: 0, needed: 1 });
  }
  const offsets: number[] = [];
  for (let i = 0; i + 4 <= table.length; i += 4) offsets.push(view.getUint32(table.offset + i, true));
  return ok({ pixels: { kind: 'encapsulated', fragments, offsets }, findings });
}
