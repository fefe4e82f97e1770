import { doubt, err, type Finding, inFrame, ok, type Result } from '@kerfline/geometry';
import type { FileSurface } from './file-surface.ts';
import { withRoom } from './growing-array.ts';
import type { MeshFileError } from './mesh-file-error.ts';
import { mostTriangles, mostVertices } from './mesh-size.ts';
import { type PlyElement, type PlyHeader, type PlyProperty, type PlyType, readPlyHeader } from './ply-header.ts';
import { type PlyValues, plyValues } from './ply-values.ts';

/**
 * The surface in a PLY file, text or binary of either byte order.
 *
 * Elements and properties other than the coordinates and the faces' corners are passed over. A face with more than
 * three corners becomes a fan from its first one, which is right for convex faces.
 *
 * @param limit most triangles to read
 * @returns `truncated` before anything is set aside for what the header promises and the file cannot hold
 * @source Greg Turk, The PLY Polygon File Format, Stanford University, 1994
 */
export function readPly(bytes: Uint8Array, limit: number = mostTriangles): Result<FileSurface, MeshFileError> {
  if (bytes.length === 0) return err({ kind: 'empty-file' });
  const header = readPlyHeader(bytes);
  if (!header.ok) return header;
  const layout = surfaceLayout(header.value);
  if (!layout.ok) return layout;
  const { vertices, axes, faces, corners } = layout.value;
  const values = plyValues(header.value);
  const needed = bytes.length - values.remaining() + leastBytes(header.value, values);
  if (bytes.length < needed) {
    return err({ kind: 'truncated', at: { byte: bytes.length }, counted: 'bytes', found: bytes.length, needed });
  }
  if (vertices.count > mostVertices(limit)) {
    return err({ kind: 'too-many-vertices', found: vertices.count, allowed: mostVertices(limit) });
  }

  let positions = new Float32Array(0);
  let read: FaceList = { triangles: new Uint32Array(0), short: 0 };
  for (const element of header.value.elements) {
    if (element === vertices) {
      const result = readVertices(vertices, axes, values);
      if (!result.ok) return result;
      positions = result.value;
    } else if (element === faces) {
      const result = readFaces(faces, corners, values, vertices.count, limit);
      if (!result.ok) return result;
      read = result.value;
    } else {
      const fault = skipElement(element, values);
      if (fault !== undefined) return err(fault);
    }
  }
  const findings: Finding[] = [];
  if (read.short > 0) {
    const message = `${read.short} faces have fewer than three corners; they were left out.`;
    findings.push(doubt('short-faces', message));
  }
  const trailing = values.trailing();
  if (trailing > 0) {
    const message = `${trailing} bytes follow what the header states; they were not read.`;
    findings.push(doubt('trailing-bytes', message));
  }
  const mesh = inFrame('file', { positions, triangles: read.triangles });
  return ok({ mesh, format: `ply-${header.value.encoding}`, findings });
}

/** The two elements that make a surface, and which of their properties count. */
interface SurfaceLayout {
  readonly vertices: PlyElement;
  /** For each property of a vertex the axis it gives: 0, 1, 2 for x, y, z, and -1 for anything else. */
  readonly axes: readonly number[];
  readonly faces: PlyElement;
  /** The list of a face's vertex numbers. */
  readonly corners: PlyProperty;
}

function surfaceLayout({ elements, body }: PlyHeader): Result<SurfaceLayout, MeshFileError> {
  const missing = (needed: string): { readonly ok: false; readonly error: MeshFileError } =>
    err({ kind: 'bad-header', at: { line: body.line - 1 }, found: 'end_header', needed: `${needed} before it` });
  const vertices = elements.find((e) => e.name === 'vertex');
  if (vertices === undefined) return missing('"element vertex"');
  const axes = vertices.properties.map((p) => (p.countType === undefined ? ['x', 'y', 'z'].indexOf(p.name) : -1));
  for (const axis of [0, 1, 2]) if (!axes.includes(axis)) return missing(`a property "${'xyz'[axis]}" of each vertex`);
  const faces = elements.find((e) => e.name === 'face');
  if (faces === undefined) return missing('"element face"');
  const corners = faces.properties.find(
    (p) => p.countType !== undefined && (p.name === 'vertex_indices' || p.name === 'vertex_index'),
  );
  if (corners === undefined) return missing('a list "vertex_indices" of each face');
  return ok({ vertices, axes, faces, corners });
}

/** Fewest bytes that the body takes if the header is right: every list empty, every written number one digit. */
function leastBytes({ encoding, elements }: PlyHeader, values: PlyValues): number {
  let sum = 0;
  for (const { count, properties } of elements) {
    for (const { type, countType } of properties) sum += count * values.leastBytes(countType ?? type);
  }
  // The first written number needs no blank before it.
  return encoding === 'ascii' && sum > 0 ? sum - 1 : sum;
}

