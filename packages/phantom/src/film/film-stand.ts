import {
  cross,
  dot,
  type Result,
  rotated,
  rotationAbout,
  scaled,
  subtract,
  unitSquareTo,
  type Vec3,
} from '@kerfline/geometry';
import { type Refusal, refusal, type Side } from '@kerfline/knee';
import type { FilmCone } from './film-cone.ts';
import type { FilmLimb } from './film-limb.ts';
import {
  type FilmSetup,
  leastToDetectorMm,
  leastToSourceMm,
  marginAboveMm,
  marginBelowMm,
  mostPixels,
  type SimulatedView,
  usualSetup,
} from './film-setup.ts';

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

/** What of a bent limb decides where source and detector stand; mm, in the limb's frame. */
interface BeforeDetector {
  readonly side: Side;
  readonly rotate: number;
  /** Places that the film marks. */
  readonly places: readonly Vec3[];
  /** Long axis of the kneecap, upwards, along which a skyline film is taken; and its middle. */
  readonly beam: Vec3 | undefined;
  readonly kneecapMiddle: Vec3 | undefined;
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

/** Every reason why a pose or a setting cannot be had. */
export function setupFaults(limb: FilmLimb, pose: LimbPose, setup: FilmSetup): readonly Refusal[] {
  const { view, exposures } = setup;
  const needed: readonly (readonly [string, number | undefined, number, number])[] = [
    ['source distance', setup.sourceDistanceMm, 500, 1e9],
    ['distance from bone to detector', setup.boneDistanceMm, 0, 400],
    ['pitch of the detector', setup.pixelMm, 0.02, 5],
    ['width of the film', setup.widthMm, 50, 600],
    ['height of the film', setup.heightMm, 50, 2000],
    ['number of exposures', exposures, 1, 6],
    ['diameter of the ball', setup.ballMm, 0, 60],
    ['depth of the ball', setup.ballDepthMm, -200, 200],
  ];
  return [
    ...needed.flatMap(([what, value, least, most]) =>
      value === undefined || (value >= least && value <= most)
        ? []
        : [refusal('film-setup', `The ${what} is ${value}; ${least} to ${most} is needed.`)],
    ),
    ...(exposures === undefined || (Number.isInteger(exposures) && (exposures === 1 || view === 'long-leg'))
      ? []
      : [refusal('film-setup', `${exposures} exposures of a ${view} film; only a long-leg film is joined.`)]),
    ...(Math.abs(pose.rotate) <= Math.PI / 2 && pose.flex >= -0.35 && pose.flex <= 2.1
      ? []
      : [refusal('film-pose', 'A turn within 90 deg and a bend from -20 to 120 deg are needed.')]),
    ...(view === 'skyline' && !limb.kneecapUp
      ? [refusal('no-kneecap', 'A skyline film shows the kneecap; none was given.')]
      : []),
  ];
}

/** How far a long film reaches in the plane of the bone (P, mm): from above the hip centre to below the ankle. */
const span = (places: readonly Vec3[]): readonly [highest: number, lowest: number] => {
  const heights = places.map((at) => at[2]);
  return [Math.max(...heights) + marginAboveMm, Math.min(...heights) - marginBelowMm];
};

/**
 * Source and detector before a bent limb. The limb stands farther from the detector than asked for when it would reach through it.
 *
 * @returns the cone, or why there is no such film: a limb that reaches to the source, or more pixels than can be had
 */
export function filmCone(limb: BeforeDetector, setup: FilmSetup): Result<FilmCone, readonly Refusal[]> {
  const { view } = setup;
  const long = view === 'long-leg';
  const beam = limb.beam ?? upward;
  // A limb that turns one way before a film that stands is a film that turns the other way about a limb that stands.
  const turn = rotationAbout(view === 'skyline' ? beam : upward, limb.rotate);
  const still = directions(view, limb.side, beam);
  const [right, down, away] = [rotated(turn, still.right), rotated(turn, still.down), rotated(turn, still.away)];

  const source = setup.sourceDistanceMm ?? usualSetup.sourceDistanceMm[view];
  const pixelMm = setup.pixelMm ?? usualSetup.pixelMm[view];
  const [highest, lowest] = span(limb.places);
  const knee: Vec3 = [0, 0, 0];
  const aim: Vec3 = long ? [0, 0, (highest + lowest) / 2] : view === 'skyline' ? (limb.kneecapMiddle ?? knee) : knee;
  const givenHeight = setup.heightMm ?? (long ? undefined : usualSetup.heightMm[view]);
  const reach = (givenHeight ?? Infinity) / 2;
  const depths = limb.places.flatMap((at) => {
    const from = subtract(at, aim);
    return Math.abs(dot(down, from)) <= reach ? [dot(away, from)] : [];
  });
  const boneDistanceMm = Math.max(
    setup.boneDistanceMm ?? usualSetup.boneDistanceMm,
    leastToDetectorMm + Math.max(...depths),
  );
  const m = source / (source - boneDistanceMm);
  const heightMm = givenHeight ?? (highest - lowest) * m;
  const columns = Math.round((setup.widthMm ?? usualSetup.widthMm[view]) / pixelMm);
  const rows = Math.round(heightMm / pixelMm);
  const toSource = source - boneDistanceMm + Math.min(...depths);
  const refusals = [
    ...(toSource >= leastToSourceMm
      ? []
      : [
          refusal(
            'film-source',
            `The limb comes to ${toSource.toFixed(0)} mm from the source; at least ${leastToSourceMm} mm is needed.`,
          ),
        ]),
    ...(columns * rows <= mostPixels
      ? []
      : [refusal('film-size', `The film has ${columns} x ${rows} pixels; at most ${mostPixels} in all are made.`)]),
  ];
  if (refusals.length > 0) return { ok: false, error: refusals };
  const count = setup.exposures ?? 1;
  const strip = heightMm / m / count;
  const top = -heightMm / m / 2;
  return {
    ok: true,
    value: {
      right,
      down,
      away,
      aim,
      sourceDistanceMm: source,
      boneDistanceMm,
      pixelMm,
      columns,
      rows,
      topMm: -heightMm / 2,
      exposures: Array.from({ length: count }, (_, i) => ({
        sourceDown: top + (i + 0.5) * strip,
        from: top + i * strip,
        to: top + (i + 1) * strip,
      })),
      mirrored: setup.mirrored ?? false,
    },
  };
}
