import { add, along, scaled, unit, unitSquareTo, type Vec3 } from '@kerfline/geometry';
import { fromDegrees } from './degrees.ts';
import { DRAWN_DEPTH_MM } from './femur-distal.ts';
import type { FemurParameters } from './knee-parameters.ts';

/** Where the axis of the shaft meets the level of the knee centre, forward of it, mm. Working default, no source. */
const CANAL_FORWARD_MM = 9;

export interface ShaftAxis {
  /** L and A at a height P, mm. */
  readonly at: (level: number) => readonly [number, number];
  /** Where the axis of the neck meets it. */
  readonly neckBase: Vec3;
  /** From the neck base to the head centre, unit. */
  readonly neck: Vec3;
}

/** The notch's front edge, and with it the measured knee centre, lies this far below the drawing's origin, mm. */
const KNEE_CENTRE_BELOW_MM = 1.2;

/** Centre of the femoral head in the drawn frame, mm. */
export const headCentre = (femur: FemurParameters): Vec3 => [
  0,
  0,
  femur.lengthMm - KNEE_CENTRE_BELOW_MM * (femur.lateralDepthMm / DRAWN_DEPTH_MM),
];

/**
 * The axis of the shaft as a curve: a straight line and a parabola for the bow, in L and in A.
 *
 * Its top is where the neck meets it (from offset, neck-shaft angle and anteversion); its direction 20 to 50 % of the way
 * up is `shaftMechanicalDeg`. Where it leaves the bone at the knee follows from the two.
 */
export function shaftAxis(femur: FemurParameters): ShaftAxis {
  const length = femur.lengthMm;
  // A parabola of this height over the whole length turns by the bow between its lower and upper half.
  const bowL = (fromDegrees(femur.coronalBowDeg) * length) / 4;
  const bowA = (fromDegrees(femur.sagittalBowDeg) * length) / 4;
  // The middle of the window from 20 to 50 % of the total length, seen from the knee centre.
  const window = 0.36;
  const slopeL = Math.tan(fromDegrees(femur.shaftMechanicalDeg)) - (bowL / length) * 4 * (1 - 2 * window);
  const version = fromDegrees(femur.anteversionDeg);
  const head = headCentre(femur);
  let neckBase: Vec3 = [0, 0, 0];
  let neck: Vec3 = [0, 0, 1];
  let [startL, slopeA] = [0, 0];
  let proximal: Vec3 = unit([slopeL, 0, 1]);
  for (let round = 0; round < 6; round += 1) {
    const inward = unitSquareTo([-Math.cos(version), Math.sin(version), 0], proximal);
    const bend = fromDegrees(femur.neckShaftDeg - 90);
    neck = add(scaled(inward, Math.cos(bend)), scaled(proximal, Math.sin(bend)));
    neckBase = along(head, neck, -femur.headOffsetMm / Math.cos(bend));
    const t = neckBase[2] / length;
    startL = neckBase[0] - slopeL * neckBase[2] - bowL * 4 * t * (1 - t);
    slopeA = (neckBase[1] - CANAL_FORWARD_MM - bowA * 4 * t * (1 - t)) / neckBase[2];
    proximal = unit([slopeL + (bowL / length) * 4 * (1 - 2 * t), slopeA + (bowA / length) * 4 * (1 - 2 * t), 1]);
  }
  return {
    at: (level) => {
      const t = level / length;
      return [
        startL + slopeL * level + bowL * 4 * t * (1 - t),
        CANAL_FORWARD_MM + slopeA * level + bowA * 4 * t * (1 - t),
      ];
    },
    neckBase,
    neck,
  };
}