/** What stopped the reading of an element; at the end of a text, told by how many of the elements are there. */
function faultOf(fault: MeshFileError, element: PlyElement, done: number): MeshFileError {
  if (fault.kind !== 'truncated' || 'byte' in fault.at) return fault;
  return { ...fault, counted: `elements "${element.name}"`, found: done, needed: element.count };
}

function skipProperty(property: PlyProperty, values: PlyValues): MeshFileError | undefined {
  if (property.countType === undefined) values.skip(property.type, 1);
  else {
    const length = listLength(property.countType, values);
    if (!length.ok) return length.error;
    values.skip(property.type, length.value);
  }
  return values.fault();
}

function skipElement(element: PlyElement, values: PlyValues): MeshFileError | undefined {
  if (element.properties.every((p) => p.countType === undefined)) {
    for (const { type } of element.properties) values.skip(type, element.count);
    const fault = values.fault();
    return fault && faultOf(fault, element, 0);
  }
  for (let i = 0; i < element.count; i += 1) {
    for (const property of element.properties) {
      const fault = skipProperty(property, values);
      if (fault !== undefined) return faultOf(fault, element, i);
    }
  }
  return undefined;
}

function listLength(type: PlyType, values: PlyValues): Result<number, MeshFileError> {
  const length = values.next(type);
  const fault = values.fault();
  if (fault !== undefined) return err(fault);
  if (Number.isSafeInteger(length) && length >= 0) return ok(length);
  return err({ kind: 'bad-number', at: values.place(), found: `${length}`, needed: 'the length of a list' });
}

function readVertices(
  element: PlyElement,
  axes: readonly number[],
  values: PlyValues,
): Result<Float32Array<ArrayBuffer>, MeshFileError> {
  const positions = new Float32Array(3 * element.count);
  for (let vertex = 0; vertex < element.count; vertex += 1) {
    for (let p = 0; p < axes.length; p += 1) {
      const property = element.properties[p]!;
      if (axes[p] === -1) {
        const fault = skipProperty(property, values);
        if (fault !== undefined) return err(faultOf(fault, element, vertex));
        continue;
      }
      const value = values.next(property.type);
      positions[3 * vertex + axes[p]!] = value;
      // Judged after rounding: a 64-bit value can be finite and yet beyond 32 bits.
      if (Number.isFinite(positions[3 * vertex + axes[p]!])) continue;
      const fault = values.fault();
      if (fault !== undefined) return err(faultOf(fault, element, vertex));
      return err({ kind: 'non-finite-coordinate', at: values.place(), vertex, found: `${value}` });
    }
  }
  return ok(positions);
}

interface FaceList {
  readonly triangles: Uint32Array<ArrayBuffer>;
  /** Faces with fewer than three corners, which were left out. */
  readonly short: number;
}

function readFaces(
  element: PlyElement,
  corners: PlyProperty,
  values: PlyValues,
  vertices: number,
  limit: number,
): Result<FaceList, MeshFileError> {
  const leastPerTriangle = values.leastBytes(corners.countType!) + 3 * values.leastBytes(corners.type);
  let triangles = new Uint32Array(3 * Math.min(element.count, Math.floor(values.remaining() / leastPerTriangle)));
  let used = 0;
  let short = 0;
  for (let face = 0; face < element.count; face += 1) {
    for (const property of element.properties) {
      if (property !== corners) {
        const fault = skipProperty(property, values);
        if (fault !== undefined) return err(faultOf(fault, element, face));
        continue;
      }
      const length = listLength(corners.countType!, values);
      if (!length.ok) return err(faultOf(length.error, element, face));
      if (length.value < 3) short += 1;
      let first = 0;
      let previous = 0;
      for (let k = 0; k < length.value; k += 1) {
        const index = values.next(corners.type);
        if (!(Number.isSafeInteger(index) && index >= 0 && index < vertices)) {
          return err(badIndex(index, element, face, values, vertices));
        }
        if (k === 0) first = index;
        if (k >= 2) {
          if (used / 3 >= limit) return err({ kind: 'too-many-triangles', found: limit + 1, allowed: limit });
          triangles = withRoom(triangles, used + 3);
          triangles[used] = first;
          triangles[used + 1] = previous;
          triangles[used + 2] = index;
          used += 3;
        }
        previous = index;
      }
    }
  }
  return ok({ triangles: used < triangles.length ? triangles.slice(0, used) : triangles, short });
}

function badIndex(
  index: number,
  element: PlyElement,
  face: number,
  values: PlyValues,
  vertices: number,
): MeshFileError {
  const fault = values.fault();
  if (fault !== undefined) return faultOf(fault, element, face);
  const at = values.place();
  if (Number.isSafeInteger(index)) return { kind: 'index-out-of-range', at, found: index, needed: [0, vertices - 1] };
  return { kind: 'bad-number', at, found: `${index}`, needed: 'the number of a vertex' };
}
