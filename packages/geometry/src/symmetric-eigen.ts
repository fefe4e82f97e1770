import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import type { Vec3 } from './vec3.ts';

export interface PrincipalAxes {
  /** Unit vectors, the one with the largest value first. */
  readonly axes: readonly [Vec3, Vec3, Vec3];
  readonly values: readonly [number, number, number];
}

/** Entries this much smaller than the largest are nothing; left in, subnormal ones break the decomposition. */
const nothing = 1e-30;

/** Axes and values of a symmetric 3x3 matrix given row by row, largest value first. The sign of an axis is arbitrary. */
export function principalAxes(m: readonly [Vec3, Vec3, Vec3]): PrincipalAxes {
  // The decomposition has absolute limits inside: it is given a table whose largest entry is 1.
  const size = Math.max(...m.flat().map(Math.abs)) || 1;
  const clean = m.map((row) => row.map((v) => (Math.abs(v / size) <= nothing ? 0 : v / size)));
  const evd = new EigenvalueDecomposition(new Matrix(clean), { assumeSymmetric: true });
  const vectors = evd.eigenvectorMatrix;
  const order = [0, 1, 2].sort((a, b) => evd.realEigenvalues[b]! - evd.realEigenvalues[a]!);
  const axis = (k: number): Vec3 => [vectors.get(0, k), vectors.get(1, k), vectors.get(2, k)];
  return {
    axes: [axis(order[0]!), axis(order[1]!), axis(order[2]!)],
    values: [
      size * evd.realEigenvalues[order[0]!]!,
      size * evd.realEigenvalues[order[1]!]!,
      size * evd.realEigenvalues[order[2]!]!,
    ],
  };
}
