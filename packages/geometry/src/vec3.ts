/** Three coordinates without a frame; a frame is added by `Point3`, `Direction3` or `Plane`. */
export type Vec3 = readonly [number, number, number];

export const add = (a: Vec3, b: Vec3): Vec3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const subtract = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scaled = (a: Vec3, factor: number): Vec3 => [a[0] * factor, a[1] * factor, a[2] * factor];
/** `a + factor * b`. */
export const along = (a: Vec3, b: Vec3, factor: number): Vec3 => [
  a[0] + factor * b[0],
  a[1] + factor * b[1],
  a[2] + factor * b[2],
];
export const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const length = (a: Vec3): number => Math.sqrt(dot(a, a));
export const midpoint = (a: Vec3, b: Vec3): Vec3 => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];

/** `a` at length 1. A zero or non-finite vector is broken code and throws. */
export function unit(a: Vec3): Vec3 {
  const size = length(a);
  if (!(size > 0) || !Number.isFinite(size)) throw new Error(`no direction in (${a.join(', ')})`);
  return [a[0] / size, a[1] / size, a[2] / size];
}

/** The part of `a` square to the unit vector `axis`, at length 1. */
export const unitSquareTo = (a: Vec3, axis: Vec3): Vec3 => unit(along(a, axis, -dot(a, axis)));

/** Angle between two vectors, 0 to pi radians; accurate near 0 and pi. */
export const angleBetween = (a: Vec3, b: Vec3): number => Math.atan2(length(cross(a, b)), dot(a, b));
