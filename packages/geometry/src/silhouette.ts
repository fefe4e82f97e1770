import type { Surface } from './mesh.ts';
import type { Polygon } from './polygon.ts';
import { cross, dot, unit, unitSquareTo, type Vec3 } from './vec3.ts';

/** What a surface looks like from one direction, as lines in the picture plane: right and up, mm. */
export interface Silhouette {
  /** Closed outer and inner borders of what is seen, outer ones counter-clockwise. */
  readonly outline: readonly Polygon[];
  /** Lines inside the outline where a nearer part stands in front of a farther one. */
  readonly folds: readonly Polygon[];
}

/** A nearer part must stand this far in front to make a fold, mm. */
const foldDepthMm = 2.5;
/** Lines shorter than this are noise, mm. */
const leastLineMm = 6;

/**
 * Outline and folds of a surface seen from a direction, by a depth picture.
 *
 * @param from unit vector from the surface towards the eye
 * @param up picture's up, before it is made square to `from`
 * @param pixelMm edge of a picture cell, mm
 */
export function silhouette(surface: Surface, from: Vec3, up: Vec3, pixelMm: number): Silhouette {
  const eye = unit(from);
  const v = unitSquareTo(up, eye);
  const u = cross(v, eye);
  const { positions: p, triangles: t } = surface;
  const count = p.length / 3;
  const pu = new Float64Array(count);
  const pv = new Float64Array(count);
  const pd = new Float64Array(count);
  let [u0, v0, u1, v1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < count; i += 1) {
    const q: Vec3 = [p[3 * i]!, p[3 * i + 1]!, p[3 * i + 2]!];
    pu[i] = dot(u, q);
    pv[i] = dot(v, q);
    pd[i] = dot(eye, q);
    u0 = Math.min(u0, pu[i]!);
    v0 = Math.min(v0, pv[i]!);
    u1 = Math.max(u1, pu[i]!);
    v1 = Math.max(v1, pv[i]!);
  }
  u0 -= 2 * pixelMm;
  v0 -= 2 * pixelMm;
  const w = Math.ceil((u1 - u0) / pixelMm) + 3;
  const h = Math.ceil((v1 - v0) / pixelMm) + 3;
  const depth = new Float32Array(w * h).fill(-Infinity);
  for (let i = 0; i < t.length; i += 3) {
    const [a, b, c] = [t[i]!, t[i + 1]!, t[i + 2]!];
    const [ax, ay, bx, by, cx, cy] = [pu[a]!, pv[a]!, pu[b]!, pv[b]!, pu[c]!, pv[c]!];
    const area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    if (area === 0) continue;
    const i0 = Math.max(0, Math.floor((Math.min(ax, bx, cx) - u0) / pixelMm));
    const i1 = Math.min(w - 1, Math.ceil((Math.max(ax, bx, cx) - u0) / pixelMm));
    const j0 = Math.max(0, Math.floor((Math.min(ay, by, cy) - v0) / pixelMm));
    const j1 = Math.min(h - 1, Math.ceil((Math.max(ay, by, cy) - v0) / pixelMm));
    for (let j = j0; j <= j1; j += 1) {
      const y = v0 + j * pixelMm;
      for (let k = i0; k <= i1; k += 1) {
        const x = u0 + k * pixelMm;
        const wa = ((bx - x) * (cy - y) - (by - y) * (cx - x)) / area;
        const wb = ((cx - x) * (ay - y) - (cy - y) * (ax - x)) / area;
        const wc = 1 - wa - wb;
        if (wa < -1e-9 || wb < -1e-9 || wc < -1e-9) continue;
        const d = wa * pd[a]! + wb * pd[b]! + wc * pd[c]!;
        if (d > depth[k + w * j]!) depth[k + w * j] = d;
      }
    }
  }
  const seen = (k: number, j: number): boolean => k >= 0 && j >= 0 && k < w && j < h && depth[k + w * j]! > -Infinity;
  const place = (k: number, j: number): readonly [number, number] => [u0 + k * pixelMm, v0 + j * pixelMm];
  const outline = borders(w, h, seen).map((loop) =>
    simplified(smoothedLoop(loop.map(([k, j]) => place(k, j))), 0.12 * pixelMm),
  );
  const jump = (a: number, b: number): boolean =>
    depth[a]! > -Infinity && depth[b]! > -Infinity && Math.abs(depth[a]! - depth[b]!) > foldDepthMm;
  const folds = chains(foldSegments(w, h, jump))
    .map((line) => simplified(smoothed(line.map(([k, j]) => place(k, j))), 0.5 * pixelMm))
    .filter((line) => lengthOf(line) >= leastLineMm);
  return { outline: outline.filter((loop) => lengthOf(loop) >= leastLineMm), folds };
}

const lengthOf = (polygon: Polygon): number =>
  polygon.slice(1).reduce((sum, q, i) => sum + Math.hypot(q[0] - polygon[i]![0], q[1] - polygon[i]![1]), 0);

type Cell = readonly [number, number];

