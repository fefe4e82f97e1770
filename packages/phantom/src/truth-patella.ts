import { cross, type Field, principalAxes, unitSquareTo, type Vec3 } from '@kerfline/geometry';
import {
  type Axes,
  depthSeen,
  exit,
  opposite,
  peak,
  place,
  placeSeen,
  type Sampling,
  type View,
} from './surface-probe.ts';

/** What a patella measures, every place in the frame it is drawn in, mm. */
export interface PatellaTruth {
  /** Origin in the middle of the volume; a along the smallest spread of the volume, forward; l near the femur's L. */
  readonly axes: Axes;
  readonly anterior: Vec3;
  readonly facetMedial: Vec3;
  readonly facetLateral: Vec3;
  readonly thicknessMm: number;
  readonly widthMm: number;
}

/**
 * Landmarks of a patella on its implicit surface.
 *
 * Its front-back axis is that of the smallest second moment of its volume; its L is the femur's L made square to it, because
 * the two larger moments are too nearly equal to tell width from height. `anterior` is the foremost point along its own front-back axis; a
 * facet point is what is seen from behind a quarter of the width medial and lateral of the middle of the volume, at its
 * level.
 *
 * @param femurLateral the femur's L in the patella's drawn frame
 */
export function patellaTruth(field: Field, femurLateral: Vec3, { stepMm }: Sampling): PatellaTruth {
  // Columns from back to front on a square grid, each integrated exactly.
  const behind: View = { origin: [0, 0, 0], u: [1, 0, 0], v: [0, 0, 1], toward: [0, -1, 0], eye: 40, end: -40 };
  const step = stepMm / 3;
  let volume = 0;
  const first = [0, 0, 0];
  const second = [0, 0, 0, 0, 0, 0];
  for (let l = -45; l <= 45; l += step) {
    for (let p = -50; p <= 50; p += step) {
      const depth = depthSeen(field, behind, l, p);
      if (depth === undefined) continue;
      const a0 = -depth;
      const a1 = a0 + exit(field, [l, a0 + 1e-6, p], [0, 1, 0]);
      const w = a1 - a0;
      const wa = (a1 * a1 - a0 * a0) / 2;
      volume += w;
      [w * l, wa, w * p].forEach((m, k) => {
        first[k] = first[k]! + m;
      });
      [w * l * l, wa * l, w * l * p, (a1 ** 3 - a0 ** 3) / 3, wa * p, w * p * p].forEach((m, k) => {
        second[k] = second[k]! + m;
      });
    }
  }
  const c: Vec3 = [first[0]! / volume, first[1]! / volume, first[2]! / volume];
  const m = (k: number, i: 0 | 1 | 2, j: 0 | 1 | 2): number => second[k]! / volume - c[i] * c[j];
  const [xx, xy, xz, yy, yz, zz] = [m(0, 0, 0), m(1, 0, 1), m(2, 0, 2), m(3, 1, 1), m(4, 1, 2), m(5, 2, 2)];
  const spread = principalAxes([
    [xx, xy, xz],
    [xy, yy, yz],
    [xz, yz, zz],
  ]).axes;
  const thin = spread[2];
  const a = thin[1] > 0 ? thin : opposite(thin);
  const l = unitSquareTo(femurLateral, a);
  const axes: Axes = { origin: c, l, a, p: cross(l, a) };

  const from = (toward: Vec3, u: Vec3, v: Vec3): View => ({ origin: c, u, v, toward, eye: 60, end: -60 });
  const extreme = (view: View) => peak((s, t) => depthSeen(field, view, s, t), { u: [-40, 40], v: [-40, 40] }, stepMm);
  const front = from(axes.a, axes.l, axes.p);
  const back = from(opposite(axes.a), axes.l, axes.p);
  const foremost = extreme(front);
  const widthMm = extreme(from(axes.l, axes.a, axes.p)).value + extreme(from(opposite(axes.l), axes.a, axes.p)).value;
  const facet = (at: number): Vec3 => {
    const depth = depthSeen(field, back, at, 0);
    if (depth === undefined) throw new Error('no facet a quarter of the width from the middle');
    return place(axes, [at, -depth, 0]);
  };
  return {
    axes,
    anterior: placeSeen(front, foremost.u, foremost.v, foremost.value),
    facetMedial: facet(-widthMm / 4),
    facetLateral: facet(widthMm / 4),
    thicknessMm: foremost.value + extreme(back).value,
    widthMm,
  };
}
