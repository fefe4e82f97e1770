import {
  add,
  apply,
  cross,
  dot,
  type Finding,
  info,
  point,
  type Result,
  rotated,
  rotationAbout,
  scaled,
  subtract,
  unitSquareTo,
  type Vec3,
} from '@kerfline/geometry';
import { type FilmMark, marksOfView, type Pixel, type Q, type Refusal, refusal, type Side } from '@kerfline/knee';
import { type BentLimb, bentLimb, flexionOf } from './bent-limb.ts';
import { type FilmCone, onFilm, type Seen, seenThrough } from './film-cone.ts';
import type { FilmLimb, LimbBone } from './film-limb.ts';
import {
  ballBesideMm,
  type FilmSetup,
  leastToDetectorMm,
  marginAboveMm,
  marginBelowMm,
  rimPoints,
  type SimulatedView,
  usualSetup,
} from './film-setup.ts';
import { sphereOutline } from './sphere-outline.ts';

/** How the limb stands, radians. */
export interface LimbPose {
  /**
   * Turn of the whole limb about the femur's mechanical axis, + external; 0 with the posterior condyle line side to side. On a
   * skyline film the limb turns about the beam.
   */
  readonly rotate: number;
  /** Angle of the two mechanical axes in the femur's side view; 0 straight. */
  readonly flex: number;
}

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
  /** Quantities of the bones, which no pose changes. */
  readonly truthQuantities: Readonly<Record<string, Q>>;
  /** Angles of the pose as the film's limb stands, seen along the femur's own axes, radians. */
  readonly inPose: {
    readonly limbVarus: number;
    readonly flexion: number;
    readonly jointConvergence: number | undefined;
  };
  readonly findings: readonly Finding[];
  /** Where a place of a bone's own frame (L, A, P of a `Leg`, mm) is seen; `undefined` when that bone is not there. */
  readonly project: (place: Vec3, bone: LimbBone) => Seen | undefined;
}

const lateralWard: Vec3 = [1, 0, 0];
const forward: Vec3 = [0, 1, 0];
const upward: Vec3 = [0, 0, 1];
const back = (v: Vec3): Vec3 => scaled(v, -1);

/** Directions of the picture in the limb's frame, before the limb is turned, and the line it turns about. */
function directions(view: SimulatedView, side: Side, beam: Vec3): Pick<FilmCone, 'right' | 'down' | 'away'> {
  if (view === 'knee-lateral') return { right: back(forward), down: back(upward), away: lateralWard };
  // The patient faces you: the lateral side of a right limb is at the left of the picture.
  const facing = (lateral: Vec3): Vec3 => (side === 'right' ? back(lateral) : lateral);
  if (view === 'skyline') {
    const front = unitSquareTo(forward, beam);
    return { right: facing(cross(front, beam)), down: back(front), away: beam };
  }
  return { right: facing(lateralWard), down: back(upward), away: back(forward) };
}

const faults = (setup: FilmSetup): readonly Refusal[] => {
  const needed: readonly (readonly [string, number | undefined, number, number])[] = [
    ['source distance', setup.sourceDistanceMm, 500, 1e9],
    ['distance from bone to detector', setup.boneDistanceMm, 0, 400],
    ['pitch of the detector', setup.pixelMm, 0.02, 5],
    ['width of the film', setup.widthMm, 50, 600],
    ['height of the film', setup.heightMm, 50, 2000],
    ['number of exposures', setup.exposures, 1, 6],
    ['diameter of the ball', setup.ballMm, 0, 60],
    ['depth of the ball', setup.ballDepthMm, -200, 200],
  ];
  return needed.flatMap(([what, value, least, most]) =>
    value === undefined || (value >= least && value <= most)
      ? []
      : [refusal('film-setup', `The ${what} is ${value}; ${least} to ${most} is needed.`)],
  );
};

/**
 * Places a measured limb before a detector.
 *
 * @returns where everything is seen, or every reason why this film cannot be taken
 */
