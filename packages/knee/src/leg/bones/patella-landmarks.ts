import { principalAxes, type Rotation, rotationToAxes, scaled, type Vec3 } from '@kerfline/geometry';
import { type BoneSurface, extent, seenFrom, surfaceMoments } from './bone-surface.ts';
import { contact, crossings, sagittalCut } from './surface-features.ts';

/** Landmarks of a patella in its own frame (A along its thinnest axis, L as the femur's, origin at its middle), mm. */
export interface PatellaLandmarks {
  readonly patellaAnterior: Vec3;
  readonly patellaFacetMedial: Vec3;
  readonly patellaFacetLateral: Vec3;
  /** Between two plates held against front and back. */
  readonly thickness: number;
  readonly width: number;
  readonly height: number;
  /** Along A at a quarter of the width and height to each side of the middle: upper medial, upper lateral, lower medial, lower lateral. */
  readonly quadrants: readonly [number, number, number, number];
}

/** Facet points lie this share of the width to either side of the middle, half way up. */
const facetShare = 0.25;

/**
 * Landmarks of a patella.
 *
 * @param surface the bone in the femur's frame (L, A, P), so that its front is known
 * @returns the pose of its own frame there (rows are L, A, P) and landmarks in it
 */
export function patellaLandmarks(surface: BoneSurface): {
  readonly axes: Rotation;
  readonly origin: Vec3;
  readonly landmarks: PatellaLandmarks;
} {
  const { centre, moments } = surfaceMoments(surface);
  const thin = principalAxes(moments).axes[2];
  const front = thin[1] >= 0 ? thin : scaled(thin, -1);
  // Rows (first, second, third) = (L, A, P): P is made from the femur's P square to the thin axis.
  const up: Vec3 = [-front[0] * front[2], -front[1] * front[2], 1 - front[2] * front[2]];
  const axes = rotationToAxes(up, front);
  const own = seenFrom(surface, axes, centre);
  const [l0, l1] = extent(own, 0);
  const [a0, a1] = extent(own, 1);
  const [p0, p1] = extent(own, 2);
  const middle: readonly [number, number] = [(l0 + l1) / 2, (p0 + p1) / 2];
  const through = (atL: number, atP: number): readonly [number, number] => {
    const hits = crossings(sagittalCut(own, atL), 1, atP);
    return [hits[0] ?? Number.NaN, hits.at(-1) ?? Number.NaN];
  };
  const facet = (sign: 1 | -1): Vec3 => {
    const atL = middle[0] + sign * facetShare * (l1 - l0);
    return [atL, through(atL, middle[1])[0], middle[1]];
  };
  const quadrant = (signL: 1 | -1, signP: 1 | -1): number => {
    const [rear, fore] = through(
      middle[0] + signL * facetShare * (l1 - l0),
      middle[1] + signP * facetShare * (p1 - p0),
    );
    return fore - rear;
  };
  const anterior = contact(own, [0, 1, 0], {});
  if (!anterior) throw new Error('an empty patella');
  return {
    axes,
    origin: centre,
    landmarks: {
      patellaAnterior: anterior,
      patellaFacetMedial: facet(-1),
      patellaFacetLateral: facet(1),
      thickness: a1 - a0,
      width: l1 - l0,
      height: p1 - p0,
      quadrants: [quadrant(-1, 1), quadrant(1, 1), quadrant(-1, -1), quadrant(1, -1)],
    },
  };
}

/** Whether a patella lies where one can be in the femur's frame. */
export function patellaBelongs(surface: BoneSurface): boolean {
  const { centre } = surfaceMoments(surface);
  return Math.abs(centre[0]) < 45 && centre[1] > 5 && centre[1] < 90 && centre[2] > -80 && centre[2] < 110;
}
