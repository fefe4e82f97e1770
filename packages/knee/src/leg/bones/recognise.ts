import {
  err,
  ok,
  type PrincipalAxes,
  polygonArea,
  principalAxes,
  type Result,
  type Rotation,
  rotationToAxes,
  type SphereFit,
  scaled,
  type Vec3,
} from '@kerfline/geometry';
import type { Random } from '@kerfline/uncertainty';
import { type ClinicalDefault, workingDefault } from '../../defaults/clinical-default.ts';
import { type Refusal, refusal } from '../../refusal.ts';
import { type BoneSurface, between, extent, placedBack, seenFrom, surfaceMoments } from './bone-surface.ts';
import { leastHeadShare, sphereAtEnd } from './femur-landmarks.ts';
import { transverseCut } from './surface-features.ts';

/** A bone along its long axis, before anyone knows which end is which. */
export interface LongBone {
  readonly centre: Vec3;
  /** Unit. */
  readonly axis: Vec3;
  readonly lengthMm: number;
  /** Area of the section 18 mm inside the end that `axis` points to, and inside the other, mm2. */
  readonly areaAhead: number;
  readonly areaBehind: number;
  /** Area half way, mm2. */
  readonly areaMiddle: number;
  /** Area just inside each end, mm2: large where a bone has been cut off. */
  readonly endAhead: number;
  readonly endBehind: number;
}

const insideEndMm = 18;
const justInsideMm = 4;

/** Long axis, length and section areas of a bone. */
export function longBone(surface: BoneSurface): LongBone {
  const { centre, moments } = surfaceMoments(surface);
  const axis = (principalAxes(moments) satisfies PrincipalAxes).axes[0];
  const rough = seenFrom(surface, axesAlong(axis), centre);
  const [low, high] = extent(rough, 2);
  const areaAt = (p: number): number => {
    const loop = transverseCut(rough, p)[0];
    return loop ? Math.abs(polygonArea(loop)) : 0;
  };
  return {
    centre,
    axis,
    lengthMm: high - low,
    areaAhead: areaAt(high - insideEndMm),
    areaBehind: areaAt(low + insideEndMm),
    areaMiddle: areaAt((low + high) / 2),
    endAhead: areaAt(high - justInsideMm),
    endBehind: areaAt(low + justInsideMm),
  };
}

const axesAlong = (axis: Vec3): Rotation => rotationToAxes(axis, Math.abs(axis[0]) < 0.8 ? [1, 0, 0] : [0, 1, 0]);

export interface FoundHead {
  /** Unit, along the bone towards the head. */
  readonly up: Vec3;
  readonly sphere: SphereFit;
}

interface HeadSearch {
  readonly head: FoundHead | undefined;
  /** Greatest share of a full sphere found at either end. */
  readonly share: number;
}

/** Looks for a femoral head at both ends. */
export function findHead(surface: BoneSurface, bone: LongBone, random: Random): HeadSearch {
  const axes = axesAlong(bone.axis);
  const rough = seenFrom(surface, axes, bone.centre);
  const [low, high] = extent(rough, 2);
  const fifth = 0.2 * (high - low);
  const ends = [
    { up: bone.axis, found: sphereAtEnd(between(rough, high - fifth, high), random) },
    { up: scaled(bone.axis, -1), found: sphereAtEnd(between(rough, low, low + fifth), random) },
  ];
  const best = ends.reduce((a, b) => ((b.found?.share ?? 0) > (a.found?.share ?? 0) ? b : a));
  const share = best.found?.share ?? 0;
  if (!best.found || share < leastHeadShare) return { head: undefined, share };
  return {
    head: {
      up: best.up,
      sphere: { ...best.found.fit, centre: placedBack(best.found.fit.centre, axes, bone.centre) },
    },
    share,
  };
}

const percent = (share: number): string => `${Math.round(100 * share)} %`;

/** Plausible lengths of whole bones, mm: from small adults to tall ones, with room. */
export const wholeLengthMm = {
  femur: [330, 580],
  tibia: [260, 490],
  fibula: [250, 480],
  patella: [25, 70],
} as const satisfies Readonly<Record<string, readonly [number, number]>>;

/** The lengths by bone. */
export const wholeLengthDefaults: readonly ClinicalDefault[] = Object.entries(wholeLengthMm).map(([bone, range]) => ({
  name: `Bones: length of a whole ${bone}`,
  range,
  unit: 'mm',
  usedFor: 'what is refused as no whole bone, and which unit a file without one is in',
  source: workingDefault,
}));

/** A section just inside the smaller end that has this share of the one half way along means that the end was cut off flat. */
const cutOffRatio = 0.5;
/** A knee end is at least this much larger in section than the ankle end. */
const kneeEndRatio = 1.5;
const leastKneeAreaMm2 = 1700;

const smallerEndArea = (bone: LongBone): number => (bone.areaAhead > bone.areaBehind ? bone.endBehind : bone.endAhead);

const cutOff = (bone: LongBone): boolean => smallerEndArea(bone) > cutOffRatio * bone.areaMiddle;

const looksLikeTibia = (bone: LongBone): boolean =>
  Math.max(bone.areaAhead, bone.areaBehind) > leastKneeAreaMm2 &&
  Math.max(bone.areaAhead, bone.areaBehind) > kneeEndRatio * Math.min(bone.areaAhead, bone.areaBehind) &&
  Math.min(bone.areaAhead, bone.areaBehind) > bone.areaMiddle;

/** Why a bone without a head cannot serve as a femur. */
export function notAFemur(bone: LongBone, share: number): Refusal {
  const found = `the roundest end covers ${percent(share)} of a sphere, a femoral head needs ${percent(leastHeadShare)}`;
  if (!cutOff(bone) && looksLikeTibia(bone)) {
    return refusal('not-a-femur', `The bone given as femur has no femoral head (${found}) and looks like a tibia.`);
  }
  return refusal(
    'femoral-head-missing',
    `The femur has no head: ${found}. ${
      cutOff(bone) ? 'It seems to be cut off' : 'It is'
    } ${bone.lengthMm.toFixed(0)} mm long; the whole bone from condyles to head is needed for the mechanical axis.`,
  );
}

/** Which way the knee lies along a tibia, or why the bone cannot serve as one. */
export function tibiaUp(bone: LongBone, headShare: number): Result<Vec3, Refusal> {
  if (headShare >= leastHeadShare) {
    return err(
      refusal(
        'not-a-tibia',
        `The bone given as tibia has a femoral head (${percent(headShare)} of a sphere) and looks like a femur.`,
      ),
    );
  }
  const [small, large] =
    bone.areaAhead > bone.areaBehind ? [bone.areaBehind, bone.areaAhead] : [bone.areaAhead, bone.areaBehind];
  if (!(large > leastKneeAreaMm2) || !(large > kneeEndRatio * small)) {
    return err(
      refusal(
        'not-a-tibia',
        `The bone given as tibia has end sections of ${large.toFixed(0)} and ${small.toFixed(0)} mm2; a knee end of over ` +
          `${leastKneeAreaMm2} mm2, ${kneeEndRatio} times the ankle end, is needed.`,
      ),
    );
  }
  if (cutOff(bone)) {
    return err(
      refusal(
        'ankle-missing',
        `The tibia seems to be cut off above the ankle (section of ${smallerEndArea(bone).toFixed(0)} mm2 at its end, ` +
          `${bone.areaMiddle.toFixed(0)} half way); the whole bone is needed for the mechanical axis.`,
      ),
    );
  }
  return ok(bone.areaAhead > bone.areaBehind ? bone.axis : scaled(bone.axis, -1));
}
