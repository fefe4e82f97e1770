import {
  add,
  along,
  direction,
  liftedFrom,
  type Mesh,
  type MeshQuery,
  meshQuery,
  type Point3,
  planeAt,
  point,
  type Result,
  type SectionPlane,
  scaled,
  surfaceBeyond,
  type Vec3,
} from '@kerfline/geometry';
import type { ButtonSize, FemurSize, TraySize } from '../kits/kit.ts';
import { type Refusal, refusal } from '../refusal.ts';
import { cutAxes } from './cut-outline.ts';
import { type CutPlane, cutDirection } from './cut-plane.ts';
import type { TrayPlace } from './tray-fit.ts';

type Pair = readonly [number, number];

/** A round hole from a cut straight into the kept bone, and the wings of what is driven into it. */
export interface Hole {
  /** Middle of its mouth in the cut's own axes (`CutOutline`), mm. */
  readonly mouth: Pair;
  readonly depthMm: number;
  readonly diameterMm: number;
  /** Flat, to both sides of the hole's axis: widest at the cut, as wide as the hole at its tip. */
  readonly wings?: { readonly halfSpanMm: number; readonly towards: Pair } | undefined;
}

/** The least bone between a hole with its wings and the outside of the bone that is kept. */
export interface Clearance {
  /** Negative where hole or wings break out: by how far they do, mm. */
  readonly clearanceMm: number;
  /** The place on the hole or its wings where that is, L-A-P, mm. */
  readonly at: Vec3;
  /** How deep below the cut that is, mm. */
  readonly belowCutMm: number;
}

/** The hole of a tray that lies at a place, with its wings; the drilled hole alone where the kit does not say how wide they are. */
export const trayKeel = ({ keelMm, drillMm, wingMm }: TraySize, { l, a, turn }: TrayPlace): Hole => ({
  mouth: [l, a],
  depthMm: keelMm,
  diameterMm: drillMm,
  wings: wingMm === undefined ? undefined : { halfSpanMm: wingMm, towards: [Math.cos(turn), -Math.sin(turn)] },
});

/** The two peg holes of a femoral component, medial and lateral, whose middle between them is given in the distal cut's axes. */
export const femurPegs = (pegs: NonNullable<FemurSize['pegs']>, [l, a]: Pair): readonly [Hole, Hole] => {
  const { depthMm, diameterMm, apartMm } = pegs;
  return [
    { mouth: [l - apartMm / 2, a], depthMm, diameterMm },
    { mouth: [l + apartMm / 2, a], depthMm, diameterMm },
  ];
};

/** The peg hole of a button whose middle is given in the kneecap cut's axes. */
export const buttonPeg = (peg: NonNullable<ButtonSize['peg']>, mouth: Pair): Hole => ({ mouth, ...peg });

/** @numerical Points lie no farther apart than this down a hole and across its floor and wings, mm. */
const stepMm = 1;
/** @numerical Points round a hole: between two of them a hole of 14 mm stands out by 0.015 mm more. */
const pointsRound = 48;
/** @numerical Points that could lower the clearance by less than this are not looked at, mm. */
const worthMm = 0.02;
/** @numerical The mouth is looked at this far below the cut, where the kept surface has its edge, mm. */
const belowEdgeMm = 0.01;
/** @numerical A half-line that goes through an edge meets both of its triangles at one distance, give or take this, mm. */
const sameCrossingMm = 1e-6;

/** Shares from 0 to 1, both of them in it, in steps no longer than `stepMm` over a length. */
const shares = (lengthMm: number): readonly number[] => {
  const parts = Math.max(1, Math.ceil(lengthMm / stepMm));
  return Array.from({ length: parts + 1 }, (_, k) => k / parts);
};

/** Points of a hole or a wing at one depth that lie close together, in the cut's own axes. */
interface Cluster {
  readonly belowCutMm: number;
  readonly middle: Pair;
  /** No point lies farther from the middle, mm. */
  readonly reachMm: number;
  readonly points: readonly Pair[];
}

