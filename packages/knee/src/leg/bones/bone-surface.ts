import { type Rotation, rotated, type Surface, type Vec3 } from '@kerfline/geometry';

/**
 * A bone's surface while it is being measured: double precision, in some frame that the caller keeps in mind.
 * 3 numbers a vertex, 3 vertex numbers a triangle, counter-clockwise from outside.
 */
export interface BoneSurface extends Surface {
  readonly positions: Float64Array;
  /** Surface area that each vertex stands for, mm2: a third of the triangles around it. */
  readonly vertexAreas: Float64Array;
}

export function boneSurface(surface: Surface): BoneSurface {
  const positions = Float64Array.from(surface.positions);
  return {
    positions,
    triangles: surface.triangles,
    vertexAreas: vertexAreas({ positions, triangles: surface.triangles }),
  };
}

/** The surface seen from `origin` along the rows of `axes`. */
export function seenFrom(surface: BoneSurface, axes: Rotation, origin: Vec3): BoneSurface {
  const { positions: p } = surface;
  const out = new Float64Array(p.length);
  const [a, b, c] = axes;
  for (let i = 0; i < p.length; i += 3) {
    const x = p[i]! - origin[0];
    const y = p[i + 1]! - origin[1];
    const z = p[i + 2]! - origin[2];
    out[i] = a[0] * x + a[1] * y + a[2] * z;
    out[i + 1] = b[0] * x + b[1] * y + b[2] * z;
    out[i + 2] = c[0] * x + c[1] * y + c[2] * z;
  }
  return { positions: out, triangles: surface.triangles, vertexAreas: surface.vertexAreas };
}

/** The point back in the frame that `seenFrom` started from. */
export const placedBack = (p: Vec3, axes: Rotation, origin: Vec3): Vec3 => [
  axes[0][0] * p[0] + axes[1][0] * p[1] + axes[2][0] * p[2] + origin[0],
  axes[0][1] * p[0] + axes[1][1] * p[1] + axes[2][1] * p[2] + origin[1],
  axes[0][2] * p[0] + axes[1][2] * p[1] + axes[2][2] * p[2] + origin[2],
];

/** The triangles with a corner between two heights along the third axis, with the vertices they use. */
export function between(surface: BoneSurface, low: number, high: number): BoneSurface {
  const { positions: p, triangles: t } = surface;
  const inside = new Uint8Array(p.length / 3);
  for (let v = 0, i = 2; v < inside.length; v += 1, i += 3) if (p[i]! >= low && p[i]! <= high) inside[v] = 1;
  const renumbered = new Int32Array(p.length / 3).fill(-1);
  const kept = new Uint32Array(t.length);
  const used = new Uint32Array(p.length / 3);
  let [corners, vertices] = [0, 0];
  for (let i = 0; i < t.length; i += 3) {
    if (!(inside[t[i]!] || inside[t[i + 1]!] || inside[t[i + 2]!])) continue;
    for (let k = 0; k < 3; k += 1) {
      const v = t[i + k]!;
      if (renumbered[v] === -1) {
        renumbered[v] = vertices;
        used[vertices] = v;
        vertices += 1;
      }
      kept[corners] = renumbered[v]!;
      corners += 1;
    }
  }
  const positions = new Float64Array(3 * vertices);
  const vertexAreas = new Float64Array(vertices);
  for (let k = 0; k < vertices; k += 1) {
    const v = used[k]!;
    positions[3 * k] = p[3 * v]!;
    positions[3 * k + 1] = p[3 * v + 1]!;
    positions[3 * k + 2] = p[3 * v + 2]!;
    vertexAreas[k] = surface.vertexAreas[v]!;
  }
  return { positions, triangles: kept.slice(0, corners), vertexAreas };
}

