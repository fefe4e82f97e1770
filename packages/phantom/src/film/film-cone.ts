import { dot, subtract, type Vec3 } from '@kerfline/geometry';
import type { Pixel } from '@kerfline/knee';

/** One exposure: where its source stood, and which stretch of the limb it gives to the film (mm down from the aim). */
export interface Exposure {
  readonly sourceDown: number;
  readonly from: number;
  readonly to: number;
}

/**
 * A point source, a flat detector and what lies between. Directions are unit vectors in the limb's frame; lengths mm.
 * Several exposures are joined where the plane of the bone meets itself; what lies nearer to the source or farther from it has a
 * small step at the seam, as on films joined by their own picture.
 */
export interface FilmCone {
  /** Toward the right and the bottom of the picture, and from the source to the detector. */
  readonly right: Vec3;
  readonly down: Vec3;
  readonly away: Vec3;
  /** Where the central ray meets the plane of the bone. */
  readonly aim: Vec3;
  readonly sourceDistanceMm: number;
  /** From the plane of the bone, through `aim`, to the detector. */
  readonly boneDistanceMm: number;
  readonly pixelMm: number;
  readonly columns: number;
  readonly rows: number;
  /** Down from the aim, at the detector, where the first row begins. */
  readonly topMm: number;
  readonly exposures: readonly Exposure[];
  /** The picture of the file is turned over, left for right. */
  readonly mirrored: boolean;
}

export interface Seen {
  readonly pixel: Pixel;
  /** By how much a small thing there is larger on the film than it is. */
  readonly magnification: number;
  readonly exposure: number;
}

/** Size of the bone's plane on the film. */
export const boneMagnification = (cone: FilmCone): number =>
  cone.sourceDistanceMm / (cone.sourceDistanceMm - cone.boneDistanceMm);

/** Which exposure shows a place `down` mm below the aim and magnified by `k`. */
function exposureOf(cone: FilmCone, down: number, k: number): number {
  const { exposures } = cone;
  if (exposures.length === 1) return 0;
  const m = boneMagnification(cone);
  const shows = exposures.findIndex(({ sourceDown, from, to }) => {
    const level = sourceDown * m + (down - sourceDown) * k;
    return level >= m * from && level < m * to;
  });
  if (shows >= 0) return shows;
  const nearest = exposures.findIndex(({ to }) => down < to);
  return nearest >= 0 ? nearest : exposures.length - 1;
}

/**
 * Where a place of the limb's frame is seen. A place behind the detector's plane is followed on along its ray.
 *
 * @param exposure which one to look through; the one that shows the place when left out
 */
export function seenThrough(cone: FilmCone, place: Vec3, exposure?: number): Seen {
  const from = subtract(place, cone.aim);
  const k = cone.sourceDistanceMm / (cone.sourceDistanceMm - cone.boneDistanceMm + dot(cone.away, from));
  const down = dot(cone.down, from);
  const by = exposure ?? exposureOf(cone, down, k);
  const { sourceDown } = cone.exposures[by]!;
  const level = sourceDown * boneMagnification(cone) + (down - sourceDown) * k;
  const column = cone.columns / 2 + (dot(cone.right, from) * k) / cone.pixelMm;
  return {
    pixel: [cone.mirrored ? cone.columns - column : column, (level - cone.topMm) / cone.pixelMm],
    magnification: k,
    exposure: by,
  };
}

/** The source of an exposure, in the limb's frame. */
export function sourceOf(cone: FilmCone, exposure: number): Vec3 {
  const back = cone.boneDistanceMm - cone.sourceDistanceMm;
  const { sourceDown } = cone.exposures[exposure]!;
  return [
    cone.aim[0] + back * cone.away[0] + sourceDown * cone.down[0],
    cone.aim[1] + back * cone.away[1] + sourceDown * cone.down[1],
    cone.aim[2] + back * cone.away[2] + sourceDown * cone.down[2],
  ];
}

export const onFilm = (cone: FilmCone, [column, row]: Pixel): boolean =>
  column >= 0 && column <= cone.columns && row >= 0 && row <= cone.rows;
