import {
  type Mesh,
  type Polygon,
  planeAt,
  point,
  polygonArea,
  type Result,
  type SectionPlane,
  scaled,
  section,
  sectionPlane,
} from '@kerfline/geometry';
import { type Refusal, refusal } from '../refusal.ts';
import { type CutPlane, cutDirection } from './cut-plane.ts';

/** What a saw leaves to be looked at: the outline of the bone in the cut. */
export interface CutOutline<F extends string> {
  /**
   * The cut's own axes: the first is the bone's L laid into the cut; the second its A on a cut across the end of a bone, its P
   * on any other. Their origin is the foot of the frame's origin on the cut.
   */
  readonly axes: SectionPlane<F>;
  /** Outer edges of the bone in those axes, mm, counter-clockwise; the largest first, specks left out. */
  readonly loops: readonly [Polygon, ...Polygon[]];
}

/** @numerical A loop smaller than this share of the largest is a speck beside the bone: a spur, a flaw of the surface. */
const leastShare = 0.1;

/** The axes that places on a cut are told in; see `CutOutline`. */
export function cutAxes<F extends string>(frame: F, { cut, normal, offset }: CutPlane): SectionPlane<F> {
  // L x A = P and L x -A = -P: a cut that faces forward is seen from behind, so that P is up.
  const facing = cutDirection(cut).axis === 2 ? 1 : -1;
  return sectionPlane(planeAt(point(frame, scaled(normal, offset)), scaled(normal, facing)), [1, 0, 0]);
}

/**
 * The outline of a bone where a cut goes through it.
 *
 * @param bone surface in the bone's clinical frame
 * @returns `no-section` where the cut passes beside the bone, `open-section` where the surface has an edge of its own there
 */
export function cutOutline<F extends string>(bone: Mesh<F>, plane: CutPlane): Result<CutOutline<F>, Refusal> {
  const axes = cutAxes(bone.frame, plane);
  const contours = section(bone, axes);
  const least = contours[0] ? leastShare * Math.abs(polygonArea(contours[0].polygon)) : 0;
  const seen = contours.filter(({ polygon }) => Math.abs(polygonArea(polygon)) >= least);
  if (seen.some(({ closed }) => !closed)) {
    return {
      ok: false,
      error: refusal('open-section', `The surface is open where the ${plane.cut} cut meets it; an outline must close.`),
    };
  }
  const [largest, ...others] = seen.map(({ polygon }) => polygon).filter((polygon) => polygonArea(polygon) > 0);
  if (!largest) {
    return { ok: false, error: refusal('no-section', `The ${plane.cut} cut does not meet the bone.`) };
  }
  return { ok: true, value: { axes, loops: [largest, ...others] } };
}

/** Least and greatest coordinate along one axis of loops. */
export function extentOf(loops: readonly Polygon[], axis: 0 | 1): readonly [number, number] {
  let [least, most] = [Infinity, -Infinity];
  for (const loop of loops) {
    for (const p of loop) {
      least = Math.min(least, p[axis]);
      most = Math.max(most, p[axis]);
    }
  }
  return [least, most];
}

/** From the first to the last place where loops cross the line on which the other axis reads `at`; `undefined` if none does. */
export function chordAt(loops: readonly Polygon[], axis: 0 | 1, at: number): readonly [number, number] | undefined {
  const other = axis === 0 ? 1 : 0;
  let [least, most] = [Infinity, -Infinity];
  for (const loop of loops) {
    loop.forEach((a, i) => {
      const b = loop[(i + 1) % loop.length]!;
      if (a[other] > at === b[other] > at) return;
      const crossing = a[axis] + ((at - a[other]) / (b[other] - a[other])) * (b[axis] - a[axis]);
      least = Math.min(least, crossing);
      most = Math.max(most, crossing);
    });
  }
  return least <= most ? [least, most] : undefined;
}
