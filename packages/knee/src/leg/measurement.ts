import type { Finding } from '@kerfline/geometry';
import { covarianceOf, has, meanVectorOf } from '@kerfline/uncertainty';
import type { Q } from '../quantity.ts';
import type { Side } from '../side.ts';
import { type BoneFrame, boneFromScanMatrix, covarianceOutOfBone, outOfBone } from './bone-frame.ts';
import type { LegFromBones } from './leg-from-bones.ts';
import { quantities } from './quantities.ts';

type Triple = readonly [number, number, number];

/** A landmark as it lies in the scan's own frame. */
export type Landmark =
  | { readonly xyzMm: Triple; readonly covMm2: readonly [Triple, Triple, Triple] }
  | { readonly xyzMm: null; readonly covMm2: null; readonly unknown: string };

/** What `measure` gives: frames, landmarks in the scan, quantities with their spreads, and findings. */
export interface Measurement {
  readonly side: Side;
  /** 4x4, row by row; a left leg's holds the border mirror. */
  readonly frames: { readonly femurFromScan: readonly number[]; readonly tibiaFromScan: readonly number[] };
  readonly landmarks: Readonly<Record<string, Landmark>>;
  readonly quantities: Readonly<Record<string, Q>>;
  readonly findings: readonly Finding[];
}

const femurLandmarks = [
  'hipCentre',
  'femoralKneeCentre',
  'distalMedial',
  'distalLateral',
  'posteriorMedial',
  'posteriorLateral',
  'epicondyleMedial',
  'epicondyleLateral',
  'anteriorCortex',
] as const;

const tibiaLandmarks = [
  'tibialKneeCentre',
  'plateauMedial',
  'plateauLateral',
  'tubercle',
  'malleolusMedial',
  'malleolusLateral',
  'malleolarMidpoint',
  'plafondCentre',
] as const;

const patellaLandmarks = ['patellaAnterior', 'patellaFacetMedial', 'patellaFacetLateral'] as const;

/** The measurement of a leg on its bones, as it leaves the house. */
export function measurement({ leg, femurFrame, tibiaFrame, patellaFrame }: LegFromBones): Measurement {
  const landmarkIn = <F extends string>(frame: BoneFrame<F> | undefined, name: string): Landmark => {
    if (!frame || !has(leg.belief, name)) {
      return { xyzMm: null, covMm2: null, unknown: leg.unknown[name] ?? 'not found' };
    }
    const own = frame.boneFromRight.to;
    return {
      xyzMm: outOfBone(frame, { frame: own, xyz: meanVectorOf(leg.belief, name) }).xyz,
      covMm2: covarianceOutOfBone(frame, covarianceOf(leg.belief, name)),
    };
  };
  const landmarks = Object.fromEntries([
    ...femurLandmarks.map((name) => [name, landmarkIn(femurFrame, name)]),
    ...tibiaLandmarks.map((name) => [name, landmarkIn(tibiaFrame, name)]),
    ['ankleCentre', landmarkIn(tibiaFrame, 'malleolarMidpoint')],
    ...patellaLandmarks.map((name) => [name, landmarkIn(patellaFrame, name)]),
  ]);
  return {
    side: leg.side,
    frames: { femurFromScan: boneFromScanMatrix(femurFrame), tibiaFromScan: boneFromScanMatrix(tibiaFrame) },
    landmarks,
    quantities: quantities(leg),
    findings: leg.findings,
  };
}
