import {
  angleBetween,
  doubt,
  type Finding,
  info,
  length,
  type Mesh,
  type Result,
  type Surface,
  subtract,
  transform,
} from '@kerfline/geometry';
import { type Random, randomStream } from '@kerfline/uncertainty';
import { type RangeDefault, type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';
import { inside } from '../quantity.ts';
import { type Refusal, refusal } from '../refusal.ts';
import type { Side } from '../side.ts';
import { type BoneFrame, borderMirror } from './bone-frame.ts';
import { type BoneSurface, boneSurface, seenFrom } from './bones/bone-surface.ts';
import { femurLandmarks, placeFemur } from './bones/femur-landmarks.ts';
import { patellaBelongs, patellaLandmarks } from './bones/patella-landmarks.ts';
import { type Pose, seenIn, within } from './bones/pose.ts';
import { findHead, longBone, notAFemur, tibiaUp, wholeLengthMm } from './bones/recognise.ts';
import {
  beliefFromRuns,
  femurValues,
  limbValues,
  patellaValues,
  type RunValues,
  runs,
  tibiaValues,
} from './bones/run-values.ts';
import { checkSide } from './bones/side-shown.ts';
import {
  disturbed,
  randomField,
  type SurfaceError,
  surfaceErrorFromHead,
  vertexNormals,
} from './bones/surface-error.ts';
import { placeTibia, tibiaLandmarks } from './bones/tibia-landmarks.ts';
import { type Leg, widened } from './leg.ts';
import { ankleOffset } from './population.ts';

/** Surfaces of one leg as they lie in a scan, mm. */
export interface LegMeshes {
  readonly femur: Mesh<'scan'>;
  readonly tibia: Mesh<'scan'>;
  readonly fibula?: Mesh<'scan'> | undefined;
  readonly patella?: Mesh<'scan'> | undefined;
}

export interface BonesOptions {
  readonly side: Side;
  /** Length of the rod in the femoral canal: its canal line is then that of the stretch the rod lies in, mm. */
  readonly rodLengthMm?: number | undefined;
}

/** A leg measured on bones, with where its frames lie in the scan. */
export interface LegFromBones {
  readonly leg: Leg;
  readonly femurFrame: BoneFrame<'femur'>;
  readonly tibiaFrame: BoneFrame<'tibia'>;
  /** Only when a patella was given and lies where one can be. */
  readonly patellaFrame: BoneFrame<'patella'> | undefined;
  readonly surfaceError: SurfaceError;
}

/** What is taken for one leg, and which stretch of its canal a rod would lie in. */
export const boneDefaults = {
  canalWindow: {
    name: 'Bones: canal window',
    range: [0.2, 0.5],
    unit: 'share',
    usedFor: "the stretch of the femoral canal, as shares of the femur's length, when no rod length is given",
    source: workingDefault,
  },
  rodWindowStart: {
    name: 'Bones: start of a rod in its canal',
    value: 0.4,
    unit: 'share',
    usedFor: "where a rod's own stretch of canal begins, as a share of the rod: below it the bone is all flare",
    source: workingDefault,
  },
  meeting: {
    name: 'Bones: knee centres apart',
    value: 45,
    unit: 'mm',
    usedFor: 'farther apart they are not those of one knee, and limb angles are unknown',
    source: workingDefault,
  },
  straightEnough: {
    name: 'Bones: knee bent',
    value: 40,
    unit: 'deg',
    usedFor: 'more bent than this, limb angles are unknown',
    source: workingDefault,
  },
  fibulaNear: {
    name: 'Bones: fibula away',
    value: 60,
    unit: 'mm',
    usedFor: 'a fibula farther than this from its tibia at the ankle is not its own',
    source: workingDefault,
  },
  usualTwist: {
    name: 'Bones: turn of the side points',
    value: 8,
    unit: 'deg',
    usedFor: 'turned more than this against the rear condyles they are probably not both epicondyles',
    source: workingDefault,
  },
} as const satisfies Readonly<Record<string, ScalarDefault | RangeDefault>>;
const canalWindow = boneDefaults.canalWindow.range;
const rodWindowStart = boneDefaults.rodWindowStart.value;
const meetingMm = boneDefaults.meeting.value;
const straightEnough = inside(boneDefaults.straightEnough.value, 'deg');
const fibulaNearMm = boneDefaults.fibulaNear.value;
const usualTwist = inside(boneDefaults.usualTwist.value, 'deg');

const frameOf = <F extends string>(name: F, side: Side, pose: Pose): BoneFrame<F> => ({
  mirror: borderMirror(side),
  boneFromRight: transform(name, 'right', pose.axes, seenIn(pose, [0, 0, 0])),
});

function asRightLeg(mesh: Surface, side: Side): BoneSurface {
  const surface = boneSurface(mesh);
  if (side === 'right') return surface;
  const triangles = surface.triangles.slice();
  for (let t = 0; t < triangles.length; t += 3) {
    [triangles[t + 1], triangles[t + 2]] = [triangles[t + 2]!, triangles[t + 1]!];
  }
  const positions = surface.positions.slice();
  for (let i = 0; i < positions.length; i += 3) positions[i] = -positions[i]!;
  return { positions, triangles, vertexAreas: surface.vertexAreas };
}

function checkSize(bone: keyof typeof wholeLengthMm, lengthMm: number): readonly Refusal[] {
  const [least, most] = wholeLengthMm[bone];
  if (lengthMm >= least && lengthMm <= most) return [];
  return [
    refusal('bone-size', `The ${bone} is ${lengthMm.toPrecision(3)} mm long; a whole one has ${least} to ${most} mm.`),
  ];
}

/** Makes disturbed copies of the parts of a bone: all parts of one run follow one field. */
function disturber<Parts extends object>(parts: Parts, error: SurfaceError, bone: string): (run: number) => Parts {
  const surfaces = Object.entries(parts).flatMap(([name, part]) =>
    isSurface(part) ? [{ name, part, normals: vertexNormals(part) }] : [],
  );
  const box = surfaces.map(({ part }) => part);
  return (run) => {
    const random: Random = randomStream(1, 'disturbed', bone, run);
    const field = randomField(box, error.correlationMm, random);
    return {
      ...parts,
      ...Object.fromEntries(
        surfaces.map(({ name, part, normals }) => [name, disturbed(part, normals, field, error.sdMm)]),
      ),
    };
  };
}

const isSurface = (part: unknown): part is BoneSurface =>
  typeof part === 'object' && part !== null && 'positions' in part && 'triangles' in part;

/**
 * Measures a leg on the surfaces of its bones, in any pose, by the definitions of docs/methods.md. The covariance comes from
 * the same measurement on surfaces disturbed by the error that the femoral head shows.
 *
 * @returns the leg, or every reason why these surfaces are not the bones of that leg
 */
export function legFromBones(meshes: LegMeshes, options: BonesOptions): Result<LegFromBones, readonly Refusal[]> {
  const { side } = options;
  const femurSurface = asRightLeg(meshes.femur, side);
  const tibiaSurface = asRightLeg(meshes.tibia, side);
  const femurBone = longBone(femurSurface);
  const tibiaBone = longBone(tibiaSurface);
  const femurHead = findHead(femurSurface, femurBone, randomStream(1, 'femoral head'));
  const up = tibiaUp(tibiaBone, findHead(tibiaSurface, tibiaBone, randomStream(1, 'no head')).share);
  const fibulaGiven = meshes.fibula && asRightLeg(meshes.fibula, side);
  const refusals = [
    ...(femurHead.head ? checkSize('femur', femurBone.lengthMm) : [notAFemur(femurBone, femurHead.share)]),
    ...(up.ok ? checkSize('tibia', tibiaBone.lengthMm) : [up.error]),
    ...(fibulaGiven ? checkSize('fibula', longBone(fibulaGiven).lengthMm) : []),
  ];
  if (!femurHead.head || !up.ok || refusals.length > 0) return { ok: false, error: refusals };

  const findings: Finding[] = [];
  const femurPlace = placeFemur(femurSurface, femurHead.head.up, femurHead.head.sphere);
  const tibiaTried = placeTibia(tibiaSurface, fibulaGiven, up.value, tibiaBone.centre);
  const fibulaAway = tibiaTried.fibula !== undefined && tibiaTried.fibula.apartMm > fibulaNearMm;
  const tibiaPlace = fibulaAway ? placeTibia(tibiaSurface, undefined, up.value, tibiaBone.centre) : tibiaTried;
  if (fibulaAway) {
    findings.push(
      doubt(
        'fibula-elsewhere',
        `The fibula lies ${tibiaTried.fibula?.apartMm.toFixed(0)} mm from the tibia at the ankle and is left out.`,
      ),
    );
  }
  const sides = checkSide(side, {
    headMedialMm: femurPlace.headMedialMm,
    malleolusMedialMm: tibiaPlace.malleolusMedialMm,
    fibulaLateralMm: tibiaPlace.fibula?.lateralMm,
  });
  if (sides.refusals.length > 0) return { ok: false, error: sides.refusals };
  findings.push(...sides.findings);

  const { lengthTotal } = femurPlace.parts;
  const window: readonly [number, number] =
    options.rodLengthMm === undefined
      ? [canalWindow[0] * lengthTotal, canalWindow[1] * lengthTotal]
      : [rodWindowStart * options.rodLengthMm, options.rodLengthMm];
  const femur = femurLandmarks(femurPlace.parts, femurPlace.start, window, 'thorough');
  const tibia = tibiaLandmarks(tibiaPlace.parts, tibiaPlace.start, 'thorough');
  const femurMean = within(femurPlace, femur.pose);
  const tibiaMean = within(tibiaPlace, tibia.pose);
  const patellaGiven = meshes.patella && seenFrom(asRightLeg(meshes.patella, side), femurMean.axes, femurMean.origin);
  const patellaSurface = patellaGiven && patellaBelongs(patellaGiven) ? patellaGiven : undefined;
  const patella = patellaSurface && patellaLandmarks(patellaSurface);

  const apart = seenIn(femurMean, tibiaMean.origin);
  const bent = angleBetween(femurMean.axes[2], tibiaMean.axes[2]);
  const together = length(apart) < meetingMm && bent < straightEnough;
  const error = surfaceErrorFromHead(femurPlace.parts.head, femur.pose.head, randomStream(1, 'surface error'));

  // One run as it is and several on disturbed surfaces; what differs is what the surface leaves open.
  const valuesOf = (f: typeof femur, t: typeof tibia, p: typeof patella): RunValues => {
    const femurPose = within(femurPlace, f.pose);
    const tibiaPose = within(tibiaPlace, t.pose);
    return new Map([
      ...femurValues(f.landmarks, femurPose, femurMean),
      ...tibiaValues(t.landmarks, tibiaPose, tibiaMean),
      ...(together ? limbValues(f.landmarks, femurPose, t.landmarks, tibiaPose) : []),
      ...(p && patella ? patellaValues(p.landmarks, p, patella) : []),
    ]);
  };
  const disturbFemur = disturber(femurPlace.parts, error, 'femur');
  const disturbTibia = disturber(tibiaPlace.parts, error, 'tibia');
  const disturbPatella = patellaSurface && disturber({ patella: patellaSurface }, error, 'patella');
  const again = Array.from({ length: runs }, (_, run) =>
    valuesOf(
      femurLandmarks(disturbFemur(run), femur.pose, window, 'quick'),
      tibiaLandmarks(disturbTibia(run), tibia.pose, 'quick'),
      disturbPatella && patellaLandmarks(disturbPatella(run).patella),
    ),
  );
  const belief = beliefFromRuns(valuesOf(femur, tibia, patella), again);

  const unknown: Record<string, string> = {};
  const lacking = (names: readonly string[], why: string): void => {
    for (const name of names) unknown[name] = why;
  };
  if (!together) {
    const far = length(apart) >= meetingMm;
    const why = far ? 'femur and tibia come from two scans' : 'the knee is bent in the scan';
    lacking(['HKA', 'JLCA'], why);
    findings.push(
      doubt(
        far ? 'two-scans' : 'knee-bent',
        `The knee centres are ${length(apart).toFixed(0)} mm apart and the axes ${((bent * 180) / Math.PI).toFixed(0)} deg: ` +
          `${why}. Limb angle and joint opening are unknown; all else is measured on each bone.`,
      ),
    );
  }
  if (!patella) {
    lacking(
      ['patellaThickness', 'patellaWidth', 'patellaAnterior', 'patellaFacetMedial', 'patellaFacetLateral'],
      patellaGiven ? 'the patella does not lie in front of this femur' : 'no patella was given',
    );
    if (patellaGiven) {
      findings.push(doubt('patella-elsewhere', 'The patella does not lie in front of this femur and is left out.'));
    }
  }
  if (!tibia.landmarks.malleolusLateral) {
    lacking(['malleolusLateral', 'fibulaHead'], 'no fibula was given');
    findings.push(
      doubt(
        'no-fibula',
        `Without a fibula the middle of the malleoli is taken ${ankleOffset.mean} mm lateral of the middle of the ankle's joint ` +
          `surface, give or take ${ankleOffset.sd} mm (${ankleOffset.source}).`,
      ),
    );
  }
  const sideLine = subtract(femur.landmarks.epicondyleLateral, femur.landmarks.epicondyleMedial);
  const twist = Math.atan2(-sideLine[1], sideLine[0]);
  if (Math.abs(twist) > usualTwist) {
    findings.push(
      doubt(
        'epicondyle-not-extreme',
        `The extreme side points are turned ${Math.abs((twist * 180) / Math.PI).toFixed(1)} deg ` +
          `${twist > 0 ? 'external' : 'internal'} to the rear condyles: one of them is probably not the epicondyle.`,
      ),
    );
  }
  findings.push(
    info(
      'surface-error',
      `Spreads follow the error that the femoral head shows: ${error.sdMm.toFixed(2)} mm, alike over ` +
        `${error.correlationMm.toFixed(0)} mm.`,
    ),
  );
  const leg: Leg = {
    side,
    belief,
    sources: Object.fromEntries(
      belief.slots.map((slot) => [slot.name, { from: 'bones', method: 'found on the surface' } as const]),
    ),
    unknown,
    contactsOn: 'bone',
    findings,
  };
  // A middle of the malleoli that is more lateral leans the tibia into less varus.
  const unseenMalleolus = [
    { name: 'malleolarMidpoint', axis: 0 },
    { name: 'ankleOffset' },
    ...(together ? [{ name: 'limbVarus', gain: -1 / length(tibia.landmarks.ankleCentre) }] : []),
  ] as const;
  return {
    ok: true,
    value: {
      leg: tibia.landmarks.malleolusLateral ? leg : widened(leg, unseenMalleolus, ankleOffset.sd),
      femurFrame: frameOf('femur', side, femurMean),
      tibiaFrame: frameOf('tibia', side, tibiaMean),
      patellaFrame: patella && frameOf('patella', side, within(femurMean, patella)),
      surfaceError: error,
    },
  };
}
