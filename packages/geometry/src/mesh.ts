import { apply, type Transform } from './rigid-transform.ts';
import type { Vec3 } from './vec3.ts';

/** A triangle surface without a frame: enough for questions whose answer no frame can change. */
export interface Surface {
  /** 3 numbers a vertex, x y z interleaved, mm. */
  readonly positions: Float32Array | Float64Array;
  /** 3 vertex numbers a triangle, counter-clockwise seen from outside. */
  readonly triangles: Uint32Array;
}

/** A triangle surface as files and drawings hold it. All numbers of one mesh are in one frame. */
export interface Mesh<in out F extends string> extends Surface {
  readonly frame: F;
  readonly positions: Float32Array;
}

export const vertexCount = (mesh: Surface): number => mesh.positions.length / 3;
export const triangleCount = (mesh: Surface): number => mesh.triangles.length / 3;

export const vertex = (mesh: Surface, index: number): Vec3 => [
  mesh.positions[3 * index]!,
  mesh.positions[3 * index + 1]!,
  mesh.positions[3 * index + 2]!,
];

/** The same surface in another frame. */
export function moved<To extends string, From extends string>(
  toFromFrom: Transform<To, From>,
  mesh: Mesh<From>,
): Mesh<To> {
  const positions = new Float32Array(mesh.positions.length);
  for (let i = 0; i < positions.length / 3; i += 1) {
    positions.set(apply(toFromFrom, { frame: mesh.frame, xyz: vertex(mesh, i) }).xyz, 3 * i);
  }
  return { frame: toFromFrom.to, positions, triangles: mesh.triangles };
}

/** The same numbers under another frame name: for a mesh that has just been read and whose frame is being declared. */
export const inFrame = <F extends string>(
  frame: F,
  { positions, triangles }: Pick<Mesh<never>, 'positions' | 'triangles'>,
): Mesh<F> => ({ frame, positions, triangles });

export interface Box {
  readonly min: Vec3;
  readonly max: Vec3;
}

/** Smallest box along the frame's axes; an empty mesh throws. */
export function boundingBox(mesh: Surface): Box {
  if (mesh.positions.length === 0) throw new Error('an empty mesh has no bounding box');
  const min: [number, number, number] = [Infinity, Infinity, Infinity];
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < mesh.positions.length; i += 3) {
    for (const axis of [0, 1, 2] as const) {
      const value = mesh.positions[i + axis]!;
      if (value < min[axis]) min[axis] = value;
      if (value > max[axis]) max[axis] = value;
    }
  }
  return { min, max };
}
