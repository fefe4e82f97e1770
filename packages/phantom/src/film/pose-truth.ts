import { rotated, subtract } from '@kerfline/geometry';
import { outside, type Q } from '@kerfline/knee';
import { type BentLimb, flexionOf } from './bent-limb.ts';
import type { FilmLimb } from './film-limb.ts';

/** Angles of a limb as it stands, seen along the femur's own axes (not on the film), radians. */
export interface PoseAngles {
  readonly limbVarus: number;
  readonly flexion: number;
  /** + when the joint is open laterally. */
  readonly jointConvergence: number | undefined;
}

export function poseAngles(limb: FilmLimb, bent: BentLimb): PoseAngles {
  const tibiaUp = rotated(bent.motion('tibia').rotation, limb.tibiaUp);
  return {
    limbVarus: Math.atan2(tibiaUp[0], tibiaUp[2]),
    flexion: flexionOf(tibiaUp),
    jointConvergence: convergence(limb, bent),
  };
}

/** Opening of the joint in the femur's front view, + lateral, radians. */
function convergence(limb: FilmLimb, bent: BentLimb): number | undefined {
  const tilt = (medial: string, lateral: string): number | undefined => {
    const [a, b] = [limb.sites[medial], limb.sites[lateral]];
    if (!a || !b) return undefined;
    const line = subtract(bent.at(b), bent.at(a));
    return Math.atan2(line[2], line[0]);
  };
  const condyles = tilt('distalMedial', 'distalLateral');
  const plateau = tilt('plateauMedial', 'plateauLateral');
  return condyles === undefined || plateau === undefined ? undefined : condyles - plateau;
}

/** Quantities of the scan's pose, those of the limb moved to the pose of the film. */
export function asItStands(
  scanned: Readonly<Record<string, Q>>,
  { limbVarus, jointConvergence }: PoseAngles,
): Readonly<Record<string, Q>> {
  const now: Record<string, number | undefined> = {
    HKA: 180 - outside(limbVarus, 'deg'),
    JLCA: jointConvergence === undefined ? undefined : outside(jointConvergence, 'deg'),
  };
  const [limb, clinical] = [scanned.HKA?.value, scanned.clinicalHKA?.value];
  if (limb != null && clinical != null) now.clinicalHKA = now.HKA! + clinical - limb;
  return Object.fromEntries(
    Object.entries(scanned).map(([name, q]) => [
      name,
      now[name] === undefined || q.value === null ? q : { ...q, value: now[name] },
    ]),
  );
}
