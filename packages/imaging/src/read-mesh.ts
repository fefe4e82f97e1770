import { err, type Finding, info, type Mesh, type MeshQuality, ok, type Result } from '@kerfline/geometry';
import type { FileSurface, MeshFormat } from './file-surface.ts';
import type { MeshFileError } from './mesh-file-error.ts';
import { isObj, readObj } from './obj.ts';
import { readPly } from './ply.ts';
import { isPly } from './ply-header.ts';
import { isAsciiStl, isWholeBinaryStl, maybeBinaryStl, readStl } from './stl.ts';
import { shownBytes } from './text-cursor.ts';
import { usableMesh } from './usable-mesh.ts';

export interface ReadMesh {
  /** Largest piece of the surface, facing outward if it encloses anything; numbers in the file's own unit. */
  readonly mesh: Mesh<'file'>;
  readonly format: MeshFormat;
  /** Of `mesh`. Its mm are the file's unit until somebody has said what that is. */
  readonly quality: MeshQuality;
  readonly findings: readonly Finding[];
}

/**
 * The mesh in an STL, PLY or OBJ file, with what must be known about it.
 *
 * The content tells the format. `usableMesh` says what is left out or turned over; every such step is a finding.
 *
 * @param bytes the whole file; not changed, not kept
 * @param fileName only to remark on an ending that belongs to another format
 * @returns an error that says what was found and what was needed; never throws, whatever the bytes
 */
export function readMesh(bytes: Uint8Array, fileName?: string): Result<ReadMesh, MeshFileError> {
  if (bytes.length === 0) return err({ kind: 'empty-file' });
  const read = readAnyFormat(bytes);
  if (!read.ok) return read;
  const usable = usableMesh(read.value.mesh);
  if (!usable.ok) return usable;
  const { format } = read.value;
  const findings = [...read.value.findings, ...usable.value.findings, ...nameFindings(format, fileName)];
  return ok({ mesh: usable.value.mesh, format, quality: usable.value.quality, findings });
}

function readAnyFormat(bytes: Uint8Array): Result<FileSurface, MeshFileError> {
  if (isPly(bytes)) return readPly(bytes);
  if (isWholeBinaryStl(bytes) || isAsciiStl(bytes)) return readStl(bytes);
  if (isObj(bytes)) return readObj(bytes);
  // Last, because all that speaks for it is a number that may be right.
  if (maybeBinaryStl(bytes)) return readStl(bytes);
  return err({
    kind: 'unknown-format',
    found: shownBytes(bytes, 0, bytes.length),
    needed: 'an STL, PLY or OBJ file',
  });
}

function nameFindings(format: MeshFormat, fileName: string | undefined): readonly Finding[] {
  const ending = fileName?.slice(fileName.lastIndexOf('.') + 1).toLowerCase() ?? '';
  if (!['stl', 'ply', 'obj'].includes(ending) || format.startsWith(ending)) return [];
  const message = `The file is named .${ending}, but its content is ${format}; it was read as that.`;
  return [info('name-differs', message)];
}
