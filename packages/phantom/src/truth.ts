import {
  compose,
  identity,
  length,
  matrix4,
  type Point3,
  point,
  type Rotation,
  rad,
  reflection,
  rotated,
  scaled,
  subtract,
  type Transform,
  toDegrees,
  transform,
  transposed,
  type Vec3,
} from '@kerfline/geometry';
import { headCentre } from './femur-axis.ts';
import { kneeBodies } from './knee-bodies.ts';
import type { KneeParameters } from './knee-parameters.ts';
import { type DrawnFrame, intoScan } from './scan-pose.ts';
import { type Axes, coordinates, type Sampling } from './surface-probe.ts';
import { femurTruth } from './truth-femur.ts';
import { patellaTruth } from './truth-patella.ts';
import { tibiaTruth } from './truth-tibia.ts';

export type FemurLandmark =
  | 'hipCentre'
  | 'femoralKneeCentre'
  | 'distalMedial'
  | 'distalLateral'
  | 'posteriorMedial'
  | 'posteriorLateral'
  | 'epicondyleMedial'
  | 'epicondyleLateral'
  | 'anteriorCortex';

export type TibiaLandmark =
  | 'tibialKneeCentre'
  | 'plateauMedial'
  | 'plateauLateral'
  | 'tubercle'
  | 'malleolusMedial'
  | 'malleolusLateral'
  | 'malleolarMidpoint'
  | 'plafondCentre'
  | 'ankleCentre';

export type PatellaLandmark = 'patellaAnterior' | 'patellaFacetMedial' | 'patellaFacetLateral';

/** One place twice: in the scan, and in its bone's own frame (L lateral, A anterior, P proximal; the same on both sides). */
export interface TrueLandmark<F extends string> {
  readonly scan: Point3<'scan'>;
  readonly bone: Point3<F>;
}

export type TrueQuantityName =
  | 'LDFA'
  | 'MPTA'
  | 'HKA'
  | 'JLCA'
  | 'shaftMechanical'
  | 'slope'
  | 'condylarTwist'
  | 'headRadius'
  | 'femurLength'
  | 'tibiaLength'
  | 'femurWidth'
  | 'femurDepth'
  | 'tibiaWidth'
  | 'tibiaDepth'
  | 'distalSpacing'
  | 'posteriorSpacing'
  | 'plateauSpacing'
  | 'ankleOffset'
  | 'patellaThickness'
  | 'patellaWidth';

export interface TrueQuantity {
  readonly value: number;
  readonly unit: 'deg' | 'mm';
}

export interface PhantomTruth {
  readonly side: 'left' | 'right';
  readonly landmarks: { readonly [K in FemurLandmark]: TrueLandmark<'femur'> } & {
    readonly [K in TibiaLandmark]: TrueLandmark<'tibia'>;
  } & { readonly [K in PatellaLandmark]: TrueLandmark<'patella'> };
  readonly quantities: { readonly [K in TrueQuantityName]: TrueQuantity };
  /** Sixteen numbers, row by row, from the scan into a bone's frame; a left knee's contain the mirror. */
  readonly frames: {
    readonly femurFromScan: readonly number[];
    readonly tibiaFromScan: readonly number[];
    readonly patellaFromScan: readonly number[];
  };
}

/** Fine enough for 0.02 mm and 0.02 degrees. */
const SAMPLING: Sampling = { stepMm: 2, rays: 96 };

/**
 * Landmarks and quantities of a virtual knee, by the definitions of the reference bones (docs/methods.md), from its implicit
 * surfaces alone: no mesh, and no code shared with the program that measures bones. A surface is looked at along rays on
 * fine grids, the best place refined, and axes and places are found again until they stand still.
 *
 * Signs: LDFA on the lateral, MPTA on the medial side; HKA 180 straight and below it varus, in the pose of the scan; JLCA +
 * open laterally; shaftMechanical + when the canal's top leans lateral; slope + falling backward (medial rim);
 * condylarTwist + external; ankleOffset + when the middle between the malleoli is lateral of the plafond's centre. HKA and
 * JLCA are seen in the femur's L-P plane. Spacings are along L of their bone. `ankleCentre` is `malleolarMidpoint`.
 *
 * @param sampling coarser or finer than the default, to see how much it matters
 */
