import { dot, subtract, type Vec3 } from '@kerfline/geometry';
import type { Belief } from '@kerfline/uncertainty';
import { cortexHeightsMm, cortexName } from '../sites.ts';
import { placedBack, turnedBack } from './bone-surface.ts';
import type { FemurLandmarks } from './femur-landmarks.ts';
import type { PatellaLandmarks } from './patella-landmarks.ts';
import { type Pose, seenIn, turnedInto } from './pose.ts';
import type { TibiaLandmarks } from './tibia-landmarks.ts';

/** What one run of the measurement found, by name: mm and radians, vectors in the mean frame of their bone. */
export type RunValues = ReadonlyMap<string, number | Vec3>;

/** Values of a femur run, moved from its own frame into the mean frame. */
export function femurValues(l: FemurLandmarks, own: Pose, mean: Pose): RunValues {
  const at = (p: Vec3): Vec3 => seenIn(mean, placedBack(p, own.axes, own.origin));
  const values = new Map<string, number | Vec3>([
    ['hipCentre', at(l.hipCentre)],
    ['femoralKneeCentre', at(l.femoralKneeCentre)],
    ['distalMedial', at(l.distalMedial)],
    ['distalLateral', at(l.distalLateral)],
    ['posteriorMedial', at(l.posteriorMedial)],
    ['posteriorLateral', at(l.posteriorLateral)],
    ['epicondyleMedial', at(l.epicondyleMedial)],
    ['epicondyleLateral', at(l.epicondyleLateral)],
    ['trochlearGroove', at(l.trochlearGroove)],
    ['anteriorCortex', at(l.anteriorCortex)],
    ['femoralCanalLow', at(l.canalLow)],
    ['femoralCanalHigh', at(l.canalHigh)],
    ['headRadius', l.headRadius],
    ['femurWidth', l.widthAt9],
    ['femurDepth', l.depthAt9],
  ]);
  cortexHeightsMm.forEach((h, k) => {
    values.set(cortexName(h), at([0, l.cortexA[k]!, 0])[1]);
  });
  return values;
}

/** Values of a tibia run, moved from its own frame into the mean frame. */
export function tibiaValues(l: TibiaLandmarks, own: Pose, mean: Pose): RunValues {
  const at = (p: Vec3): Vec3 => seenIn(mean, placedBack(p, own.axes, own.origin));
  const lateral = turnedBack([1, 0, 0], own.axes);
  const slope = (n: Vec3): number => Math.atan2(-n[1], n[2]);
  const values = new Map<string, number | Vec3>([
    ['tibialKneeCentre', at(l.tibialKneeCentre)],
    ['malleolusMedial', at(l.malleolusMedial)],
    ['plafondCentre', at(l.plafondCentre)],
    ['malleolarMidpoint', at(l.ankleCentre)],
    ['plateauMedial', at(l.plateauMedial)],
    ['plateauLateral', at(l.plateauLateral)],
    ['medialRimFront', at(l.medialRimFront)],
    ['medialRimRear', at(l.medialRimRear)],
    ['tubercle', at(l.tubercle)],
    ['tibialCanalLow', at(l.canalLow)],
    ['tibialCanalHigh', at(l.canalHigh)],
    ['crestUpper', at(l.crestUpper)],
    ['crestLower', at(l.crestLower)],
    ['plateauSlopeMedial', slope(l.plateauMedialNormal)],
    ['plateauSlopeLateral', slope(l.plateauLateralNormal)],
    ['tibialLineTurn', Math.atan2(dot(mean.axes[1], lateral), dot(mean.axes[0], lateral))],
    ['ankleOffset', l.ankleCentre[0] - l.plafondCentre[0]],
    ['tibiaWidth', l.widthAt10],
    ['tibiaDepth', l.depthAt10],
  ]);
  if (l.malleolusLateral) values.set('malleolusLateral', at(l.malleolusLateral));
  if (l.fibulaHead) values.set('fibulaHead', at(l.fibulaHead));
  return values;
}

/** Limb angles of the scan's pose (radians): two-axes varus, and convergence of the joint lines, open laterally. */
export function limbValues(femur: FemurLandmarks, femurPose: Pose, tibia: TibiaLandmarks, tibiaPose: Pose): RunValues {
  const up = turnedBack([0, 0, 1], tibiaPose.axes);
  const axis = turnedInto(femurPose, up);
  const plateau = turnedInto(
    femurPose,
    turnedBack(subtract(tibia.plateauLateral, tibia.plateauMedial), tibiaPose.axes),
  );
  const condyles = subtract(femur.distalLateral, femur.distalMedial);
  return new Map([
    ['limbVarus', Math.atan2(axis[0], axis[2])],
    ['jointConvergence', Math.atan2(condyles[2], condyles[0]) - Math.atan2(plateau[2], plateau[0])],
  ]);
}

/** Values of a patella run, moved from its own frame into the mean frame. */
export function patellaValues(l: PatellaLandmarks, own: Pose, mean: Pose): RunValues {
  const at = (p: Vec3): Vec3 => seenIn(mean, placedBack(p, own.axes, own.origin));
  return new Map<string, number | Vec3>([
    ['patellaAnterior', at(l.patellaAnterior)],
    ['patellaFacetMedial', at(l.patellaFacetMedial)],
    ['patellaFacetLateral', at(l.patellaFacetLateral)],
    ['patellaThickness', l.thickness],
    ['patellaWidth', l.width],
    ['patellaQuadrantUpperMedial', l.quadrants[0]],
    ['patellaQuadrantUpperLateral', l.quadrants[1]],
    ['patellaQuadrantLowerMedial', l.quadrants[2]],
    ['patellaQuadrantLowerLateral', l.quadrants[3]],
  ]);
}

function packed(values: RunValues): { readonly names: readonly string[]; readonly flat: readonly number[] } {
  return {
    names: [...values.keys()],
    flat: [...values.values()].flatMap((v) => (typeof v === 'number' ? [v] : [...v])),
  };
}

/**
 * Number of runs on disturbed surfaces that give the covariance. With so few, a spread is itself uncertain by a fifth; the
 * factor makes it that of a prediction (variance of Student's t).
 */
export const runs = 12;
const fewRunsFactor = runs / (runs - 2);

/** A belief from a base run, with the covariance of what disturbed runs changed in it. */
export function beliefFromRuns(base: RunValues, disturbed: readonly RunValues[]): Belief {
  const { names, flat } = packed(base);
  const differences = disturbed.map((run) => packed(run).flat.map((v, i) => v - flat[i]!));
  const n = flat.length;
  const covariance = new Array<number>(n * n).fill(0);
  for (const d of differences)
    for (let r = 0; r < n; r += 1)
      for (let c = 0; c < n; c += 1)
        covariance[r * n + c] = covariance[r * n + c]! + (fewRunsFactor * d[r]! * d[c]!) / differences.length;
  let at = 0;
  const slots = names.map((name) => {
    const size: 1 | 3 = typeof base.get(name) === 'number' ? 1 : 3;
    const slot = { name, size, at };
    at += size;
    return slot;
  });
  return { slots, mean: flat, covariance };
}
