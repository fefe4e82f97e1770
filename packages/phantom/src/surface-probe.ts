import { add, along, cross, dot, type Field, gradient, unit, type Vec3 } from '@kerfline/geometry';
import { STEEPNESS } from './body.ts';
import { crossing, entry } from './surface-ray.ts';

/** How finely a surface is looked at, before every found place is refined. */
export interface Sampling {
  /** Step of the grids of places looked at, mm. */
  readonly stepMm: number;
  /** Rays around a cross section. */
  readonly rays: number;
}

/** Three unit vectors square to each other with a common origin: l x a = p. */
export interface Axes {
  readonly origin: Vec3;
  readonly l: Vec3;
  readonly a: Vec3;
  readonly p: Vec3;
}

/** Axes from P and a direction near L. */
export function axesFrom(origin: Vec3, proximal: Vec3, lateralNear: Vec3): Axes {
  const p = unit(proximal);
  const l = unit(along(lateralNear, p, -dot(lateralNear, p)));
  return { origin, l, a: cross(p, l), p };
}

export const place = (axes: Axes, [l, a, p]: Vec3): Vec3 =>
  along(along(along(axes.origin, axes.l, l), axes.a, a), axes.p, p);

export function coordinates(axes: Axes, at: Vec3): Vec3 {
  const d = along(at, axes.origin, -1);
  return [dot(d, axes.l), dot(d, axes.a), dot(d, axes.p)];
}

export const opposite = (d: Vec3): Vec3 => [-d[0], -d[1], -d[2]];

/** Outward unit normal where the field is zero. */
export const normalAt = (field: Field, at: Vec3): Vec3 => unit(gradient(field, at, 0.1));

/** A direction to look at a bone from, along one of its axes. */
export interface View {
  /** Across the picture and up it, unit. */
  readonly u: Vec3;
  readonly v: Vec3;
  /** From the bone to the eye, unit. */
  readonly toward: Vec3;
  readonly origin: Vec3;
  /** Where the eye is and where it stops looking, along `toward` from the origin, mm. */
  readonly eye: number;
  readonly end: number;
}

/** The place first seen at (u, v) of a view, as its distance from the origin along `toward`, mm. */
export function depthSeen(field: Field, view: View, u: number, v: number): number | undefined {
  const start = along(along(along(view.origin, view.u, u), view.v, v), view.toward, view.eye);
  const gone = entry(field, start, opposite(view.toward), view.eye - view.end, STEEPNESS);
  return gone === undefined ? undefined : view.eye - gone;
}

export const placeSeen = (view: View, u: number, v: number, depth: number): Vec3 =>
  along(along(along(view.origin, view.u, u), view.v, v), view.toward, depth);

export interface Region {
  readonly u: readonly [number, number];
  readonly v: readonly [number, number];
}

/** How far around a place found in the round before a search looks again, mm. */
const NEAR_MM = 8;

/** The part of a region near a place of a view that was found before; all of it when there is none. */
export function narrowed(view: View, { u, v }: Region, before: Vec3 | undefined): Region {
  if (before === undefined) return { u, v };
  const d = along(before, view.origin, -1);
  const around = (at: number, [from, to]: readonly [number, number]): readonly [number, number] => [
    Math.max(from, at - NEAR_MM),
    Math.min(to, at + NEAR_MM),
  ];
  return { u: around(dot(d, view.u), u), v: around(dot(d, view.v), v) };
}

/** From steps of this size on a peak is taken to be a smooth hill, and its top is where its slope vanishes, mm. */
const HILL_MM = 0.1;

/** How near the edge of a region a peak is no peak, mm. */
const EDGE_MM = 1e-3;

/** Shifts of the middle of a section below which it stands still, mm. */
const MIDDLE_MM = 1e-5;

export interface Peak {
  readonly u: number;
  readonly v: number;
  readonly value: number;
}

/**
 * The largest value of a function of two numbers in a region: all places of a square grid, then ever smaller steps from the
 * best of them, then the place where the slope vanishes (Newton's method by differences). Throws when nothing is seen, or
 * when the best lies on the region's edge, where it is not a peak.
 *
 * @param step of the grid, mm; finer than half the distance between rival peaks
 */
export function peak(value: (u: number, v: number) => number | undefined, { u, v }: Region, step: number): Peak {
  let best: Peak = { u: Number.NaN, v: Number.NaN, value: Number.NEGATIVE_INFINITY };
  const look = (atU: number, atV: number): boolean => {
    if (atU < u[0] || atU > u[1] || atV < v[0] || atV > v[1]) return false;
    const found = value(atU, atV);
    if (found === undefined || !(found > best.value)) return false;
    best = { u: atU, v: atV, value: found };
    return true;
  };
  for (let atU = u[0]; atU <= u[1]; atU += step) for (let atV = v[0]; atV <= v[1]; atV += step) look(atU, atV);
  for (let h = step / 2; h > HILL_MM; h /= 2) {
    for (let moved = true; moved; ) {
      const { u: atU, v: atV } = best;
      moved = false;
      for (const du of [-h, 0, h]) for (const dv of [-h, 0, h]) if (look(atU + du, atV + dv)) moved = true;
    }
  }
  if (!(Math.min(best.u - u[0], u[1] - best.u, best.v - v[0], v[1] - best.v) > EDGE_MM)) {
    throw new Error(`no peak inside the region: the best is at (${best.u}, ${best.v})`);
  }
  for (let round = 0; round < 8; round += 1) {
    const at = (i: number, j: number): number => value(best.u + i * HILL_MM, best.v + j * HILL_MM) ?? Number.NaN;
    const [e, w, n, s] = [at(1, 0), at(-1, 0), at(0, 1), at(0, -1)];
    const [gu, gv] = [(e - w) / (2 * HILL_MM), (n - s) / (2 * HILL_MM)];
    const uu = (e - 2 * best.value + w) / HILL_MM ** 2;
    const vv = (n - 2 * best.value + s) / HILL_MM ** 2;
    const uv = (at(1, 1) - at(1, -1) - at(-1, 1) + at(-1, -1)) / (4 * HILL_MM ** 2);
    const det = uu * vv - uv * uv;
    const [du, dv] = [(uv * gv - vv * gu) / det, (uv * gu - uu * gv) / det];
    // Not a hill, or the top is farther off than its shape is known.
    if (!(det > 0 && uu < 0 && Math.hypot(du, dv) < 5 * HILL_MM)) break;
    const next = value(best.u + du, best.v + dv);
    if (next === undefined || next < best.value - 1e-7) break;
    best = { u: best.u + du, v: best.v + dv, value: next };
    if (Math.hypot(du, dv) < 1e-6) break;
  }
  return best;
}

