import type { Point3 } from './frames.ts';
import type { Mesh } from './mesh.ts';
import { rotated, type Transform } from './rigid-transform.ts';
import { dot, type Vec3 } from './vec3.ts';

/**
 * A mirror image from one frame into another. It exists only for the border: what lies mirrored is reflected once on
 * the way in and once on the way out. It is not a `Transform` and cannot be composed into one.
 */
export interface Reflection<in out To extends string, in out From extends string> {
  readonly to: To;
  readonly from: From;
  /** Unit vector of `From`, square to the mirror; the mirror passes through the origin. */
  readonly across: Vec3;
}

export const reflection = <To extends string, From extends string>(
  to: To,
  from: From,
  across: Vec3,
): Reflection<To, From> => ({ to, from, across });

const mirrored = (across: Vec3, v: Vec3): Vec3 => {
  const twice = 2 * dot(across, v);
  return [v[0] - twice * across[0], v[1] - twice * across[1], v[2] - twice * across[2]];
};

/** The mirror image of a point. */
export const reflectPoint = <To extends string, From extends string>(
  toFromFrom: Reflection<To, From>,
  p: Point3<From>,
): Point3<To> => ({ frame: toFromFrom.to, xyz: mirrored(toFromFrom.across, p.xyz) });

/** The way back: the same mirror, with the frames exchanged. */
export const reflectBack = <To extends string, From extends string>(
  toFromFrom: Reflection<To, From>,
): Reflection<From, To> => ({ to: toFromFrom.from, from: toFromFrom.to, across: toFromFrom.across });

/** The mirror image of a mesh; triangles are rewound so that they still face outward. */
export function reflectMesh<To extends string, From extends string>(
  toFromFrom: Reflection<To, From>,
  mesh: Mesh<From>,
): Mesh<To> {
  const positions = new Float32Array(mesh.positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const v = mirrored(toFromFrom.across, [mesh.positions[i]!, mesh.positions[i + 1]!, mesh.positions[i + 2]!]);
    positions.set(v, i);
  }
  const triangles = new Uint32Array(mesh.triangles.length);
  for (let t = 0; t < triangles.length; t += 3) {
    triangles[t] = mesh.triangles[t]!;
    triangles[t + 1] = mesh.triangles[t + 2]!;
    triangles[t + 2] = mesh.triangles[t + 1]!;
  }
  return { frame: toFromFrom.to, positions, triangles };
}

/** Sixteen numbers, row by row, of a rigid map or of a rigid map after a mirror: for files and other programs. */
export function matrix4<A extends string, B extends string, C extends string>(
  aFromB: Transform<A, B>,
  bFromC?: Reflection<B, C>,
): readonly number[] {
  const axes: readonly Vec3[] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  const columns = axes.map((axis) => rotated(aFromB.rotation, bFromC ? mirrored(bFromC.across, axis) : axis));
  return [0, 1, 2]
    .flatMap((row) => [...columns.map((column) => column[row as 0 | 1 | 2]), aFromB.translation[row as 0 | 1 | 2]])
    .concat([0, 0, 0, 1]);
}
