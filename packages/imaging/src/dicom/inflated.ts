import { err, ok, type Result } from '@kerfline/geometry';
import { Inflate } from 'fflate';
import type { FilmFileError } from './film-file-error.ts';

/**
 * Bytes handed to the inflater at a time.
 *
 * @numerical One byte becomes at most 1,032 (RFC 1951), so a step adds at most 8.5 million bytes before the limit is looked at.
 */
const stepBytes = 8192;

/**
 * What a raw deflate stream (RFC 1951) becomes, read in steps so that a small file that grows without end stops at the limit.
 *
 * @param start where the stream begins; it ends with the file, and bytes behind its end are passed over
 */
export function inflated(bytes: Uint8Array, start: number, mostBytes: number): Result<Uint8Array, FilmFileError> {
  const parts: Uint8Array[] = [];
  let length = 0;
  let whole = false;
  const inflate = new Inflate((part, final) => {
    if (part.length > 0) parts.push(part);
    length += part.length;
    whole ||= final;
  });
  for (let at = start; at < bytes.length && !whole; at += stepBytes) {
    const end = Math.min(bytes.length, at + stepBytes);
    try {
      inflate.push(bytes.subarray(at, end), end === bytes.length);
    } catch {
      return err({ kind: 'bad-deflate', byte: start });
    }
    if (length > mostBytes) return err({ kind: 'inflates-too-far', allowed: mostBytes });
  }
  if (!whole) return err({ kind: 'bad-deflate', byte: start });
  const out = new Uint8Array(length);
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return ok(out);
}