/** The largest value along a line, which may lie at its end; see `peak`. */
export function peakAlong(
  value: (t: number) => number | undefined,
  from: number,
  to: number,
  step: number,
): { readonly at: number; readonly value: number } {
  let at = Number.NaN;
  let best = Number.NEGATIVE_INFINITY;
  const look = (t: number): void => {
    const found = t < from || t > to ? undefined : value(t);
    if (found === undefined || !(found > best)) return;
    at = t;
    best = found;
  };
  for (let t = from; t <= to; t += step) look(t);
  for (let h = step / 2; h > HILL_MM; h /= 2) {
    const middle = at;
    look(middle - h);
    look(middle + h);
  }
  if (Number.isNaN(at)) throw new Error('nothing seen along the line');
  for (let round = 0; round < 8; round += 1) {
    const [before, after] = [value(at - HILL_MM) ?? Number.NaN, value(at + HILL_MM) ?? Number.NaN];
    const bend = (after - 2 * best + before) / HILL_MM ** 2;
    const move = -(after - before) / (2 * HILL_MM) / bend;
    if (!(bend < 0 && Math.abs(move) < 5 * HILL_MM && at + move >= from && at + move <= to)) break;
    const next = value(at + move);
    if (next === undefined || next < best - 1e-7) break;
    at += move;
    best = next;
    if (Math.abs(move) < 1e-6) break;
  }
  return { at, value: best };
}

/** Area, middle and second moments of a flat section, about axes in its plane, mm. */
export interface SectionMoments {
  readonly areaMm2: number;
  readonly centre: Vec3;
  /** Unit vector in the plane along which the section is longest; its sign is arbitrary. */
  readonly long: Vec3;
}

/**
 * Moments of the section through `start` in the plane of two unit vectors, from the distances to the surface in `rays`
 * directions; repeated about the middle found until that stands still. The section must be seen whole from its middle.
 *
 * @param start inside the bone
 */
export function sectionMoments(field: Field, start: Vec3, e1: Vec3, e2: Vec3, rays: number): SectionMoments {
  let middle = start;
  for (let round = 0; ; round += 1) {
    let [area, x, y, xx, xy, yy] = [0, 0, 0, 0, 0, 0];
    for (let i = 0; i < rays; i += 1) {
      const turn = (2 * Math.PI * i) / rays;
      const [c, s] = [Math.cos(turn), Math.sin(turn)];
      const r = exit(field, middle, add([c * e1[0], c * e1[1], c * e1[2]], [s * e2[0], s * e2[1], s * e2[2]]));
      const r2 = r * r;
      area += r2 / 2;
      x += (r2 * r * c) / 3;
      y += (r2 * r * s) / 3;
      xx += (r2 * r2 * c * c) / 4;
      xy += (r2 * r2 * c * s) / 4;
      yy += (r2 * r2 * s * s) / 4;
    }
    x /= area;
    y /= area;
    middle = along(along(middle, e1, x), e2, y);
    if (Math.hypot(x, y) < MIDDLE_MM || round > 20) {
      const turn = Math.atan2(2 * (xy / area - x * y), xx / area - x * x - (yy / area - y * y)) / 2;
      return {
        areaMm2: (area * 2 * Math.PI) / rays,
        centre: middle,
        long: along([e1[0] * Math.cos(turn), e1[1] * Math.cos(turn), e1[2] * Math.cos(turn)], e2, Math.sin(turn)),
      };
    }
  }
}

/** How far a point inside a body is from its surface along a unit vector, mm. */
export function exit(field: Field, start: Vec3, towards: Vec3): number {
  const outside: Field = (x, y, z) => -field(x, y, z);
  const gone = entry(outside, start, towards, 200, STEEPNESS);
  if (gone === undefined) throw new Error('the body does not end along the ray');
  return gone;
}

/** The deepest place of a grid over a square of the plane of two unit vectors: somewhere well inside the bone. */
export function deepest(field: Field, about: Vec3, e1: Vec3, e2: Vec3, reach: number): Vec3 {
  let best = about;
  let least = Number.POSITIVE_INFINITY;
  for (let u = -reach; u <= reach; u += 3) {
    for (let v = -reach; v <= reach; v += 3) {
      const at = along(along(about, e1, u), e2, v);
      const value = field(at[0], at[1], at[2]);
      if (value < least) {
        least = value;
        best = at;
      }
    }
  }
  return best;
}

/** Where a function passes through zero between two places where it has opposite signs. */
export function zeroBetween(value: (t: number) => number, from: number, to: number): number {
  return value(from) > 0
    ? crossing(value, from, value(from), to, value(to))
    : crossing(value, to, value(to), from, value(from));
}
