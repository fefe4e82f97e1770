import { doubt, err, type Finding, inFrame, ok, type Result } from '@kerfline/geometry';
import { decimalNumber } from './decimal-number.ts';
import type { FileSurface } from './file-surface.ts';
import { withRoom } from './growing-array.ts';
import type { MeshFileError } from './mesh-file-error.ts';
import { mostTriangles, mostVertices } from './mesh-size.ts';
import {
  beginsAsText,
  coordinateFault,
  nextWord,
  nextWordOnLine,
  shownBytes,
  skipLine,
  type TextCursor,
  textCursor,
  wordNumber,
  wordPlace,
  wordText,
} from './text-cursor.ts';

/** Words that a file may begin with: few, because some of the others begin a sentence as well. */
const openingWords: ReadonlySet<string> = new Set(['v', 'vn', 'vt', 'f', 'o', 'g', 's', 'usemtl', 'mtllib']);
/** Words that begin a line about something else than the surface's vertices and faces. */
const otherWords: ReadonlySet<string> = new Set(
  (
    'vt vn vp l p g s o mg usemtl mtllib usemap maplib lod bevel c_interp d_interp shadow_obj trace_obj ctech stech ' +
    'cstype deg bmat step curv curv2 surf parm trim hole scrv sp end con call csh'
  ).split(' '),
);

const numberSign = 0x23;
const slash = 0x2f;

/** Whether the file begins as text, and its first line with more than a comment with a usual word of the format. */
export function isObj(bytes: Uint8Array): boolean {
  const cursor = textCursor(bytes);
  while (nextWord(cursor)) {
    if (bytes[cursor.start] !== numberSign) {
      return openingWords.has(wordText(cursor)) && beginsAsText(bytes);
    }
    skipLine(cursor);
  }
  return false;
}

/**
 * The surface in an OBJ file: all its groups and objects joined.
 *
 * Vertices may be counted from the first (1, 2, ...) or back from the latest (-1, -2, ...). A face with more than three
 * corners becomes a fan from its first one, which is right for convex faces. Texture, normals, curves and materials are
 * passed over.
 *
 * @param limit most triangles to read
 * @source Wavefront Technologies, Advanced Visualizer manual, appendix B1, object files
 */
export function readObj(bytes: Uint8Array, limit: number = mostTriangles): Result<FileSurface, MeshFileError> {
  if (bytes.length === 0) return err({ kind: 'empty-file' });
  const cursor = textCursor(bytes);
  let positions = new Float32Array(3 * 64);
  let coordinates = 0;
  let triangles = new Uint32Array(3 * 64);
  let used = 0;
  let short = 0;
  let greatest = 0;
  let greatestLine = 1;
  const unknown: { lines: number; first?: string } = { lines: 0 };

  while (nextWord(cursor)) {
    const length = cursor.end - cursor.start;
    const letter = length === 1 ? cursor.bytes[cursor.start] : undefined;
    if (letter === 0x76) {
      if (coordinates / 3 >= mostVertices(limit)) {
        return err({ kind: 'too-many-vertices', found: mostVertices(limit) + 1, allowed: mostVertices(limit) });
      }
      positions = withRoom(positions, coordinates + 3);
      for (let axis = 0; axis < 3; axis += 1) {
        const value = nextWordOnLine(cursor, true) ? wordNumber(cursor) : undefined;
        positions[coordinates] = value ?? Number.NaN;
        if (!Number.isFinite(positions[coordinates])) {
          return err(coordinateFault(cursor, value, Math.floor(coordinates / 3)));
        }
        coordinates += 1;
      }
    } else if (letter === 0x66) {
      let first = 0;
      let previous = 0;
      let corners = 0;
      for (; nextWordOnLine(cursor, true) && cursor.bytes[cursor.start] !== numberSign; corners += 1) {
        const corner = vertexOfCorner(cursor, coordinates / 3);
        if (!corner.ok) return corner;
        const index = corner.value;
        if (index > greatest) {
          greatest = index;
          greatestLine = cursor.line;
        }
        if (corners === 0) first = index;
        if (corners >= 2) {
          if (used / 3 >= limit) return err({ kind: 'too-many-triangles', found: limit + 1, allowed: limit });
          triangles = withRoom(triangles, used + 3);
          triangles[used] = first - 1;
          triangles[used + 1] = previous - 1;
          triangles[used + 2] = index - 1;
          used += 3;
        }
        previous = index;
      }
      if (corners < 3) short += 1;
    } else if (cursor.bytes[cursor.start] !== numberSign && !otherWords.has(wordText(cursor))) {
      unknown.lines += 1;
      unknown.first ??= `"${wordText(cursor)}" on line ${cursor.line}`;
    }
    passRestOfLine(cursor);
  }
  // A face may name a vertex that the file gives later; by now all are there.
  if (greatest > coordinates / 3) {
    const at = { line: greatestLine };
    return err({ kind: 'index-out-of-range', at, found: greatest, needed: [1, coordinates / 3] });
  }
  const findings: Finding[] = [];
  if (short > 0) {
    const message = `${short} faces have fewer than three corners; they were left out.`;
    findings.push(doubt('short-faces', message));
  }
  if (unknown.first !== undefined) {
    const message = `${unknown.lines} lines begin with an unknown word, first ${unknown.first}; they were not read.`;
    findings.push(doubt('unknown-lines', message));
  }
  const surface = { positions: positions.slice(0, coordinates), triangles: triangles.slice(0, used) };
  return ok({ mesh: inFrame('file', surface), format: 'obj', findings });
}

/** The vertex named by a corner `v`, `v/vt`, `v//vn` or `v/vt/vn`, counted from 1 from the file's first vertex. */
function vertexOfCorner(cursor: TextCursor, vertices: number): Result<number, MeshFileError> {
  const { bytes, start, end } = cursor;
  let numberEnd = start;
  while (numberEnd < end && bytes[numberEnd] !== slash) numberEnd += 1;
  const stated = decimalNumber(bytes, start, numberEnd);
  const at = wordPlace(cursor);
  if (stated === undefined || !Number.isSafeInteger(stated)) {
    return err({ kind: 'bad-number', at, found: shownBytes(bytes, start, end), needed: 'the number of a vertex' });
  }
  if (stated > 0) return ok(stated);
  if (stated < 0 && stated >= -vertices) return ok(vertices + 1 + stated);
  const needed = stated < 0 && vertices > 0 ? ([-vertices, -1] as const) : ([1, vertices] as const);
  return err({ kind: 'index-out-of-range', at, found: stated, needed });
}

/** To the end of the line and of those joined to it; a comment is joined to nothing. */
function passRestOfLine(cursor: TextCursor): void {
  let comment = false;
  do {
    comment = cursor.bytes[cursor.start] === numberSign;
  } while (!comment && nextWordOnLine(cursor, true));
  if (comment) skipLine(cursor);
}
