import { add, along, cross, type Surface, scaled, subtract, unit, type Vec3 } from '@kerfline/geometry';
import type { BentLimb } from './bent-limb.ts';
import type { FilmLimb } from './film-limb.ts';

/**
 * A ring of the envelope: where along its bone (share from the knee to the far joint), half widths to the side and to the front,
 * and how far its middle lies lateral and in front of the bone's axis, mm. Pictures only: common practice, no source.
 */
type Ring = readonly [share: number, side: number, front: number, lateral: number, ahead: number];
const thigh: readonly Ring[] = [
  [1.5, 105, 110, 10, 0],
  [1, 98, 100, 12, 0],
  [0.75, 84, 88, 14, 5],
  [0.5, 74, 78, 10, 8],
  [0.25, 64, 68, 4, 8],
  [0.1, 58, 64, 0, 8],
];
const shank: readonly Ring[] = [
  [0.1, 54, 58, 2, -2],
  [0.3, 54, 57, 3, -10],
  [0.5, 47, 50, 3, -10],
  [0.75, 36, 38, 2, -4],
  [0.95, 37, 40, 2, 0],
  [1.15, 36, 60, 2, 20],
];
const kneeRing: Ring = [0, 57, 64, 0, 8];
/** @numerical Corners of a ring. */
const around = 48;

/** One closed tube around the limb, in the limb's frame after the bend. */
export function softTissue(limb: FilmLimb, bent: BentLimb): Surface {
  const place = (name: string): Vec3 => bent.at(limb.sites[name] ?? { on: 'femur', at: [0, 0, 0] });
  const knee = place('femoralKneeCentre');
  const up = subtract(place('hipCentre'), knee);
  const downward = subtract(place('plafondCentre'), knee);
  const side = limb.bendLine.toward;
  const thighUp = unit(up);
  const shankUp = unit(scaled(downward, -1));
  const stations = [
    ...thigh.map((ring) => ({ ring, middle: along(knee, up, ring[0]), upward: thighUp })),
    { ring: kneeRing, middle: knee, upward: unit(add(thighUp, shankUp)) },
    ...shank.map((ring) => ({ ring, middle: along(knee, downward, ring[0]), upward: shankUp })),
  ];
  const points: Vec3[] = stations.flatMap(({ ring: [, wide, deep, lateral, ahead], middle, upward }) => {
    const front = unit(cross(upward, side));
    const centre = along(along(middle, side, lateral), front, ahead);
    return Array.from({ length: around }, (_, k) => {
      const turn = (2 * Math.PI * k) / around;
      return along(along(centre, side, wide * Math.cos(turn)), front, deep * Math.sin(turn));
    });
  });
  const triangles: number[] = [];
  // Rings run from the top down and each counter-clockwise seen from above.
  for (let s = 0; s + 1 < stations.length; s += 1) {
    for (let k = 0; k < around; k += 1) {
      const next = (k + 1) % around;
      const [a, b] = [s * around + k, s * around + next];
      triangles.push(a, a + around, b, b, a + around, b + around);
    }
  }
  const bottom = (stations.length - 1) * around;
  for (let k = 1; k + 1 < around; k += 1) triangles.push(0, k, k + 1, bottom, bottom + k + 1, bottom + k);
  return { positions: Float64Array.from(points.flat()), triangles: Uint32Array.from(triangles) };
}
