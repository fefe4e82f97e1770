import { add, type Rotation, rotated, rotationAbout, subtract, type Vec3 } from '@kerfline/geometry';
import type { FilmLimb, LimbBone, LimbSite } from './film-limb.ts';

/** A limb with its knee bent: where its places went, in the limb's frame. */
export interface BentLimb {
  /** Right-handed turn about the bend line, radians, that took the pose of the scan to this one; bending more is negative. */
  readonly turned: number;
  readonly at: (site: LimbSite) => Vec3;
  /** What a bone did: `rotation x + shift`, mm. */
  readonly motion: (on: LimbBone) => { readonly rotation: Rotation; readonly shift: Vec3 };
}

/** Bend of a knee in its femur's side view, radians: + when the far end of the tibia lies behind. */
export const flexionOf = (tibiaUp: Vec3): number => Math.atan2(tibiaUp[1], tibiaUp[2]);

/** @numerical Rounds after which the bend has long stood still, and the change that counts as none, radians. */
const rounds = 40;
const standstill = 1e-13;

/**
 * Bends the knee about the line of its side points until the mechanical axes meet at `flex` (radians) in the femur's side view,
 * whatever the bend in the scan was. Tibia, fibula and kneecap turn as one; nothing slides.
 */
export function bentLimb(limb: FilmLimb, flex: number): BentLimb {
  const { through, toward } = limb.bendLine;
  // The line is nearly square to the axis, so a turn about it changes the bend by nearly itself.
  let turned = 0;
  for (let round = 0; round < rounds; round += 1) {
    const off = flex - flexionOf(rotated(rotationAbout(toward, turned), limb.tibiaUp));
    turned -= off;
    if (Math.abs(off) < standstill) break;
  }
  const rotation = rotationAbout(toward, turned);
  const still = { rotation: rotationAbout(toward, 0), shift: [0, 0, 0] } as const;
  const moving = { rotation, shift: subtract(through, rotated(rotation, through)) };
  const motion = (on: LimbBone) => (on === 'femur' ? still : moving);
  return { turned, motion, at: ({ on, at }) => add(rotated(motion(on).rotation, at), motion(on).shift) };
}
