import type { Finding, Mesh } from '@kerfline/geometry';

export type MeshFormat =
  | 'stl-binary'
  | 'stl-ascii'
  | 'ply-ascii'
  | 'ply-binary-little-endian'
  | 'ply-binary-big-endian'
  | 'obj';

/**
 * A surface just as its file gives it: every coordinate is finite and every triangle names vertices that exist.
 *
 * Its numbers are in the file's own unit, which none of the formats state; the frame `file` stands for both.
 */
export interface FileSurface {
  readonly mesh: Mesh<'file'>;
  readonly format: MeshFormat;
  readonly findings: readonly Finding[];
}
