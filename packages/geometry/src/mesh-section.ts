import type { Plane, Point3 } from './frames.ts';
import type { Surface } from './mesh.ts';
import { type Polygon, polygonArea } from './polygon.ts';
import { add, cross, dot, scaled, unitSquareTo, type Vec3 } from './vec3.ts';

/** One loop of a plane section. */
export interface Contour {
  /** False when the surface is open and the loop runs out at its edge. */
  readonly closed: boolean;
  /** In the plane's own two axes, mm; material lies on the left, so an outer loop has positive area and a hole negative. */
  readonly polygon: Polygon;
}

/** A plane with two axes of its own: first x second = normal. */
export interface SectionPlane<F extends string> {
  readonly plane: Plane<F>;
  readonly origin: Vec3;
  readonly first: Vec3;
  readonly second: Vec3;
}

/**
 * Gives a plane two axes to measure along.
 *
 * @param firstNear the first axis before it is made square to the plane's normal
 */
export function sectionPlane<F extends string>(plane: Plane<F>, firstNear: Vec3): SectionPlane<F> {
  const first = unitSquareTo(firstNear, plane.normal);
  return {
    plane,
    origin: scaled(plane.normal, plane.offset),
    first,
    second: cross(plane.normal, first),
  };
}

/** The place of a point of a contour in the mesh's frame. */
export const liftedFrom = <F extends string>(axes: SectionPlane<F>, p: readonly [number, number]): Point3<F> => ({
  frame: axes.plane.frame,
  xyz: add(axes.origin, add(scaled(axes.first, p[0]), scaled(axes.second, p[1]))),
});

/** A point's coordinates along the two axes of a section plane. */
export const flattenedOn = <F extends string>(axes: SectionPlane<F>, p: Point3<F>): readonly [number, number] => [
  dot(axes.first, p.xyz) - dot(axes.first, axes.origin),
  dot(axes.second, p.xyz) - dot(axes.second, axes.origin),
];

/**
 * Where a plane cuts a surface: every loop, largest first. A vertex exactly on the plane counts as just below it, so loops
 * close whatever the plane touches.
 */
export function section<F extends string>(
  mesh: Surface & { readonly frame: F },
  axes: SectionPlane<F>,
): readonly Contour[] {
  const { positions: p, triangles: t } = mesh;
  const [nx, ny, nz] = axes.plane.normal;
  const offset = axes.plane.offset;
  const vertices = p.length / 3;
  const above = new Uint8Array(vertices);
  for (let v = 0, i = 0; v < vertices; v += 1, i += 3) {
    if (nx * p[i]! + ny * p[i + 1]! + nz * p[i + 2]! - offset > 0) above[v] = 1;
  }
  // One segment a crossed triangle, from the edge where the surface goes down to the edge where it comes up again; seen
  // against the normal this keeps material on the left. An edge is named by its two vertices.
  const nextEdge = new Map<number, number>();
  for (let i = 0; i < t.length; i += 3) {
    const a = t[i]!;
    const b = t[i + 1]!;
    const c = t[i + 2]!;
    const corners = above[a]! | (above[b]! << 1) | (above[c]! << 2);
    if (corners === 0 || corners === 7) continue;
    let enter: number;
    let leave: number;
    switch (corners) {
      case 1:
        enter = edgeName(a, b, vertices);
        leave = edgeName(c, a, vertices);
        break;
      case 2:
        enter = edgeName(b, c, vertices);
        leave = edgeName(a, b, vertices);
        break;
      case 4:
        enter = edgeName(c, a, vertices);
        leave = edgeName(b, c, vertices);
        break;
      case 3:
        enter = edgeName(b, c, vertices);
        leave = edgeName(c, a, vertices);
        break;
      case 5:
        enter = edgeName(a, b, vertices);
        leave = edgeName(b, c, vertices);
        break;
      default:
        enter = edgeName(c, a, vertices);
        leave = edgeName(a, b, vertices);
    }
    nextEdge.set(enter, leave);
  }
  const uo = dot(axes.first, axes.origin);
  const vo = dot(axes.second, axes.origin);
  const crossing = (edge: number): readonly [number, number] => {
    const low = Math.floor(edge / vertices);
    const high = edge - low * vertices;
    const dl = nx * p[3 * low]! + ny * p[3 * low + 1]! + nz * p[3 * low + 2]! - offset;
    const dh = nx * p[3 * high]! + ny * p[3 * high + 1]! + nz * p[3 * high + 2]! - offset;
    const s = dl === dh ? 0 : dl / (dl - dh);
    const x = p[3 * low]! + s * (p[3 * high]! - p[3 * low]!);
    const y = p[3 * low + 1]! + s * (p[3 * high + 1]! - p[3 * low + 1]!);
    const z = p[3 * low + 2]! + s * (p[3 * high + 2]! - p[3 * low + 2]!);
    return [
      axes.first[0] * x + axes.first[1] * y + axes.first[2] * z - uo,
      axes.second[0] * x + axes.second[1] * y + axes.second[2] * z - vo,
    ];
  };
  const contours: Contour[] = [];
  const starts = new Set(nextEdge.keys());
  for (const next of nextEdge.values()) starts.delete(next);
  // Open chains first (they have a start that nothing leads to), then the loops that remain.
  for (const begin of [...starts, ...nextEdge.keys()]) {
    if (!nextEdge.has(begin)) continue;
    const polygon: (readonly [number, number])[] = [crossing(begin)];
    let edge = begin;
    let closed = false;
    for (;;) {
      const next = nextEdge.get(edge);
      nextEdge.delete(edge);
      if (next === undefined) break;
      if (next === begin) {
        closed = true;
        break;
      }
      polygon.push(crossing(next));
      edge = next;
    }
    contours.push({ closed, polygon });
  }
  const size = (c: Contour): number => Math.abs(polygonArea(c.polygon));
  return contours.sort((a, b) => size(b) - size(a));
}

const edgeName = (a: number, b: number, vertices: number): number => (a < b ? a * vertices + b : b * vertices + a);
