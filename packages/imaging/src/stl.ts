import { doubt, err, type Finding, inFrame, type Mesh, ok, type Result, welded } from '@kerfline/geometry';
import type { FileSurface } from './file-surface.ts';
import { withRoom } from './growing-array.ts';
import type { MeshFileError } from './mesh-file-error.ts';
import { mostTriangles } from './mesh-size.ts';
import {
  beginsAsText,
  coordinateFault,
  nextWord,
  nextWordOnLine,
  shownBytes,
  type TextCursor,
  textCursor,
  wordIs,
  wordNumber,
  wordPlace,
  wordText,
} from './text-cursor.ts';

/** 80 bytes of free text and the number of facets. */
const headerBytes = 84;
/** A normal and three corners as 32-bit floats, and two bytes that mean nothing. */
const facetBytes = 50;

/** The number of facets stated by a binary header; `undefined` where there is no whole header. */
const statedFacets = (bytes: Uint8Array): number | undefined =>
  bytes.length < headerBytes ? undefined : viewOf(bytes).getUint32(80, true);

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);

/** Whether the file has just the length that its binary header states. A text would need several gigabytes for that. */
export function isWholeBinaryStl(bytes: Uint8Array): boolean {
  const facets = statedFacets(bytes);
  return facets !== undefined && bytes.length === headerBytes + facetBytes * facets;
}

/** Whether the file is text that begins with `solid`, as a binary file with a free-text header may also do. */
export function isAsciiStl(bytes: Uint8Array): boolean {
  const cursor = textCursor(bytes);
  return nextWord(cursor) && wordIs(cursor, 'solid') && beginsAsText(bytes);
}

/** Whether the file can be a binary one that has lost or gained bytes: no text, and a count that could be right. */
export function maybeBinaryStl(bytes: Uint8Array): boolean {
  const facets = statedFacets(bytes);
  if (facets === undefined || facets === 0 || !bytes.subarray(0, headerBytes + facetBytes).includes(0)) return false;
  return facets <= mostTriangles || (bytes.length - headerBytes) % facetBytes === 0;
}

/**
 * The surface in an STL file, binary or text; corners at the same place become one vertex.
 *
 * A binary file is known by its length, even if its free text begins with `solid`. The stated normals are not used:
 * the order of the corners says which side is outside. Several solids in one text file are joined.
 *
 * @param limit most triangles to read
 * @source 3D Systems, StereoLithography Interface Specification, 1988
 */
export function readStl(bytes: Uint8Array, limit: number = mostTriangles): Result<FileSurface, MeshFileError> {
  if (bytes.length === 0) return err({ kind: 'empty-file' });
  if (!isWholeBinaryStl(bytes) && isAsciiStl(bytes)) return readAscii(bytes, limit);
  if (isWholeBinaryStl(bytes) || maybeBinaryStl(bytes)) return readBinary(bytes, limit);
  return err({ kind: 'unknown-format', found: shownBytes(bytes, 0, bytes.length), needed: 'an STL file' });
}

function readBinary(bytes: Uint8Array, limit: number): Result<FileSurface, MeshFileError> {
  const view = viewOf(bytes);
  const facets = view.getUint32(80, true);
  const needed = headerBytes + facetBytes * facets;
  if (bytes.length < needed) {
    return err({ kind: 'truncated', at: { byte: bytes.length }, counted: 'bytes', found: bytes.length, needed });
  }
  if (facets > limit) return err({ kind: 'too-many-triangles', found: facets, allowed: limit });
  const positions = new Float32Array(9 * facets);
  for (let facet = 0; facet < facets; facet += 1) {
    const corners = headerBytes + facetBytes * facet + 12;
    for (let k = 0; k < 9; k += 1) {
      const value = view.getFloat32(corners + 4 * k, true);
      if (!Number.isFinite(value)) {
        const vertex = 3 * facet + Math.floor(k / 3);
        return err({ kind: 'non-finite-coordinate', at: { byte: corners + 4 * k }, vertex, found: `${value}` });
      }
      positions[9 * facet + k] = value;
    }
  }
  const findings: Finding[] = [];
  if (bytes.length > needed) {
    const message = `${bytes.length - needed} bytes follow the ${facets} triangles that the header states; they were not read.`;
    findings.push(doubt('trailing-bytes', message));
  }
  return ok({ mesh: weldedCorners(positions), format: 'stl-binary', findings });
}

