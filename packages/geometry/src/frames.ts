import { length, subtract, unit, type Vec3 } from './vec3.ts';

/** A place, in mm, with the name of the frame its coordinates are in. The frame is data as well as a type. */
export interface Point3<in out F extends string> {
  readonly frame: F;
  readonly xyz: Vec3;
}

/** A unit vector with its frame: it turns with a transform but does not move. */
export interface Direction3<in out F extends string> {
  readonly frame: F;
  readonly direction: Vec3;
}

/** All points with `normal . x = offset`; `normal` is a unit vector, `offset` in mm. */
export interface Plane<in out F extends string> {
  readonly frame: F;
  readonly normal: Vec3;
  readonly offset: number;
}

export const point = <F extends string>(frame: F, xyz: Vec3): Point3<F> => ({ frame, xyz });

/** A direction from any non-zero vector; a zero vector throws. */
export const direction = <F extends string>(frame: F, vector: Vec3): Direction3<F> => ({
  frame,
  direction: unit(vector),
});

/** Distance between two points of one frame, mm. */
export const distance = <F extends string>(a: Point3<F>, b: Point3<F>): number => length(subtract(a.xyz, b.xyz));

/** Unit direction from `a` to `b`; coincident points throw. */
export const directionBetween = <F extends string>(a: Point3<F>, b: Point3<F>): Direction3<F> =>
  direction(a.frame, subtract(b.xyz, a.xyz));