export interface Faces {
  /** 3 numbers a triangle: its centre. */
  readonly centres: Float64Array;
  /** 3 numbers a triangle: its outward unit normal (zero for a triangle without area). */
  readonly normals: Float64Array;
  /** mm2 a triangle. */
  readonly areas: Float64Array;
}

/** Centre, outward normal and area of every triangle. */
export function faces(surface: Pick<BoneSurface, 'positions' | 'triangles'>): Faces {
  const { positions: p, triangles: t } = surface;
  const centres = new Float64Array(t.length);
  const normals = new Float64Array(t.length);
  const areas = new Float64Array(t.length / 3);
  for (let i = 0; i < t.length; i += 3) {
    const a = 3 * t[i]!;
    const b = 3 * t[i + 1]!;
    const c = 3 * t[i + 2]!;
    const ux = p[b]! - p[a]!;
    const uy = p[b + 1]! - p[a + 1]!;
    const uz = p[b + 2]! - p[a + 2]!;
    const vx = p[c]! - p[a]!;
    const vy = p[c + 1]! - p[a + 1]!;
    const vz = p[c + 2]! - p[a + 2]!;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    const size = Math.sqrt(nx * nx + ny * ny + nz * nz);
    areas[i / 3] = size / 2;
    if (size > 0) {
      normals[i] = nx / size;
      normals[i + 1] = ny / size;
      normals[i + 2] = nz / size;
    }
    for (let k = 0; k < 3; k += 1) centres[i + k] = (p[a + k]! + p[b + k]! + p[c + k]!) / 3;
  }
  return { centres, normals, areas };
}

function vertexAreas(surface: Pick<BoneSurface, 'positions' | 'triangles'>): Float64Array {
  const { triangles: t } = surface;
  const { areas } = faces(surface);
  const out = new Float64Array(surface.positions.length / 3);
  for (let i = 0; i < t.length; i += 3)
    for (let k = 0; k < 3; k += 1) out[t[i + k]!] = out[t[i + k]!]! + areas[i / 3]! / 3;
  return out;
}

/** Least and greatest coordinate along one axis. */
export function extent(surface: BoneSurface, axis: 0 | 1 | 2): readonly [number, number] {
  let low = Infinity;
  let high = -Infinity;
  for (let i = axis; i < surface.positions.length; i += 3) {
    const v = surface.positions[i]!;
    if (v < low) low = v;
    if (v > high) high = v;
  }
  return [low, high];
}

/** Area-weighted centre and second moments of a surface, for a first guess at its long axis. */
export function surfaceMoments(surface: BoneSurface): { readonly centre: Vec3; readonly moments: Rotation } {
  const { centres, areas } = faces(surface);
  let total = 0;
  const sum: [number, number, number] = [0, 0, 0];
  for (let f = 0; f < areas.length; f += 1) {
    total += areas[f]!;
    for (const k of [0, 1, 2] as const) sum[k] += areas[f]! * centres[3 * f + k]!;
  }
  const centre: Vec3 = [sum[0] / total, sum[1] / total, sum[2] / total];
  const m = [
    [0, 0, 0],
    [0, 0, 0],
    [0, 0, 0],
  ];
  for (let f = 0; f < areas.length; f += 1) {
    const d = [centres[3 * f]! - centre[0], centres[3 * f + 1]! - centre[1], centres[3 * f + 2]! - centre[2]];
    for (let r = 0; r < 3; r += 1) for (let c = 0; c < 3; c += 1) m[r]![c] = m[r]![c]! + areas[f]! * d[r]! * d[c]!;
  }
  return { centre, moments: m as unknown as Rotation };
}

/** A direction of a frame, back in the frame that `seenFrom` started from. */
export const turnedBack = (v: Vec3, axes: Rotation): Vec3 =>
  rotated(
    [
      [axes[0][0], axes[1][0], axes[2][0]],
      [axes[0][1], axes[1][1], axes[2][1]],
      [axes[0][2], axes[1][2], axes[2][2]],
    ],
    v,
  );