/** Every three corners are a triangle, counter-clockwise from outside. */
const weldedCorners = (positions: Float32Array): Mesh<'file'> =>
  welded(inFrame('file', { positions, triangles: new Uint32Array(positions.length / 3).map((_, i) => i) }));

/** What stands in a facet, in order; `#` is a number, and the numbers of the normal are passed over. */
const facetWords = ['facet', 'normal', '', '', '', 'outer', 'loop'];
const cornerWords = ['vertex', '#', '#', '#'];
const grammar = [...facetWords, ...cornerWords, ...cornerWords, ...cornerWords, 'endloop', 'endfacet'];

function readAscii(bytes: Uint8Array, limit: number): Result<FileSurface, MeshFileError> {
  const cursor = textCursor(bytes);
  const findings: Finding[] = [];
  let positions = new Float32Array(9 * 64);
  let used = 0;
  let solids = 0;
  const truncated = (counted: string, found: number, needed: number) =>
    err({ kind: 'truncated', at: wordPlace(cursor), counted, found, needed } as const);
  const unexpected = (needed: string) =>
    err({ kind: 'unexpected-word', at: wordPlace(cursor), found: wordText(cursor), needed } as const);

  nextWord(cursor);
  for (let more = true; more; ) {
    solids += 1;
    if (wordIs(cursor, 'solid') && !nextAfterName(cursor)) return truncated('"endsolid"', solids - 1, solids);
    while (wordIs(cursor, 'facet')) {
      if (used / 9 >= limit) return err({ kind: 'too-many-triangles', found: limit + 1, allowed: limit });
      positions = withRoom(positions, used + 9);
      for (let w = 1; w < grammar.length; w += 1) {
        const expected = grammar[w]!;
        if (!nextWord(cursor)) return truncated(`words of facet ${Math.floor(used / 9) + 1}`, w, grammar.length);
        if (expected === '#') {
          const value = wordNumber(cursor);
          positions[used] = value ?? Number.NaN;
          if (!Number.isFinite(positions[used])) return err(coordinateFault(cursor, value, Math.floor(used / 3)));
          used += 1;
        } else if (expected !== '' && !wordIs(cursor, expected)) return unexpected(`"${expected}"`);
      }
      if (!nextWord(cursor)) return truncated('"endsolid"', solids - 1, solids);
    }
    if (!wordIs(cursor, 'endsolid')) return unexpected('"facet" or "endsolid"');
    more = nextAfterName(cursor);
    if (more && !wordIs(cursor, 'solid') && !wordIs(cursor, 'facet')) {
      const message = `"${wordText(cursor)}" and what follows it from line ${cursor.line} belong to no solid; they were not read.`;
      findings.push(doubt('trailing-bytes', message));
      more = false;
    }
  }
  return ok({ mesh: weldedCorners(positions.slice(0, used)), format: 'stl-ascii', findings });
}

/** Moves past a solid's name, which ends with its line or, in a file without lines, where a facet or the end begins. */
function nextAfterName(cursor: TextCursor): boolean {
  while (nextWordOnLine(cursor)) {
    if (wordIs(cursor, 'endsolid')) return true;
    if (wordIs(cursor, 'facet')) {
      const ahead = { ...cursor };
      if (nextWord(ahead) && wordIs(ahead, 'normal')) return true;
    }
  }
  return nextWord(cursor);
}
