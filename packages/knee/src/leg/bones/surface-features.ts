import { type Polygon, planeAt, point, section, sectionPlane, type Vec3 } from '@kerfline/geometry';
import type { BoneSurface } from './bone-surface.ts';

/**
 * Depth over which surface counts towards the place of a contact, mm. The depth itself is that of the farthest vertex; the
 * place along the surface is the mean of what lies this near, so that a mesh's own corners do not decide it.
 */
const contactDepthMm = 0.15;

/** A box of coordinates; bounds left out do not limit. */
export interface Within {
  readonly l?: readonly [number, number];
  readonly a?: readonly [number, number];
  readonly p?: readonly [number, number];
}

const inside = (within: Within, l: number, a: number, p: number): boolean =>
  (!within.l || (l >= within.l[0] && l <= within.l[1])) &&
  (!within.a || (a >= within.a[0] && a <= within.a[1])) &&
  (!within.p || (p >= within.p[0] && p <= within.p[1]));

/**
 * Where a plane moving in from outside, square to `towards`, first touches the surface.
 *
 * @param towards unit vector from the bone to the plane
 * @returns the place of contact; its depth along `towards` is exact, its place across is an area-weighted mean of what lies
 *   within a fraction of a millimetre; `undefined` when no vertex lies within
 */
export function contact(surface: BoneSurface, towards: Vec3, within: Within): Vec3 | undefined {
  const { positions: x, vertexAreas: areas } = surface;
  const [tl, ta, tp] = towards;
  let far = -Infinity;
  for (let i = 0; i < x.length; i += 3) {
    const d = tl * x[i]! + ta * x[i + 1]! + tp * x[i + 2]!;
    if (d > far && inside(within, x[i]!, x[i + 1]!, x[i + 2]!)) far = d;
  }
  if (far === -Infinity) return undefined;
  let [sl, sa, sp, sw] = [0, 0, 0, 0];
  for (let i = 0; i < x.length; i += 3) {
    const d = tl * x[i]! + ta * x[i + 1]! + tp * x[i + 2]!;
    if (far - d > 12 * contactDepthMm || !inside(within, x[i]!, x[i + 1]!, x[i + 2]!)) continue;
    const w = areas[i / 3]! * Math.exp((d - far) / contactDepthMm);
    sl += w * x[i]!;
    sa += w * x[i + 1]!;
    sp += w * x[i + 2]!;
    sw += w;
  }
  if (!(sw > 0)) return undefined;
  const centre: Vec3 = [sl / sw, sa / sw, sp / sw];
  const lift = far - (tl * centre[0] + ta * centre[1] + tp * centre[2]);
  return [centre[0] + lift * tl, centre[1] + lift * ta, centre[2] + lift * tp];
}

/** Lowest or highest point of the surface in each of a row of sagittal planes. */
export interface Outline {
  /** L of the first plane and distance between planes, mm. */
  readonly first: number;
  readonly step: number;
  /** P of the extreme point in each plane; NaN where the plane misses the surface. */
  readonly heights: Float64Array;
}

/**
 * The lower (or upper) outline as seen from the front: for each sagittal plane the extreme height of the surface there.
 *
 * @param low first L, mm
 * @param high last L, mm
 * @param step distance between planes, mm
 */
export function outline(
  surface: BoneSurface,
  low: number,
  high: number,
  step: number,
  which: 'lower' | 'upper',
  within: Within = {},
): Outline {
  const { positions: x, triangles: t } = surface;
  const count = Math.floor((high - low) / step) + 1;
  const heights = new Float64Array(count).fill(Number.NaN);
  const sign = which === 'lower' ? 1 : -1;
  const edge = (i: number, j: number): void => {
    const left = Math.min(x[i]!, x[j]!);
    const right = Math.max(x[i]!, x[j]!);
    if (right < low || left > high || left === right) return;
    const from = Math.max(0, Math.ceil((left - low) / step));
    const to = Math.min(count - 1, Math.floor((right - low) / step));
    for (let k = from; k <= to; k += 1) {
      const l = low + k * step;
      const s = (l - x[i]!) / (x[j]! - x[i]!);
      const a = x[i + 1]! + s * (x[j + 1]! - x[i + 1]!);
      const p = x[i + 2]! + s * (x[j + 2]! - x[i + 2]!);
      if (inside(within, l, a, p) && !(sign * p >= sign * heights[k]!)) heights[k] = p;
    }
  };
  for (let i = 0; i < t.length; i += 3) {
    const a = 3 * t[i]!;
    const b = 3 * t[i + 1]!;
    const c = 3 * t[i + 2]!;
    // Only faces that look towards the outline's side can hold its extreme point.
    const up = (x[b]! - x[a]!) * (x[c + 1]! - x[a + 1]!) - (x[b + 1]! - x[a + 1]!) * (x[c]! - x[a]!);
    if (sign * up > 0) continue;
    edge(a, b);
    edge(b, c);
    edge(c, a);
  }
  return { first: low, step, heights };
}

/** Every loop where a sagittal plane cuts the surface, as (A, P) pairs. */
export function sagittalCut(surface: BoneSurface, atL: number): readonly Polygon[] {
  const axes = sectionPlane(planeAt(point('bone', [atL, 0, 0]), [1, 0, 0]), [0, 1, 0]);
  return section({ frame: 'bone', ...surface }, axes).map((loop) => loop.polygon);
}

/** Every loop where a plane square to P cuts the surface, as (L, A) pairs, largest first. */
export function transverseCut(surface: BoneSurface, atP: number): readonly Polygon[] {
  const axes = sectionPlane(planeAt(point('bone', [0, 0, atP]), [0, 0, 1]), [1, 0, 0]);
  return section({ frame: 'bone', ...surface }, axes).map((loop) => loop.polygon);
}

/** Least and greatest of one coordinate over several loops. */
export function span(loops: readonly Polygon[], axis: 0 | 1): readonly [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (const loop of loops)
    for (const p of loop) {
      if (p[axis] < low) low = p[axis];
      if (p[axis] > high) high = p[axis];
    }
  return [low, high];
}

/**
 * Where a line across a plane cuts loops: the crossings' other coordinate, sorted.
 *
 * @param axis the coordinate that is held at `value`
 */
export function crossings(loops: readonly Polygon[], axis: 0 | 1, value: number): readonly number[] {
  const out: number[] = [];
  const other = axis === 0 ? 1 : 0;
  for (const loop of loops)
    for (let i = 0; i < loop.length; i += 1) {
      const a = loop[i]!;
      const b = loop[(i + 1) % loop.length]!;
      if (a[axis] < value === b[axis] < value) continue;
      const s = (value - a[axis]) / (b[axis] - a[axis]);
      out.push(a[other] + s * (b[other] - a[other]));
    }
  return out.sort((p, q) => p - q);
}
