import { along, cross, dot, type Field, subtract, unit, type Vec3 } from '@kerfline/geometry';
import { headCentre, type ShaftAxis } from './femur-axis.ts';
import type { FemurParameters } from './knee-parameters.ts';
import { ellipsoid, sphere, taperedRod } from './primitives.ts';
import { smoothMax, smoothMin } from './smooth-blend.ts';
import { curveThrough, splineCurve } from './spline-table.ts';

/** The radius that the drawing of neck and trochanters is made for, mm. */
const DRAWN_HEAD_RADIUS_MM = 23;

/**
 * Head, neck, trochanters and the top of the shaft.
 *
 * The head is a sphere, exact except where it runs into the neck and in the small pit of its ligament.
 *
 * @param shaft the tube of the shaft, which goes on above
 */
export function proximalFemur(femur: FemurParameters, axis: ShaftAxis, shaft: Field): Field {
  const r = femur.headRadiusMm;
  const s = r / DRAWN_HEAD_RADIUS_MM;
  const centre = headCentre(femur);
  const top = centre[2];
  const { neck, neckBase } = axis;
  const head = sphere(centre, r);
  const pit = sphere(along(centre, unit([-0.85, -0.25, 0.35]), r + 4 * s), 6.5 * s);

  // The neck: an oval tube, higher than deep, narrowest just below the head.
  const length = dot(subtract(centre, neckBase), neck);
  const across = unit(cross(neck, [0, 0, 1]));
  const upward = cross(across, neck);
  const tube = { from: 0, to: length + 8, steps: 24 };
  const tall = splineCurve(
    tube,
    curveThrough([
      [0, 0.78 * r],
      [0.8 * r, 0.7 * r],
      [1.2 * r, 0.69 * r],
      [1.6 * r, 0.76 * r],
      [length, 1.02 * r],
      [length + 8, 1.05 * r],
    ]),
  );
  const deep = splineCurve(
    tube,
    curveThrough([
      [0, 0.68 * r],
      [0.9 * r, 0.57 * r],
      [1.4 * r, 0.56 * r],
      [length, 0.66 * r],
      [length + 8, 0.68 * r],
    ]),
  );
  const neckTube: Field = (x, y, z) => {
    const t = -(x * neck[0] + y * neck[1] + (z - top) * neck[2]);
    const u = (x * upward[0] + y * upward[1] + (z - top) * upward[2]) / tall(t);
    const v = (x * across[0] + y * across[1] + (z - top) * across[2]) / deep(t);
    const reach = Math.sqrt(u * u + v * v);
    const steepness = Math.sqrt((u / tall(t)) ** 2 + (v / deep(t)) ** 2);
    const side = steepness > 1e-9 ? (reach * (reach - 1)) / steepness : -deep(t);
    return smoothMax(side, Math.max(-t, t - length - 4 * s), 8 * s);
  };

  const at = (l: number, a: number, p: number): Vec3 => [neckBase[0] + l * s, neckBase[1] + a * s, neckBase[2] + p * s];
  const greater = ellipsoid(at(12, -5, -4), [15 * s, 17 * s, 25 * s]);
  const greaterTip = ellipsoid(at(8, -13, 15), [11 * s, 10 * s, 13 * s]);
  const fossa = sphere(at(-7, -21.5, 11), 8.5 * s);
  const lesser = taperedRod(at(-6, -6, -32), at(-16, -14, -33), 12 * s, 7.5 * s);
  const crest = taperedRod(at(8, -13, 6), at(-12, -11, -26), 10 * s, 8 * s);
  const lid = neckBase[2] + 2 * s;

  return (x, y, z) => {
    let body = smoothMax(shaft(x, y, z), z - lid, 14 * s);
    body = smoothMin(body, greater(x, y, z), 12 * s);
    body = smoothMin(body, neckTube(x, y, z), 14 * s);
    body = smoothMin(body, greaterTip(x, y, z), 14 * s);
    body = smoothMin(body, crest(x, y, z), 12 * s);
    body = smoothMin(body, lesser(x, y, z), 10 * s);
    body = smoothMax(body, -fossa(x, y, z), 9 * s);
    body = smoothMin(body, head(x, y, z), 4 * s);
    return smoothMax(body, -pit(x, y, z), 2 * s);
  };
}