export function filmScene(limb: FilmLimb, pose: LimbPose, setup: FilmSetup): Result<FilmScene, readonly Refusal[]> {
  const { view } = setup;
  const refusals = [...faults(setup)];
  if (
    setup.exposures !== undefined &&
    !(Number.isInteger(setup.exposures) && (setup.exposures === 1 || view === 'long-leg'))
  ) {
    refusals.push(
      refusal('film-setup', `${setup.exposures} exposures of a ${view} film; only a long-leg film is joined.`),
    );
  }
  if (!(Math.abs(pose.rotate) <= Math.PI / 2 && pose.flex >= -0.35 && pose.flex <= 2.1)) {
    refusals.push(refusal('film-pose', 'A turn within 90 deg and a bend from -20 to 120 deg are needed.'));
  }
  if (view === 'skyline' && !limb.kneecapUp) {
    refusals.push(refusal('no-kneecap', 'A skyline film shows the kneecap; none was given.'));
  }
  if (refusals.length > 0) return { ok: false, error: refusals };

  const bent = bentLimb(limb, pose.flex);
  const beam = rotated(bent.motion('patella').rotation, limb.kneecapUp ?? upward);
  const names = marksOfView(view).map(({ name }) => name);
  const places = new Map(names.flatMap((name) => (limb.sites[name] ? [[name, bent.at(limb.sites[name])]] : [])));
  const kneecap = limb.kneecapOutline.map((at) => bent.at({ on: 'patella', at }));
  const kneecapMiddle = middleOf(kneecap, [lateralWard, forward, upward]);

  // A limb that turns one way before a film that stands is a film that turns the other way about a limb that stands.
  const turn = rotationAbout(view === 'skyline' ? beam : upward, pose.rotate);
  const still = directions(view, limb.side, beam);
  const right = rotated(turn, still.right);
  const down = rotated(turn, still.down);
  const away = rotated(turn, still.away);

  const source = setup.sourceDistanceMm ?? usualSetup.sourceDistanceMm[view];
  const pixelMm = setup.pixelMm ?? usualSetup.pixelMm[view];
  const heights = [...places.values()].map((at) => at[2]);
  const [highest, lowest] = [Math.max(...heights) + marginAboveMm, Math.min(...heights) - marginBelowMm];
  const long = view === 'long-leg';
  const aim: Vec3 = long
    ? [0, 0, (highest + lowest) / 2]
    : view === 'skyline'
      ? (kneecapMiddle ?? [0, 0, 0])
      : [0, 0, 0];
  const givenHeight = setup.heightMm ?? (long ? undefined : usualSetup.heightMm[view]);

  const wanted = setup.boneDistanceMm ?? usualSetup.boneDistanceMm;
  const reach = (givenHeight ?? Infinity) / 2;
  const behind = [...places.values()].flatMap((at) => {
    const from = subtract(at, aim);
    return Math.abs(dot(down, from)) <= reach ? [dot(away, from)] : [];
  });
  const boneDistanceMm = Math.max(wanted, leastToDetectorMm + Math.max(...behind));
  const m = source / (source - boneDistanceMm);
  const heightMm = givenHeight ?? (highest - lowest) * m;
  const count = setup.exposures ?? 1;
  const strip = heightMm / m / count;
  const top = -heightMm / m / 2;
  const cone: FilmCone = {
    right,
    down,
    away,
    aim,
    sourceDistanceMm: source,
    boneDistanceMm,
    pixelMm,
    columns: Math.round((setup.widthMm ?? usualSetup.widthMm[view]) / pixelMm),
    rows: Math.round(heightMm / pixelMm),
    topMm: -heightMm / 2,
    exposures: Array.from({ length: count }, (_, i) => ({
      sourceDown: top + (i + 0.5) * strip,
      from: top + i * strip,
      to: top + (i + 1) * strip,
    })),
    mirrored: setup.mirrored ?? false,
  };

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
    return [{ name, pixel, ...(radius ? { radiusPx: (radius * magnification) / pixelMm } : {}) }];
  });
  const marks = all.filter(({ pixel }) => onFilm(cone, pixel));
  const tibiaUp = rotated(bent.motion('tibia').rotation, limb.tibiaUp);
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
      truthQuantities: limb.quantities,
      inPose: {
        limbVarus: Math.atan2(tibiaUp[0], tibiaUp[2]),
        flexion: flexionOf(tibiaUp),
        jointConvergence: convergence(limb, bent),
      },
      findings:
        boneDistanceMm > wanted
          ? [
              info(
                'moved-from-detector',
                `Bent or turned as it is, the limb would reach through the detector; it stands ${boneDistanceMm.toFixed(0)} mm ` +
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
