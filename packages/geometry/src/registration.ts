import { Matrix, SingularValueDecomposition } from 'ml-matrix';
import type { Point3 } from './frames.ts';
import { err, ok, type Result } from './result.ts';
import { type Rotation, rotated, type Transform } from './rigid-transform.ts';
import { add, length, scaled, subtract, type Vec3 } from './vec3.ts';

export interface Registration<To extends string, From extends string> {
  readonly toFromFrom: Transform<To, From>;
  /** Root mean square distance between the moved points and their partners, mm. */
  readonly rmsMm: number;
}

export type RegistrationError =
  | { readonly kind: 'too-few-points'; readonly found: number; readonly needed: number }
  | { readonly kind: 'points-nearly-collinear'; readonly ratio: number; readonly required: number }
  /** A mirror image fits clearly better than any rigid motion: one of the two sets is flipped. */
  | { readonly kind: 'mirrored'; readonly rigidRmsMm: number; readonly mirroredRmsMm: number };

/** Second singular value of a centred cloud of points against its first: 0 on a line. */
function roundness(points: readonly Vec3[]): number {
  if (!points.flat().every(Number.isFinite)) throw new Error('a point without a place');
  const spread = new SingularValueDecomposition(new Matrix(points.map((v) => [...v])), { autoTranspose: true })
    .diagonal;
  return spread[0]! > 0 ? spread[1]! / spread[0]! : 0;
}

const mean = (points: readonly Vec3[]): Vec3 => scaled(points.reduce(add, [0, 0, 0]), 1 / points.length);

/** Smallest accepted ratio of the second to the first singular value of the point cloud; below it the roll is noise. */
const leastSpread = 1e-3;
/** A mirror is reported when it leaves less than this share of the rigid misfit. */
const mirrorShare = 0.5;

/**
 * The rigid motion that best carries points onto their partners (Arun, Huang, Blostein 1987; Umeyama 1991 for the sign).
 *
 * @param from places in the `From` frame
 * @param to their partners, in the same order; a place that is not finite throws
 */
export function register<To extends string, From extends string>(
  from: readonly Point3<From>[],
  to: readonly Point3<To>[],
): Result<Registration<To, From>, RegistrationError> {
  if (from.length !== to.length) throw new Error(`${from.length} points have ${to.length} partners`);
  if (from.length < 3) return err({ kind: 'too-few-points', found: from.length, needed: 3 });
  const cf = mean(from.map((p) => p.xyz));
  const ct = mean(to.map((p) => p.xyz));
  const f = from.map((p) => subtract(p.xyz, cf));
  const t = to.map((p) => subtract(p.xyz, ct));
  const ratio = Math.min(roundness(f), roundness(t));
  if (!(ratio >= leastSpread)) return err({ kind: 'points-nearly-collinear', ratio, required: leastSpread });
  const covariance = Matrix.zeros(3, 3);
  t.forEach((tv, i) => {
    for (const r of [0, 1, 2] as const)
      for (const c of [0, 1, 2] as const) covariance.set(r, c, covariance.get(r, c) + tv[r] * f[i]![c]);
  });
  const svd = new SingularValueDecomposition(covariance);
  const u = svd.leftSingularVectors;
  const v = svd.rightSingularVectors;
  const rotationWith = (last: number): Rotation => {
    const m = u.mmul(Matrix.diag([1, 1, last])).mmul(v.transpose());
    const row = (r: number): Vec3 => [m.get(r, 0), m.get(r, 1), m.get(r, 2)];
    return [row(0), row(1), row(2)];
  };
  const rmsOf = (rotation: Rotation): number =>
    Math.sqrt(f.reduce((sum, fv, i) => sum + length(subtract(rotated(rotation, fv), t[i]!)) ** 2, 0) / f.length);
  const determinant = determinant3(u) * determinant3(v);
  const proper = rotationWith(determinant > 0 ? 1 : -1);
  const rigidRmsMm = rmsOf(proper);
  if (determinant < 0) {
    const mirroredRmsMm = rmsOf(rotationWith(1));
    if (mirroredRmsMm < mirrorShare * rigidRmsMm) return err({ kind: 'mirrored', rigidRmsMm, mirroredRmsMm });
  }
  return ok({
    toFromFrom: {
      to: to[0]!.frame,
      from: from[0]!.frame,
      rotation: proper,
      translation: subtract(ct, rotated(proper, cf)),
    },
    rmsMm: rigidRmsMm,
  });
}

const determinant3 = (m: Matrix): number =>
  m.get(0, 0) * (m.get(1, 1) * m.get(2, 2) - m.get(1, 2) * m.get(2, 1)) -
  m.get(0, 1) * (m.get(1, 0) * m.get(2, 2) - m.get(1, 2) * m.get(2, 0)) +
  m.get(0, 2) * (m.get(1, 0) * m.get(2, 1) - m.get(1, 1) * m.get(2, 0));
