import { type PrincipalAxes, principalAxes } from './symmetric-eigen.ts';
import { along, dot, subtract, type Vec3 } from './vec3.ts';

/** A straight line through `centroid` along the unit vector `direction` (its sign is arbitrary). */
export interface FittedLine {
  readonly centroid: Vec3;
  readonly direction: Vec3;
  /** Root mean square distance of the points from the line, mm. */
  readonly rms: number;
}

/** A plane through `centroid` with unit `normal` (its sign is arbitrary). */
export interface FittedPlane {
  readonly centroid: Vec3;
  readonly normal: Vec3;
  /** Root mean square distance of the points from the plane, mm. */
  readonly rms: number;
}

interface Moments {
  readonly centroid: Vec3;
  readonly axes: PrincipalAxes;
}

/** Weighted centroid and second moments; no point, no weight or a place that is not finite throws. */
function moments(points: readonly Vec3[], weights?: readonly number[]): Moments {
  let total = 0;
  let centroid: Vec3 = [0, 0, 0];
  points.forEach((p, i) => {
    const w = weights?.[i] ?? 1;
    total += w;
    centroid = along(centroid, p, w);
  });
  if (!(total > 0)) throw new Error('no points, or points without weight');
  centroid = [centroid[0] / total, centroid[1] / total, centroid[2] / total];
  if (!centroid.every(Number.isFinite)) throw new Error('a point without a place');
  const m = [0, 0, 0, 0, 0, 0];
  points.forEach((p, i) => {
    const w = (weights?.[i] ?? 1) / total;
    const [x, y, z] = subtract(p, centroid);
    [x * x, x * y, x * z, y * y, y * z, z * z].forEach((v, k) => {
      m[k] = m[k]! + w * v;
    });
  });
  return {
    centroid,
    axes: principalAxes([
      [m[0]!, m[1]!, m[2]!],
      [m[1]!, m[3]!, m[4]!],
      [m[2]!, m[4]!, m[5]!],
    ]),
  };
}

/** The line with the least squared distance from at least two points. */
export function fitLine(points: readonly Vec3[], weights?: readonly number[]): FittedLine {
  const { centroid, axes } = moments(points, weights);
  return { centroid, direction: axes.axes[0], rms: Math.sqrt(Math.max(0, axes.values[1] + axes.values[2])) };
}

/** The plane with the least squared distance from at least three points that are not in line. */
export function fitPlane(points: readonly Vec3[], weights?: readonly number[]): FittedPlane {
  const { centroid, axes } = moments(points, weights);
  return { centroid, normal: axes.axes[2], rms: Math.sqrt(Math.max(0, axes.values[2])) };
}

/** Distance of a point from a line, mm. */
export function distanceFromLine(line: FittedLine, p: Vec3): number {
  const d = subtract(p, line.centroid);
  const t = dot(d, line.direction);
  return Math.sqrt(Math.max(0, dot(d, d) - t * t));
}
