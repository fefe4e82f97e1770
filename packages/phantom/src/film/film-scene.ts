import {
  add,
  apply,
  dot,
  type Finding,
  info,
  point,
  type Result,
  rotated,
  scaled,
  type Vec3,
} from '@kerfline/geometry';
import { type FilmMark, marksOfView, type Pixel, type Q, type Refusal, type Side } from '@kerfline/knee';
import { type BentLimb, bentLimb } from './bent-limb.ts';
import { type FilmCone, onFilm, type Seen, seenThrough } from './film-cone.ts';
import type { FilmLimb, LimbBone } from './film-limb.ts';
import { ballBesideMm, type FilmSetup, rimPoints, type SimulatedView, usualSetup } from './film-setup.ts';
import { filmCone, type LimbPose, setupFaults } from './film-stand.ts';
import { asItStands, type PoseAngles, poseAngles } from './pose-truth.ts';
import { sphereOutline } from './sphere-outline.ts';

/** A ball of known size in the picture, beside the joint. */
export interface SceneBall {
  /** In the frame of the limb, mm. */
  readonly centre: Vec3;
  readonly diameterMm: number;
  /** Nearer to the source than the plane of the bone, mm. */
  readonly depthMm: number;
  readonly rim: readonly Pixel[];
}

/** A limb before a detector, with where everything is seen: all that a film tells, without its picture. */
export interface FilmScene {
  readonly view: SimulatedView;
  readonly side: Side;
  readonly pose: LimbPose;
  readonly limb: FilmLimb;
  readonly bent: BentLimb;
  readonly cone: FilmCone;
  /** True marks, in the order of the catalogue: each the projection of the place itself, not of the outline near it. */
  readonly marks: readonly FilmMark[];
  /** Marks of the view that lie beyond the edge of the film. */
  readonly beyond: readonly string[];
  readonly ball: SceneBall | undefined;
  /**
   * The leg's quantities, with those that hang on the pose (HKA, clinicalHKA, JLCA) as the limb stands: seen in the femur's own
   * frontal plane, not on the film.
   */
  readonly truthQuantities: Readonly<Record<string, Q>>;
  readonly inPose: PoseAngles;
  readonly findings: readonly Finding[];
  /** Where a place of a bone's own frame (L, A, P of a `Leg`, mm) is seen; `undefined` when that bone is not there. */
  readonly project: (place: Vec3, bone: LimbBone) => Seen | undefined;
}

/** @numerical A limb moved by less than this stands where it was asked to, mm. */
const worthSayingMm = 0.5;

const lateralWard: Vec3 = [1, 0, 0];
const forward: Vec3 = [0, 1, 0];
const upward: Vec3 = [0, 0, 1];

/**
 * Places a measured limb before a detector.
 *
 * @returns where everything is seen, or every reason why this film cannot be taken
 */
export function filmScene(limb: FilmLimb, pose: LimbPose, setup: FilmSetup): Result<FilmScene, readonly Refusal[]> {
  const { view } = setup;
  const refusals = setupFaults(limb, pose, setup);
  if (refusals.length > 0) return { ok: false, error: refusals };
  const bent = bentLimb(limb, pose.flex);
  const names = marksOfView(view).map(({ name }) => name);
  const places = new Map(names.flatMap((name) => (limb.sites[name] ? [[name, bent.at(limb.sites[name])]] : [])));
  const kneecap = limb.kneecapOutline.map((at) => bent.at({ on: 'patella', at }));
  const stood = filmCone(
    {
      side: limb.side,
      rotate: pose.rotate,
      places: [...places.values()],
      beam: limb.kneecapUp && rotated(bent.motion('patella').rotation, limb.kneecapUp),
      kneecapMiddle: middleOf(kneecap, [lateralWard, forward, upward]),
    },
    setup,
  );
  if (!stood.ok) return stood;
  const cone = stood.value;
  const wanted = setup.boneDistanceMm ?? usualSetup.boneDistanceMm;

  const all: readonly FilmMark[] = names.flatMap((name): readonly FilmMark[] => {
    if (name === 'patellaCentre') {
      return kneecap.length > 0
        ? [{ name, pixel: middleOnFilm(kneecap.map((at) => seenThrough(cone, at).pixel)) }]
        : [];
    }
    const at = places.get(name);
    if (!at) return [];
    const { pixel, magnification } = seenThrough(cone, at);
    const radius = name === 'hipCentre' ? limb.headRadiusMm : undefined;
    return [{ name, pixel, ...(radius ? { radiusPx: (radius * magnification) / cone.pixelMm } : {}) }];
  });
  const marks = all.filter(({ pixel }) => onFilm(cone, pixel));
  const inPose = poseAngles(limb, bent);
  return {
    ok: true,
    value: {
      view,
      side: limb.side,
      pose,
      limb,
      bent,
      cone,
      marks,
      beyond: all.filter((mark) => !marks.includes(mark)).map(({ name }) => name),
      ball: ballIn(cone, setup),
      truthQuantities: asItStands(limb.quantities, inPose),
      inPose,
      findings:
        cone.boneDistanceMm > wanted + worthSayingMm
          ? [
              info(
                'moved-from-detector',
                `Bent or turned as it is, the limb would reach through the detector; it stands ${cone.boneDistanceMm.toFixed(0)} mm ` +
                  `before it instead of ${wanted} mm.`,
              ),
            ]
          : [],
      project: (place, bone) => {
        const limbFrom = limb.limbFrom[bone];
        return limbFrom && seenThrough(cone, bent.at({ on: bone, at: apply(limbFrom, point(bone, place)).xyz }));
      },
    },
  };
}

/** Middle of the box around points along three directions. */
function middleOf(points: readonly Vec3[], axes: readonly [Vec3, Vec3, Vec3]): Vec3 | undefined {
  if (points.length === 0) return undefined;
  const half = axes.map((axis) => {
    const along = points.map((p) => dot(axis, p));
    return scaled(axis, (Math.min(...along) + Math.max(...along)) / 2);
  });
  return half.reduce(add);
}

/** Middle of the box around an outline on the film. */
function middleOnFilm(outline: readonly Pixel[]): Pixel {
  const middle = (values: readonly number[]): number => (Math.min(...values) + Math.max(...values)) / 2;
  return [middle(outline.map(([c]) => c)), middle(outline.map(([, r]) => r))];
}

/** The ball hangs beside the joint on the lateral side (lateral film: in front), at the height of the aim of a knee film. */
function ballIn(cone: FilmCone, setup: FilmSetup): SceneBall | undefined {
  const diameterMm = setup.ballMm ?? usualSetup.ballMm;
  if (diameterMm === 0) return undefined;
  const depthMm = setup.ballDepthMm ?? 0;
  const beside = scaled(cone.right, -ballBesideMm[setup.view]);
  const joint: Vec3 = setup.view === 'skyline' ? cone.aim : [0, 0, 0];
  const lateral = setup.view !== 'knee-lateral' && dot(cone.right, lateralWard) > 0 ? scaled(beside, -1) : beside;
  const centre = add(add(joint, lateral), scaled(cone.away, -depthMm));
  return { centre, diameterMm, depthMm, rim: sphereOutline(cone, centre, diameterMm / 2, rimPoints) };
}
