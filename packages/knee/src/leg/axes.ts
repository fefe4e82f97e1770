import { cross, dot, type Rotation, subtract, unit, unitSquareTo, type Vec3 } from '@kerfline/geometry';

/**
 * Axes (rows L, A, P) of a femur from its own sites: P through the hip centre, L along the rear condyle line made square
 * to P. All arguments in one frame.
 */
export function femurAxes(hip: Vec3, knee: Vec3, posteriorMedial: Vec3, posteriorLateral: Vec3): Rotation {
  const p = unit(subtract(hip, knee));
  const l = unitSquareTo(subtract(posteriorLateral, posteriorMedial), p);
  return [l, cross(p, l), p];
}

/**
 * Axes (rows L, A, P) of a tibia: P away from the given ankle point, L along the tray's side-to-side line, which lies
 * `lineTurn` radians from the frame's first axis, made square to P.
 */
export function tibiaAxes(knee: Vec3, ankle: Vec3, lineTurn: number): Rotation {
  const p = unit(subtract(knee, ankle));
  const l = unitSquareTo([Math.cos(lineTurn), Math.sin(lineTurn), 0], p);
  return [l, cross(p, l), p];
}

/**
 * Clinical centre of the ankle: `ankleOffset` mm medial of the middle of the malleoli, along the tray's side-to-side line.
 * Aims, settings and proof use the axis through it.
 */
export function clinicalAnkle(knee: Vec3, malleolarMidpoint: Vec3, lineTurn: number, ankleOffset: number): Vec3 {
  const [l] = tibiaAxes(knee, malleolarMidpoint, lineTurn);
  return [
    malleolarMidpoint[0] - ankleOffset * l[0],
    malleolarMidpoint[1] - ankleOffset * l[1],
    malleolarMidpoint[2] - ankleOffset * l[2],
  ];
}

/** A vector's components along axes. */
export const seenAlong = (axes: Rotation, v: Vec3): Vec3 => [dot(axes[0], v), dot(axes[1], v), dot(axes[2], v)];