export function phantomTruth(knee: KneeParameters, sampling: Sampling = SAMPLING): PhantomTruth {
  const bodies = kneeBodies(knee);
  const { placement } = bodies;
  const femur = femurTruth(bodies.femur.field, headCentre(knee.femur), sampling);
  const tibia = tibiaTruth(bodies.tibia.field, bodies.fibula.field, knee.tibia.lengthMm, sampling);
  const femurLateral = rotated(
    transposed(placement.scanFromPatella.rotation),
    rotated(placement.scanFromFemur.rotation, femur.axes.l),
  );
  const patella = patellaTruth(bodies.patella.field, femurLateral, sampling);

  const landmark =
    <D extends DrawnFrame, F extends string>(
      drawn: D,
      bone: F,
      axes: Axes,
      scanFromDrawn: Transform<'right-scan', D>,
    ) =>
    (at: Vec3): TrueLandmark<F> => ({
      scan: intoScan(placement, scanFromDrawn, point(drawn, at)),
      bone: point(bone, coordinates(axes, at)),
    });
  const onFemur = landmark('drawn-femur', 'femur', femur.axes, placement.scanFromFemur);
  const onTibia = landmark('drawn-tibia', 'tibia', tibia.axes, placement.scanFromTibia);
  const onPatella = landmark('drawn-patella', 'patella', patella.axes, placement.scanFromPatella);

  // Directions of the tibia, seen in the femur's axes.
  const femurFromTibia = (d: Vec3): Vec3 => {
    const inScan = rotated(placement.scanFromTibia.rotation, d);
    return coordinates(turnedAxes(placement.scanFromFemur, femur.axes), inScan);
  };
  const distalLine = subtract(
    coordinates(femur.axes, femur.distalLateral),
    coordinates(femur.axes, femur.distalMedial),
  );
  const plateauLine = subtract(
    coordinates(tibia.axes, tibia.plateauLateral),
    coordinates(tibia.axes, tibia.plateauMedial),
  );
  const epicondyles = subtract(
    coordinates(femur.axes, femur.epicondyleLateral),
    coordinates(femur.axes, femur.epicondyleMedial),
  );
  const canal = coordinates({ ...femur.axes, origin: [0, 0, 0] }, femur.canal.direction);
  const plateauOnFemur = femurFromTibia(subtract(tibia.plateauLateral, tibia.plateauMedial));
  const tibiaOnFemur = femurFromTibia(tibia.axes.p);
  const rise = ([l, , p]: Vec3): number => Math.atan2(p, l);
  const angle = (radians: number): TrueQuantity => ({ value: toDegrees(rad(radians)), unit: 'deg' });
  const distance = (value: number): TrueQuantity => ({ value, unit: 'mm' });
  const alongL = (axes: Axes, from: Vec3, to: Vec3): number => coordinates(axes, to)[0] - coordinates(axes, from)[0];

  return {
    side: knee.side,
    landmarks: {
      hipCentre: onFemur(femur.hipCentre),
      femoralKneeCentre: onFemur(femur.kneeCentre),
      distalMedial: onFemur(femur.distalMedial),
      distalLateral: onFemur(femur.distalLateral),
      posteriorMedial: onFemur(femur.posteriorMedial),
      posteriorLateral: onFemur(femur.posteriorLateral),
      epicondyleMedial: onFemur(femur.epicondyleMedial),
      epicondyleLateral: onFemur(femur.epicondyleLateral),
      anteriorCortex: onFemur(femur.anteriorCortex),
      tibialKneeCentre: onTibia(tibia.kneeCentre),
      plateauMedial: onTibia(tibia.plateauMedial),
      plateauLateral: onTibia(tibia.plateauLateral),
      tubercle: onTibia(tibia.tubercle),
      malleolusMedial: onTibia(tibia.malleolusMedial),
      malleolusLateral: onTibia(tibia.malleolusLateral),
      malleolarMidpoint: onTibia(tibia.malleolarMidpoint),
      plafondCentre: onTibia(tibia.plafondCentre),
      ankleCentre: onTibia(tibia.malleolarMidpoint),
      patellaAnterior: onPatella(patella.anterior),
      patellaFacetMedial: onPatella(patella.facetMedial),
      patellaFacetLateral: onPatella(patella.facetLateral),
    },
    quantities: {
      LDFA: angle(Math.PI / 2 - rise(distalLine)),
      MPTA: angle(Math.PI / 2 - rise(plateauLine)),
      HKA: angle(Math.PI - Math.atan2(tibiaOnFemur[0], tibiaOnFemur[2])),
      JLCA: angle(rise(distalLine) - rise(plateauOnFemur)),
      shaftMechanical: angle(Math.atan2(canal[0], canal[2])),
      slope: angle(tibia.slope),
      condylarTwist: angle(Math.atan2(-epicondyles[1], epicondyles[0])),
      headRadius: distance(femur.headRadiusMm),
      femurLength: distance(length(subtract(femur.hipCentre, femur.kneeCentre))),
      tibiaLength: distance(length(subtract(tibia.kneeCentre, tibia.malleolarMidpoint))),
      femurWidth: distance(femur.widthMm),
      femurDepth: distance(femur.depthMm),
      tibiaWidth: distance(tibia.widthMm),
      tibiaDepth: distance(tibia.depthMm),
      distalSpacing: distance(alongL(femur.axes, femur.distalMedial, femur.distalLateral)),
      posteriorSpacing: distance(alongL(femur.axes, femur.posteriorMedial, femur.posteriorLateral)),
      plateauSpacing: distance(alongL(tibia.axes, tibia.plateauMedial, tibia.plateauLateral)),
      ankleOffset: distance(alongL(tibia.axes, tibia.plafondCentre, tibia.malleolarMidpoint)),
      patellaThickness: distance(patella.thicknessMm),
      patellaWidth: distance(patella.widthMm),
    },
    frames: {
      femurFromScan: fromScan(femur.axes, placement.scanFromFemur, knee.side),
      tibiaFromScan: fromScan(tibia.axes, placement.scanFromTibia, knee.side),
      patellaFromScan: fromScan(patella.axes, placement.scanFromPatella, knee.side),
    },
  };
}

/** A bone's axes as directions of the right scan, with the scan's origin. */
function turnedAxes<D extends DrawnFrame>(scanFromDrawn: Transform<'right-scan', D>, axes: Axes): Axes {
  const turn = (d: Vec3): Vec3 => rotated(scanFromDrawn.rotation, d);
  return { origin: [0, 0, 0], l: turn(axes.l), a: turn(axes.a), p: turn(axes.p) };
}

function fromScan<D extends DrawnFrame>(
  axes: Axes,
  scanFromDrawn: Transform<'right-scan', D>,
  side: 'left' | 'right',
): readonly number[] {
  const turned = turnedAxes(scanFromDrawn, axes);
  const origin = subtract(rotated(scanFromDrawn.rotation, axes.origin), scaled(scanFromDrawn.translation, -1));
  const rotation: Rotation = [turned.l, turned.a, turned.p];
  const boneFromScan = transform('bone', 'right-scan', rotation, scaled(rotated(rotation, origin), -1));
  return side === 'right'
    ? matrix4(compose(boneFromScan, identity('right-scan')))
    : matrix4(boneFromScan, reflection('right-scan', 'scan', [1, 0, 0]));
}
