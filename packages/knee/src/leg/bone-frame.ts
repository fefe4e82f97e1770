import {
  apply,
  compose,
  invert,
  type Mesh,
  matrix4,
  moved,
  type Point3,
  point,
  type Reflection,
  reflectBack,
  reflection,
  reflectMesh,
  reflectPoint,
  rotated,
  scaled,
  type Transform,
  transform,
  transposed,
  type Vec3,
} from '@kerfline/geometry';
import { meanOf, meanVectorOf } from '@kerfline/uncertainty';
import type { Side } from '../side.ts';
import { clinicalAnkle, tibiaAxes } from './axes.ts';
import type { Leg } from './leg.ts';

type Triple = readonly [number, number, number];
type Covariance3 = readonly [Triple, Triple, Triple];

/**
 * Where a bone's side-free frame (L, A, P) lies in the scan. A left leg is mirrored once here, on the way in, and once on
 * the way out; between the two everything is a right leg.
 */
export interface BoneFrame<F extends string> {
  readonly mirror: Reflection<'right', 'scan'> | undefined;
  readonly boneFromRight: Transform<F, 'right'>;
}

/** The border mirror of a side: across the scan's first axis for a left leg, none for a right one. */
export const borderMirror = (side: Side): Reflection<'right', 'scan'> | undefined =>
  side === 'left' ? reflection('right', 'scan', [1, 0, 0]) : undefined;

const asRight = (mirror: BoneFrame<string>['mirror'], p: Point3<'scan'>): Point3<'right'> =>
  mirror ? reflectPoint(mirror, p) : point('right', p.xyz);

export const intoBone = <F extends string>(frame: BoneFrame<F>, p: Point3<'scan'>): Point3<F> =>
  apply(frame.boneFromRight, asRight(frame.mirror, p));

export function outOfBone<F extends string>(frame: BoneFrame<F>, p: Point3<F>): Point3<'scan'> {
  const right = apply(invert(frame.boneFromRight), p);
  return frame.mirror ? reflectPoint(reflectBack(frame.mirror), right) : point('scan', right.xyz);
}

/** A mesh as it lies in the scan, seen in the bone's frame. */
export const meshIntoBone = <F extends string>(frame: BoneFrame<F>, mesh: Mesh<'scan'>): Mesh<F> =>
  moved(
    frame.boneFromRight,
    frame.mirror
      ? reflectMesh(frame.mirror, mesh)
      : { frame: 'right', positions: mesh.positions, triangles: mesh.triangles },
  );

/** Sixteen numbers, row by row, that take the scan's coordinates to L, A, P; determinant -1 for a left leg. */
export const boneFromScanMatrix = <F extends string>(frame: BoneFrame<F>): readonly number[] =>
  frame.mirror ? matrix4(frame.boneFromRight, frame.mirror) : matrix4(frame.boneFromRight);

/** A covariance seen in the bone's frame, as it is in the scan's. */
export function covarianceOutOfBone<F extends string>(frame: BoneFrame<F>, covariance: Covariance3): Covariance3 {
  const back = transposed(frame.boneFromRight.rotation);
  const sign = frame.mirror ? [-1, 1, 1] : [1, 1, 1];
  const turned = ([0, 1, 2] as const).map((c) => rotated(back, [covariance[0][c], covariance[1][c], covariance[2][c]]));
  const rows = ([0, 1, 2] as const).map((r) =>
    rotated(back, [turned[0]![r], turned[1]![r], turned[2]![r]]).map((v, c) => v * sign[r]! * sign[c]!),
  );
  return rows as unknown as Covariance3 & Vec3[];
}

/** The clinical frame of a tibia (P away from the ankle centre) beside the measured one (P away from the malleolar middle). */
export function clinicalTibiaFrame(leg: Leg, measured: BoneFrame<'tibia'>): BoneFrame<'tibia'> {
  const knee = meanVectorOf(leg.belief, 'tibialKneeCentre');
  const turn = meanOf(leg.belief, 'tibialLineTurn');
  const middle = meanVectorOf(leg.belief, 'malleolarMidpoint');
  const axes = tibiaAxes(knee, clinicalAnkle(knee, middle, turn, meanOf(leg.belief, 'ankleOffset')), turn);
  const clinicalFromMeasured = transform('tibia', 'tibia', axes, scaled(rotated(axes, knee), -1));
  return { mirror: measured.mirror, boneFromRight: compose(clinicalFromMeasured, measured.boneFromRight) };
}
