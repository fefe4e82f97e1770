import { dot, type Vec3 } from '@kerfline/geometry';
import type { CutName } from '../guides/guide.ts';

/** A cut: the surface that is left on the bone, in the bone's clinical frame. */
export interface CutPlane {
  readonly cut: CutName;
  /** Unit; P-ward for tibia and distal femur, A-ward for the cuts behind and in front. */
  readonly normal: Vec3;
  /** normal . x = offset on the retained surface, mm. */
  readonly offset: number;
  /** Thickness that the saw turns to dust between piece and bone, mm. */
  readonly kerf: number;
}

/** Which of the frame's axes a cut's normal is near, and which way along it lies the bone that is kept. */
export function cutDirection(cut: CutName): { readonly axis: 1 | 2; readonly into: 1 | -1 } {
  switch (cut) {
    case 'tibia':
      return { axis: 2, into: -1 };
    case 'distalFemur':
      return { axis: 2, into: 1 };
    case 'posteriorFemur':
    case 'posteriorChamfer':
      return { axis: 1, into: 1 };
    case 'anteriorFemur':
    case 'anteriorChamfer':
      return { axis: 1, into: -1 };
    case 'kneecap':
      return { axis: 1, into: 1 };
  }
}

/** Distance from a point to the retained surface, square to the cut, mm; positive when the point is removed. */
export const resection = (plane: CutPlane, p: Vec3): number =>
  cutDirection(plane.cut).into * (plane.offset - dot(plane.normal, p));

/** Angles of a cut, radians, in clinical words: positive as named (docs/frames.md). */
export const tibiaVarus = (n: Vec3): number => Math.atan2(-n[0], n[2]);
export const tibiaSlope = (n: Vec3): number => Math.atan2(-n[1], n[2]);
export const femurValgus = (n: Vec3): number => Math.atan2(-n[0], n[2]);
export const femurFlexion = (n: Vec3): number => Math.atan2(n[1], n[2]);
export const femurRotation = (n: Vec3): number => Math.atan2(n[0], n[1]);
