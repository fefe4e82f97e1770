import type { Vec3 } from './vec3.ts';

/** A scalar field, negative inside the body and positive outside. */
export type Field = (x: number, y: number, z: number) => number;

/** Gradient by central differences over a hundredth of `scale`. */
export function gradient(field: Field, p: Vec3, scale: number): Vec3 {
  const h = scale / 100;
  return [
    (field(p[0] + h, p[1], p[2]) - field(p[0] - h, p[1], p[2])) / (2 * h),
    (field(p[0], p[1] + h, p[2]) - field(p[0], p[1] - h, p[2])) / (2 * h),
    (field(p[0], p[1], p[2] + h) - field(p[0], p[1], p[2] - h)) / (2 * h),
  ];
}
