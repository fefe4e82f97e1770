import { add, along, cross, length, scaled, subtract, unit, unitSquareTo, type Vec3 } from '@kerfline/geometry';
import type { Pixel } from '@kerfline/knee';
import { type FilmCone, seenThrough, sourceOf } from './film-cone.ts';

/**
 * Points of the outline of a sphere on a film: where rays from the source touch it, a circle nearer to the source than the
 * middle. An exact ellipse, not a circle, away from the central ray.
 */
export function sphereOutline(cone: FilmCone, centre: Vec3, radiusMm: number, points: number): readonly Pixel[] {
  const { exposure } = seenThrough(cone, centre);
  const source = sourceOf(cone, exposure);
  const ray = subtract(centre, source);
  const far = length(ray);
  const n = unit(ray);
  const middle = along(centre, n, -(radiusMm ** 2) / far);
  const radius = radiusMm * Math.sqrt(1 - (radiusMm / far) ** 2);
  const first = unitSquareTo(cone.right, n);
  const second = cross(n, first);
  return Array.from({ length: points }, (_, i) => {
    const turn = (2 * Math.PI * i) / points;
    const rim = add(middle, add(scaled(first, radius * Math.cos(turn)), scaled(second, radius * Math.sin(turn))));
    return seenThrough(cone, rim, exposure).pixel;
  });
}