/** Points all over a hole's wall, floor and wings. */
function clustersOf({ mouth, depthMm, diameterMm, wings }: Hole): readonly Cluster[] {
  const radius = diameterMm / 2;
  const ring = (r: number): readonly Pair[] =>
    Array.from({ length: pointsRound }, (_, k) => {
      const turn = (2 * Math.PI * k) / pointsRound;
      return [mouth[0] + r * Math.cos(turn), mouth[1] + r * Math.sin(turn)];
    });
  return shares(depthMm).flatMap((down): readonly Cluster[] => {
    const belowCutMm = Math.max(belowEdgeMm, down * depthMm);
    const points = down < 1 ? ring(radius) : shares(radius).flatMap((share) => ring(share * radius));
    const wall: Cluster = { belowCutMm, middle: mouth, reachMm: radius, points };
    const span = wings ? wings.halfSpanMm + down * (radius - wings.halfSpanMm) : radius;
    if (!wings || span <= radius) return [wall];
    const wing = (side: -1 | 1): Cluster => {
      const at = (r: number): Pair => [mouth[0] + side * r * wings.towards[0], mouth[1] + side * r * wings.towards[1]];
      return {
        belowCutMm,
        middle: at((radius + span) / 2),
        reachMm: (span - radius) / 2,
        points: shares(span - radius).map((out) => at(radius + out * (span - radius))),
      };
    };
    return [wall, wing(-1), wing(1)];
  });
}

/** Whether a point lies inside the kept bone: a half-line along the cut leaves it once more often than it enters. */
function insideKept<F extends string>(kept: MeshQuery<F>, axes: SectionPlane<F>, p: Point3<F>): boolean {
  // Neither axis nor diagonal of the cut, so that it seldom meets an edge of a drawn bone.
  const towards = direction(p.frame, along(scaled(axes.first, Math.cos(1)), axes.second, Math.sin(1)));
  let crossings = 0;
  let last = -Infinity;
  for (const { distanceMm } of kept.crossings(p, towards)) {
    if (distanceMm - last > sameCrossingMm) crossings += 1;
    last = distanceMm;
  }
  return crossings % 2 === 1;
}

/**
 * Asks one cut bone how much bone is left round holes; build once for all sizes.
 *
 * @param bone outer surface in the bone's clinical frame, closed all round at the depth of the holes
 * @returns a function from a hole to its clearance, or `no-section` where the cut keeps nothing of the bone
 */
export function holeClearances<F extends string>(
  bone: Mesh<F>,
  plane: CutPlane,
): Result<(hole: Hole) => Clearance, Refusal> {
  const axes = cutAxes(bone.frame, plane);
  const into = scaled(plane.normal, cutDirection(plane.cut).into);
  const surface = surfaceBeyond(bone, planeAt(point(bone.frame, axes.origin), into));
  if (surface.triangles.length === 0) {
    return { ok: false, error: refusal('no-section', `The ${plane.cut} cut keeps nothing of the bone.`) };
  }
  const kept = meshQuery(surface);
  /** Distance from the outside, positive inside; between two places it changes by no more than they lie apart. */
  const insideBy = (across: Pair, belowCutMm: number, surelyInside: boolean): Clearance => {
    const at = add(liftedFrom(axes, across).xyz, scaled(into, belowCutMm));
    const p = point(bone.frame, at);
    const { distanceMm } = kept.closestTo(p);
    const inside = surelyInside || insideKept(kept, axes, p);
    return { clearanceMm: inside ? distanceMm : -distanceMm, at, belowCutMm };
  };
  return {
    ok: true,
    value: (hole) => {
      const clusters = clustersOf(hole)
        .map((cluster) => ({
          ...cluster,
          leastMm: insideBy(cluster.middle, cluster.belowCutMm, false).clearanceMm - cluster.reachMm,
        }))
        .sort((a, b) => a.leastMm - b.leastMm);
      let least: Clearance | undefined;
      for (const { leastMm, belowCutMm, points } of clusters) {
        if (least && leastMm > least.clearanceMm - worthMm) break;
        for (const across of points) {
          const found = insideBy(across, belowCutMm, leastMm > 0);
          if (!least || found.clearanceMm < least.clearanceMm) least = found;
        }
      }
      if (!least) throw new Error('a hole without points');
      return least;
    },
  };
}
