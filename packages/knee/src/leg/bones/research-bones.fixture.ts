import { type Mesh, type Rotation, rotated, type Vec3 } from '@kerfline/geometry';
import type { Random } from '@kerfline/uncertainty';
import type { LegMeshes } from '../leg-from-bones.ts';

/** A binary little-endian PLY of float x, y, z and triangles of int, as the research surfaces are; anything else throws. */
export function surfaceFromPly(bytes: Uint8Array): Mesh<'scan'> {
  const header = String.fromCharCode(...bytes.subarray(0, 2000));
  const end = header.indexOf('end_header\n') + 'end_header\n'.length;
  const count = (element: string): number => Number(new RegExp(`element ${element} (\\d+)`).exec(header)![1]);
  if (!/format binary_little_endian 1\.0/.test(header) || !/property list uchar int vertex_ind/.test(header)) {
    throw new Error('not a surface of this set');
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const vertices = count('vertex');
  const faces = count('face');
  const positions = Float32Array.from({ length: 3 * vertices }, (_, i) => view.getFloat32(end + 4 * i, true));
  const triangles = new Uint32Array(3 * faces);
  let at = end + 12 * vertices;
  for (let f = 0; f < faces; f += 1) {
    if (view.getUint8(at) !== 3) throw new Error('not a triangle');
    for (let k = 0; k < 3; k += 1) triangles[3 * f + k] = view.getInt32(at + 1 + 4 * k, true);
    at += 13;
  }
  return { frame: 'scan', positions, triangles };
}

const eachBone = (meshes: LegMeshes, change: (mesh: Mesh<'scan'>) => Mesh<'scan'>): LegMeshes => ({
  femur: change(meshes.femur),
  tibia: change(meshes.tibia),
  fibula: meshes.fibula && change(meshes.fibula),
  patella: meshes.patella && change(meshes.patella),
});

/** A rigid motion: `rotation` about the origin, then `by`, mm. */
export interface Motion {
  readonly rotation: Rotation;
  readonly by: Vec3;
}

export const movedPoint = ({ rotation, by }: Motion, p: Vec3): Vec3 => {
  const q = rotated(rotation, p);
  return [q[0] + by[0], q[1] + by[1], q[2] + by[2]];
};

/** Every surface of a leg moved alike. */
export const movedLeg = (meshes: LegMeshes, motion: Motion): LegMeshes =>
  eachBone(meshes, (mesh) => {
    const positions = new Float32Array(mesh.positions.length);
    for (let i = 0; i < positions.length; i += 3) {
      positions.set(movedPoint(motion, [mesh.positions[i]!, mesh.positions[i + 1]!, mesh.positions[i + 2]!]), i);
    }
    return { ...mesh, positions };
  });

/** Every surface of a leg as a mirror shows it (x becomes -x), still facing outward. */
export const mirroredLeg = (meshes: LegMeshes): LegMeshes =>
  eachBone(meshes, (mesh) => ({
    frame: mesh.frame,
    positions: mesh.positions.map((v, i) => (i % 3 === 0 ? -v : v)),
    triangles: mesh.triangles.map((_, i, all) => all[i % 3 === 1 ? i + 1 : i % 3 === 2 ? i - 1 : i]!),
  }));

/** Any rotation, all alike likely (a random unit quaternion), and a shift of up to half a metre along each axis. */
export function anyMotion(random: Random): Motion {
  const q = [random.normal(), random.normal(), random.normal(), random.normal()];
  const size = Math.hypot(...q);
  const [w, x, y, z] = q.map((v) => v / size) as [number, number, number, number];
  return {
    rotation: [
      [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
      [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
      [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
    ],
    by: [0, 1, 2].map(() => 1000 * (random.uniform() - 0.5)) as unknown as Vec3,
  };
}

/** The part of a surface beyond a plane through `at`, where `direction` points: cut off flat, the cut open. */
export function keptBeyond(mesh: Mesh<'scan'>, at: Vec3, direction: Vec3): Mesh<'scan'> {
  const p = mesh.positions;
  const height = (v: number): number =>
    (p[3 * v]! - at[0]) * direction[0] +
    (p[3 * v + 1]! - at[1]) * direction[1] +
    (p[3 * v + 2]! - at[2]) * direction[2];
  const positions: number[] = [];
  const numbers = new Map<string, number>();
  const numbered = (key: string, x: () => readonly number[]): number => {
    const known = numbers.get(key);
    if (known !== undefined) return known;
    numbers.set(key, positions.length / 3);
    positions.push(...x());
    return positions.length / 3 - 1;
  };
  const kept = (v: number): number => numbered(`${v}`, () => [p[3 * v]!, p[3 * v + 1]!, p[3 * v + 2]!]);
  // The same two ends give the same point, whichever triangle asks.
  const crossing = (a: number, b: number): number => {
    const [i, j] = a < b ? [a, b] : [b, a];
    return numbered(`${i} ${j}`, () => {
      const share = height(i) / (height(i) - height(j));
      return [0, 1, 2].map((k) => p[3 * i + k]! + share * (p[3 * j + k]! - p[3 * i + k]!));
    });
  };
  const triangles: number[] = [];
  for (let t = 0; t < mesh.triangles.length; t += 3) {
    const corners = [mesh.triangles[t]!, mesh.triangles[t + 1]!, mesh.triangles[t + 2]!];
    const rim: number[] = [];
    corners.forEach((v, k) => {
      const next = corners[(k + 1) % 3]!;
      if (height(v) > 0) rim.push(kept(v));
      if (height(v) > 0 !== height(next) > 0) rim.push(crossing(v, next));
    });
    for (let k = 2; k < rim.length; k += 1) triangles.push(rim[0]!, rim[k - 1]!, rim[k]!);
  }
  return { frame: 'scan', positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}
