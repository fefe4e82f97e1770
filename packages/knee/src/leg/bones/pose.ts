import { dot, product, type Rotation, subtract, type Vec3 } from '@kerfline/geometry';
import { placedBack } from './bone-surface.ts';

/** A frame by its axes (rows) and origin, both stated in another frame. */
export interface Pose {
  readonly axes: Rotation;
  readonly origin: Vec3;
}

/** The pose of `inner`, which is stated in the frame of `outer`, in the frame that `outer` is stated in. */
export const within = (outer: Pose, inner: Pose): Pose => ({
  axes: product(inner.axes, outer.axes),
  origin: placedBack(inner.origin, outer.axes, outer.origin),
});

/** A point's coordinates in a frame. */
export const seenIn = (pose: Pose, p: Vec3): Vec3 => {
  const d = subtract(p, pose.origin);
  return [dot(pose.axes[0], d), dot(pose.axes[1], d), dot(pose.axes[2], d)];
};

/** A vector's components along a frame's axes. */
export const turnedInto = (pose: Pose, v: Vec3): Vec3 => [
  dot(pose.axes[0], v),
  dot(pose.axes[1], v),
  dot(pose.axes[2], v),
];
