import {
  apply,
  compose,
  type Point3,
  point,
  product,
  type Reflection,
  reflection,
  rotated,
  rotationAbout,
  subtract,
  type Transform,
  transform,
  type Vec3,
} from '@kerfline/geometry';
import { type Body, STEEPNESS } from './body.ts';
import { fromDegrees } from './degrees.ts';
import type { KneeParameters } from './knee-parameters.ts';
import { plateauLevel } from './leg-frame.ts';
import { entry } from './surface-ray.ts';

/** Frames in which each bone is drawn: side-free L, A, P of that bone, mm. */
export type DrawnFrame = 'drawn-femur' | 'drawn-tibia' | 'drawn-patella';

/**
 * Where the bones of one knee lie in the scan.
 *
 * `right-scan` is the scan of a right knee: x toward the patient's left, y backward, z toward the head. A left knee is its
 * mirror image across x = 0, made once, when a bone leaves for the scan.
 */
export interface ScanPlacement {
  readonly scanFromFemur: Transform<'right-scan', 'drawn-femur'>;
  readonly scanFromTibia: Transform<'right-scan', 'drawn-tibia'>;
  readonly scanFromPatella: Transform<'right-scan', 'drawn-patella'>;
  /** Only for a left knee. */
  readonly mirror?: Reflection<'scan', 'right-scan'>;
}

const X: Vec3 = [1, 0, 0];
const Y: Vec3 = [0, 1, 0];
const Z: Vec3 = [0, 0, 1];

/** Where the knee of the right leg lies in the scan, mm: right of the middle, well below the hips. Working default, no source. */
const KNEE_IN_SCAN_MM: Vec3 = [-85, 20, -420];

/** Room between patella and femur along A, mm: two layers of cartilage. Working default, no source. */
const PATELLA_GAP_MM = 4;

/**
 * Puts the bones of a knee together as in a scan of a lying patient: tibia under the femur with the wanted flexion,
 * rotation, joint line convergence and gap; patella before the groove.
 */
export function scanPlacement(knee: KneeParameters, femur: Body, tibia: Body, patella: Body): ScanPlacement {
  const { pose } = knee;
  const femurFromTibia = placedTibia(knee, femur, tibia);
  const femurFromPatella = placedPatella(knee, femur, patella);
  // The mechanical axis leans by the adduction; the whole limb turns about the table's long axis.
  const turned = product(
    rotationAbout(Z, fromDegrees(180 - pose.limbRotationDeg)),
    rotationAbout(Y, fromDegrees(pose.limbAdductionDeg)),
  );
  const scanFromFemur = transform('right-scan', 'drawn-femur', turned, KNEE_IN_SCAN_MM);
  const placement = {
    scanFromFemur,
    scanFromTibia: compose(scanFromFemur, femurFromTibia),
    scanFromPatella: compose(scanFromFemur, femurFromPatella),
  };
  return knee.side === 'right' ? placement : { ...placement, mirror: reflection('scan', 'right-scan', X) };
}

/** Takes a drawn bone's point into the scan. */
export function intoScan<F extends string>(
  placement: ScanPlacement,
  scanFromBone: Transform<'right-scan', F>,
  p: Point3<F>,
): Point3<'scan'> {
  const { xyz } = apply(scanFromBone, p);
  return point('scan', placement.mirror ? [-xyz[0], xyz[1], xyz[2]] : xyz);
}

function placedTibia(knee: KneeParameters, femur: Body, tibia: Body): Transform<'drawn-femur', 'drawn-tibia'> {
  const { pose, boneLoss: loss } = knee;
  // What is worn away on one side tips the joint lines, and the bones close up over it.
  const tipped = (medial: number, lateral: number, spacing: number): number =>
    (Math.atan2(medial - lateral, spacing) * 180) / Math.PI;
  const varus =
    knee.femur.ldfaDeg +
    tipped(loss.distalMedialMm, loss.distalLateralMm, knee.femur.distalSpacingMm) -
    knee.tibia.mptaDeg +
    tipped(loss.plateauMedialMm, loss.plateauLateralMm, knee.tibia.plateauSpacingMm) +
    pose.jlcaDeg;
  // Varus brings the foot medial (-L): P of the tibia leans lateral. Flexion brings the foot backward: P leans forward.
  const rotation = product(
    rotationAbout(X, fromDegrees(-pose.flexionDeg)),
    product(rotationAbout(Y, fromDegrees(varus)), rotationAbout(Z, fromDegrees(-pose.tibialRotationDeg))),
  );
  // The middle of the plateaus comes to lie under the distal condyles, at first far below them.
  const middle = rotated(rotation, [1.4, 3, 0]);
  const under: Vec3 = [0.5, -0.14 * knee.femur.lateralDepthMm, -200];
  const start = transform('drawn-femur', 'drawn-tibia', rotation, subtract(under, middle));
  let least = Number.POSITIVE_INFINITY;
  const half = { l: knee.tibia.widthMm * 0.46, a: knee.tibia.depthMm * 0.46 };
  for (let l = -half.l; l <= half.l; l += 2) {
    for (let a = 3 - half.a; a <= 3 + half.a; a += 2) {
      const drop = entry(tibia.field, [l, a, 20], [0, 0, -1], 20 - plateauLevel(knee.tibia) + 10, STEEPNESS);
      if (drop === undefined) continue;
      const from = apply(start, point('drawn-tibia', [l, a, 20 - drop])).xyz;
      const lift = entry(femur.field, [from[0], from[1], -60], Z, 120, STEEPNESS);
      if (lift !== undefined) least = Math.min(least, lift - 60 - from[2]);
    }
  }
  return {
    ...start,
    translation: [start.translation[0], start.translation[1], start.translation[2] + least - pose.jointGapMm],
  };
}

function placedPatella(knee: KneeParameters, femur: Body, patella: Body): Transform<'drawn-femur', 'drawn-patella'> {
  const rotation = rotationAbout(X, 0);
  const [l0, p0] = [2.5, 0.44 * knee.femur.lateralDepthMm];
  let least = Number.POSITIVE_INFINITY;
  const half = { l: knee.patella.widthMm / 2, p: knee.patella.heightMm / 2 };
  for (let l = -half.l; l <= half.l; l += 2) {
    for (let p = -half.p; p <= half.p; p += 2) {
      const behind = entry(patella.field, [l, -40, p], Y, 60, STEEPNESS);
      const front = entry(femur.field, [l0 + l, 80, p0 + p], [0, -1, 0], 100, STEEPNESS);
      if (behind !== undefined && front !== undefined) least = Math.min(least, behind - 40 - (80 - front));
    }
  }
  return transform('drawn-femur', 'drawn-patella', rotation, [l0, PATELLA_GAP_MM - least, p0]);
}
