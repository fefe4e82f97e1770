import { type Plane, type Point3, point } from './frames.ts';
import { err, ok, type Result } from './result.ts';
import type { Millimetres } from './units.ts';
import { along, cross, dot, length, subtract, unit, type Vec3 } from './vec3.ts';

export interface PointsNearlyCollinear {
  readonly kind: 'points-nearly-collinear';
  readonly heightMm: number;
  readonly requiredMm: number;
}

/** The plane through a point, square to `normal` (any length but zero). */
export function planeAt<F extends string>(through: Point3<F>, normal: Vec3): Plane<F> {
  const n = unit(normal);
  return { frame: through.frame, normal: n, offset: dot(n, through.xyz) };
}

/**
 * The plane through three points.
 *
 * @param a first of three points in one frame; a, b, c turn right-handed about the normal
 * @param b second point
 * @param c third point
 * @param minHeight smallest accepted height of the triangle over its longest side, mm; below it the normal is mostly noise
 * @returns unit normal and offset (mm) in the points' frame, or `points-nearly-collinear` with both heights
 */
export function planeThrough<F extends string>(
  a: Point3<F>,
  b: Point3<F>,
  c: Point3<F>,
  minHeight: Millimetres,
): Result<Plane<F>, PointsNearlyCollinear> {
  const ab = subtract(b.xyz, a.xyz);
  const ac = subtract(c.xyz, a.xyz);
  const normal = cross(ab, ac);
  const longest = Math.max(length(ab), length(ac), length(subtract(c.xyz, b.xyz)));
  const height = longest > 0 ? length(normal) / longest : 0;
  if (!(height >= minHeight)) {
    return err({ kind: 'points-nearly-collinear', heightMm: height, requiredMm: minHeight });
  }
  return ok(planeAt(a, normal));
}

/** Signed distance of a point from a plane, mm; positive on the side the normal points to. */
export const signedDistance = <F extends string>(plane: Plane<F>, p: Point3<F>): number =>
  dot(plane.normal, p.xyz) - plane.offset;

/** The point of the plane nearest to `p`. */
export const projectedOn = <F extends string>(plane: Plane<F>, p: Point3<F>): Point3<F> =>
  point(p.frame, along(p.xyz, plane.normal, -signedDistance(plane, p)));

/** The same plane moved along its normal by `by` mm. */
export const shifted = <F extends string>(plane: Plane<F>, by: Millimetres): Plane<F> => ({
  ...plane,
  offset: plane.offset + by,
});