/** Borders of the seen cells half way between cells, by marching squares; material on the left. */
function borders(w: number, h: number, seen: (k: number, j: number) => boolean): readonly (readonly Cell[])[] {
  const next = new Map<string, Cell[]>();
  const key = ([x, y]: Cell): string => `${x},${y}`;
  const add = (a: Cell, b: Cell): void => {
    const list = next.get(key(a)) ?? [];
    list.push(b);
    next.set(key(a), list);
  };
  for (let j = -1; j < h; j += 1)
    for (let k = -1; k < w; k += 1) {
      const [s00, s10, s01, s11] = [seen(k, j), seen(k + 1, j), seen(k, j + 1), seen(k + 1, j + 1)];
      const code = (s00 ? 1 : 0) | (s10 ? 2 : 0) | (s11 ? 4 : 0) | (s01 ? 8 : 0);
      const bottom: Cell = [k + 0.5, j];
      const right: Cell = [k + 1, j + 0.5];
      const top: Cell = [k + 0.5, j + 1];
      const left: Cell = [k, j + 0.5];
      const segments: Readonly<Record<number, readonly (readonly [Cell, Cell])[]>> = {
        1: [[bottom, left]],
        2: [[right, bottom]],
        3: [[right, left]],
        4: [[top, right]],
        5: [
          [bottom, right],
          [top, left],
        ],
        6: [[top, bottom]],
        7: [[top, left]],
        8: [[left, top]],
        9: [[bottom, top]],
        10: [
          [left, bottom],
          [right, top],
        ],
        11: [[right, top]],
        12: [[left, right]],
        13: [[bottom, right]],
        14: [[left, bottom]],
      };
      for (const [a, b] of segments[code] ?? []) add(a, b);
    }
  const loops: Cell[][] = [];
  for (const start of [...next.keys()]) {
    while ((next.get(start)?.length ?? 0) > 0) {
      const loop: Cell[] = [];
      let at = start;
      for (;;) {
        const list = next.get(at);
        const to = list?.pop();
        if (!to) break;
        loop.push(to);
        at = key(to);
        if (at === start) break;
      }
      if (loop.length > 2) loops.push(loop);
    }
  }
  return loops.sort((a, b) => b.length - a.length);
}

/** Short segments between cells whose depth jumps, as pairs of lattice corners. */
function foldSegments(
  w: number,
  h: number,
  jump: (a: number, b: number) => boolean,
): readonly (readonly [Cell, Cell])[] {
  const out: (readonly [Cell, Cell])[] = [];
  for (let j = 1; j < h - 1; j += 1)
    for (let k = 1; k < w - 1; k += 1) {
      const n = k + w * j;
      if (jump(n, n + 1)) {
        out.push([
          [k + 0.5, j - 0.5],
          [k + 0.5, j + 0.5],
        ]);
      }
      if (jump(n, n + w)) {
        out.push([
          [k - 0.5, j + 0.5],
          [k + 0.5, j + 0.5],
        ]);
      }
    }
  return out;
}

/** Joins segments that share ends into lines. */
function chains(segments: readonly (readonly [Cell, Cell])[]): readonly (readonly Cell[])[] {
  const key = ([x, y]: Cell): string => `${x},${y}`;
  const ends = new Map<string, number[]>();
  segments.forEach((segment, i) => {
    for (const end of segment) ends.set(key(end), [...(ends.get(key(end)) ?? []), i]);
  });
  const used = new Set<number>();
  const follow = (from: Cell): Cell[] => {
    const line: Cell[] = [];
    let at = from;
    for (;;) {
      const open = (ends.get(key(at)) ?? []).filter((i) => !used.has(i));
      // A junction ends a line, so that a line has one course.
      if (open.length !== 1) return line;
      const [a, b] = segments[open[0]!]!;
      used.add(open[0]!);
      at = key(a) === key(at) ? b : a;
      line.push(at);
    }
  };
  const lines: Cell[][] = [];
  segments.forEach(([a, b], i) => {
    if (used.has(i)) return;
    used.add(i);
    const back = follow(a).reverse();
    lines.push([...back, a, b, ...follow(b)]);
  });
  return lines;
}

/** A closed stair of cells as a soft loop: the mean of a short stretch, weighted to its middle, so that corners stay. */
function smoothedLoop(polygon: Polygon): Polygon {
  const weights = [1, 3, 5, 6, 5, 3, 1];
  const total = weights.reduce((sum, w) => sum + w, 0);
  const n = polygon.length;
  return polygon.map((_, i) => {
    let [x, y] = [0, 0];
    weights.forEach((w, k) => {
      const q = polygon[(i + k - 3 + n) % n]!;
      x += (w * q[0]) / total;
      y += (w * q[1]) / total;
    });
    return [x, y] as const;
  });
}

/** A stair of cells as a soft line: each point becomes the mean of its neighbourhood. */
const smoothed = (polygon: Polygon): Polygon =>
  polygon.map((q, i) => {
    if (i === 0 || i === polygon.length - 1) return q;
    const near = polygon.slice(Math.max(0, i - 2), i + 3);
    return [
      near.reduce((sum, n) => sum + n[0], 0) / near.length,
      near.reduce((sum, n) => sum + n[1], 0) / near.length,
    ] as const;
  });

/** Leaves out points that lie within `tolerance` of the line between their neighbours (Douglas and Peucker 1973). */
export function simplified(polygon: Polygon, tolerance: number): Polygon {
  if (polygon.length < 3) return polygon;
  const keep = new Uint8Array(polygon.length);
  keep[0] = 1;
  keep[polygon.length - 1] = 1;
  const work: [number, number][] = [[0, polygon.length - 1]];
  for (let range = work.pop(); range; range = work.pop()) {
    const [from, to] = range;
    const [ax, ay] = polygon[from]!;
    const [bx, by] = polygon[to]!;
    const size = Math.hypot(bx - ax, by - ay);
    let far = -1;
    let best = tolerance;
    for (let i = from + 1; i < to; i += 1) {
      const [x, y] = polygon[i]!;
      const off = size > 0 ? Math.abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / size : Math.hypot(x - ax, y - ay);
      if (off > best) {
        best = off;
        far = i;
      }
    }
    if (far > 0) {
      keep[far] = 1;
      work.push([from, far], [far, to]);
    }
  }
  return polygon.filter((_, i) => keep[i] === 1);
}
