import type { Direction3, Plane, Point3 } from './frames.ts';
import { add, cross, dot, scaled, unit, unitSquareTo, type Vec3 } from './vec3.ts';

/** Three rows of a proper rotation (determinant +1). Columns are the axes of `From` seen in `To`. */
export type Rotation = readonly [Vec3, Vec3, Vec3];

/**
 * Pose of `From` in `To`: takes coordinates seen in `From` to coordinates seen in `To`.
 * Always rigid and never mirrored; a mirror is a `Reflection`.
 */
export interface Transform<in out To extends string, in out From extends string> {
  readonly to: To;
  readonly from: From;
  readonly rotation: Rotation;
  readonly translation: Vec3;
}

export const noRotation: Rotation = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
];

export const rotated = (r: Rotation, v: Vec3): Vec3 => [dot(r[0], v), dot(r[1], v), dot(r[2], v)];

export const transposed = (r: Rotation): Rotation => [
  [r[0][0], r[1][0], r[2][0]],
  [r[0][1], r[1][1], r[2][1]],
  [r[0][2], r[1][2], r[2][2]],
];

export function product(a: Rotation, b: Rotation): Rotation {
  const bt = transposed(b);
  return [rotated(bt, a[0]), rotated(bt, a[1]), rotated(bt, a[2])];
}

/** Rotation by `angle` radians about the unit vector `axis`, right-handed (Rodrigues). */
export function rotationAbout(axis: Vec3, angle: number): Rotation {
  const [x, y, z] = axis;
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const t = 1 - c;
  return [
    [c + t * x * x, t * x * y - s * z, t * x * z + s * y],
    [t * x * y + s * z, c + t * y * y, t * y * z - s * x],
    [t * x * z - s * y, t * y * z + s * x, c + t * z * z],
  ];
}

/**
 * The rotation whose rows are a right-handed set of axes: the third along `third`, the second as near to `secondNear`
 * as being square to the third allows. Maps a vector to its components on (first, second, third).
 */
export function rotationToAxes(third: Vec3, secondNear: Vec3): Rotation {
  const p = unit(third);
  const a = unitSquareTo(secondNear, p);
  return [cross(a, p), a, p];
}

export const transform = <To extends string, From extends string>(
  to: To,
  from: From,
  rotation: Rotation,
  translation: Vec3,
): Transform<To, From> => ({ to, from, rotation, translation });

export const identity = <F extends string>(frame: F): Transform<F, F> => transform(frame, frame, noRotation, [0, 0, 0]);

/** The point in `To` coordinates. */
export const apply = <To extends string, From extends string>(
  toFromFrom: Transform<To, From>,
  p: Point3<From>,
): Point3<To> => ({ frame: toFromFrom.to, xyz: add(rotated(toFromFrom.rotation, p.xyz), toFromFrom.translation) });

/** The direction in `To` coordinates: turned, not moved. */
export const turn = <To extends string, From extends string>(
  toFromFrom: Transform<To, From>,
  d: Direction3<From>,
): Direction3<To> => ({ frame: toFromFrom.to, direction: rotated(toFromFrom.rotation, d.direction) });

/** The plane in `To` coordinates. */
export function applyToPlane<To extends string, From extends string>(
  toFromFrom: Transform<To, From>,
  plane: Plane<From>,
): Plane<To> {
  const normal = rotated(toFromFrom.rotation, plane.normal);
  return { frame: toFromFrom.to, normal, offset: plane.offset + dot(normal, toFromFrom.translation) };
}

/** First `bFromC`, then `aFromB`; the middle names must match. */
export const compose = <A extends string, B extends string, C extends string>(
  aFromB: Transform<A, B>,
  bFromC: Transform<B, C>,
): Transform<A, C> => ({
  to: aFromB.to,
  from: bFromC.from,
  rotation: product(aFromB.rotation, bFromC.rotation),
  translation: add(rotated(aFromB.rotation, bFromC.translation), aFromB.translation),
});

export function invert<To extends string, From extends string>(toFromFrom: Transform<To, From>): Transform<From, To> {
  const rotation = transposed(toFromFrom.rotation);
  return {
    to: toFromFrom.from,
    from: toFromFrom.to,
    rotation,
    translation: scaled(rotated(rotation, toFromFrom.translation), -1),
  };
}

/**
 * The transform into a frame with the given origin and axes, all stated in `From`.
 *
 * @param third the third axis, any length
 * @param secondNear the second axis before it is made square to the third
 */
export function transformToAxes<To extends string, From extends string>(
  to: To,
  origin: Point3<From>,
  third: Vec3,
  secondNear: Vec3,
): Transform<To, From> {
  const rotation = rotationToAxes(third, secondNear);
  return { to, from: origin.frame, rotation, translation: scaled(rotated(rotation, origin.xyz), -1) };
}
