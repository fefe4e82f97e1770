import {
  along,
  fitLine,
  liftedFrom,
  planeAt,
  point,
  polygonCentroid,
  section,
  sectionPlane,
  type Vec3,
} from '@kerfline/geometry';
import type { BoneSurface } from './bone-surface.ts';

/** A straight line through the middle of a shaft. */
export interface ShaftAxis {
  readonly point: Vec3;
  /** Unit, proximal. */
  readonly direction: Vec3;
  /** Root mean square distance of the section centres from the line, mm: how bowed the shaft is there. */
  readonly rms: number;
}

/**
 * Centre line of the outer surface between two heights: centres of area of sections square to the line itself, a straight
 * line through them, repeated.
 *
 * @param low height of the first section along P, mm
 * @param high height of the last
 * @param passes how often the line is found anew, square to the last one
 * @param sections how many, evenly spaced
 */
export function shaftAxis(
  surface: BoneSurface,
  low: number,
  high: number,
  passes: number,
  sections: number,
): ShaftAxis {
  let axis: ShaftAxis = { point: [0, 0, (low + high) / 2], direction: [0, 0, 1], rms: 0 };
  for (let pass = 0; pass < passes; pass += 1) {
    const centres: Vec3[] = [];
    for (let k = 0; k < sections; k += 1) {
      const height = low + ((high - low) * k) / (sections - 1);
      // The point of the line at this height along P.
      const through = along(axis.point, axis.direction, (height - axis.point[2]) / axis.direction[2]);
      const plane = sectionPlane(planeAt(point('bone', through), axis.direction), [1, 0, 0]);
      const loop = section({ frame: 'bone', ...surface }, plane)[0];
      if (loop) centres.push(liftedFrom(plane, polygonCentroid(loop.polygon)).xyz);
    }
    if (centres.length < 3) throw new Error(`${centres.length} sections of a shaft between ${low} and ${high} mm`);
    const line = fitLine(centres);
    const up: Vec3 =
      line.direction[2] < 0 ? [-line.direction[0], -line.direction[1], -line.direction[2]] : line.direction;
    axis = { point: line.centroid, direction: up, rms: line.rms };
  }
  return axis;
}
