import type { Surface } from './mesh.ts';

/** What a surface is like, before anything is measured on it. */
export interface MeshQuality {
  readonly vertices: number;
  readonly triangles: number;
  /** Edges that belong to one triangle only. */
  readonly openEdges: number;
  /** Edges that belong to three or more triangles. */
  readonly branchingEdges: number;
  /** Edges whose two triangles run along them in the same direction: one of the two faces the wrong way. */
  readonly windingConflicts: number;
  /** Triangles in each connected piece, largest first. */
  readonly pieces: readonly number[];
  /** Closed, every edge shared by exactly two triangles that agree. */
  readonly closed: boolean;
  /** Volume inside, mm3; negative when the surface faces inward. Meaningful only when `closed`. */
  readonly volumeMm3: number;
  readonly areaMm2: number;
  readonly degenerateTriangles: number;
}

/** Volume inside a closed surface by the divergence theorem, mm3; negative when it faces inward. */
export function volume(mesh: Surface): number {
  const { positions: p, triangles: t } = mesh;
  if (t.length === 0) return 0;
  // Sum about the first vertex, so that a body far from the scan's origin loses no digits.
  const ox = p[3 * t[0]!]!;
  const oy = p[3 * t[0]! + 1]!;
  const oz = p[3 * t[0]! + 2]!;
  let six = 0;
  for (let i = 0; i < t.length; i += 3) {
    const a = 3 * t[i]!;
    const b = 3 * t[i + 1]!;
    const c = 3 * t[i + 2]!;
    const ax = p[a]! - ox;
    const ay = p[a + 1]! - oy;
    const az = p[a + 2]! - oz;
    const bx = p[b]! - ox;
    const by = p[b + 1]! - oy;
    const bz = p[b + 2]! - oz;
    const cx = p[c]! - ox;
    const cy = p[c + 1]! - oy;
    const cz = p[c + 2]! - oz;
    six += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  }
  return six / 6;
}

/** Twice the area of each triangle as a vector along its outward normal: 3 numbers a triangle, mm2. */
export function doubleAreaNormals(mesh: Surface): Float64Array {
  const { positions: p, triangles: t } = mesh;
  const out = new Float64Array(t.length);
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
    out[i] = uy * vz - uz * vy;
    out[i + 1] = uz * vx - ux * vz;
    out[i + 2] = ux * vy - uy * vx;
  }
  return out;
}

/** Surface area, mm2. */
export function area(mesh: Surface): number {
  const normals = doubleAreaNormals(mesh);
  let sum = 0;
  for (let i = 0; i < normals.length; i += 3) sum += Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!);
  return sum / 2;
}

interface Edges {
  readonly open: number;
  readonly branching: number;
  readonly conflicts: number;
}

/** Counts the edges by how many triangles meet there, bucketed by the lower vertex so that no hash table is needed. */
function edges(mesh: Surface): Edges {
  const { triangles: t } = mesh;
  const vertices = mesh.positions.length / 3;
  const start = new Uint32Array(vertices + 1);
  for (let i = 0; i < t.length; i += 3) {
    for (let k = 0; k < 3; k += 1) {
      const a = t[i + k]!;
      const b = t[i + ((k + 1) % 3)]!;
      const low = Math.min(a, b) + 1;
      start[low] = start[low]! + 1;
    }
  }
  for (let v = 0; v < vertices; v += 1) start[v + 1] = start[v + 1]! + start[v]!;
  const fill = start.slice(0, vertices);
  // Each half-edge is stored under its lower vertex as 2 * higher + direction.
  const half = new Float64Array(t.length);
  for (let i = 0; i < t.length; i += 3) {
    for (let k = 0; k < 3; k += 1) {
      const a = t[i + k]!;
      const b = t[i + ((k + 1) % 3)]!;
      const low = Math.min(a, b);
      half[fill[low]!] = 2 * Math.max(a, b) + (a < b ? 1 : 0);
      fill[low] = fill[low]! + 1;
    }
  }
  let open = 0;
  let branching = 0;
  let conflicts = 0;
  for (let v = 0; v < vertices; v += 1) {
    const bucket = half.subarray(start[v]!, start[v + 1]!).sort();
    for (let i = 0; i < bucket.length; ) {
      const far = Math.floor(bucket[i]! / 2);
      let uses = 0;
      let forward = 0;
      while (i < bucket.length && Math.floor(bucket[i]! / 2) === far) {
        uses += 1;
        forward += bucket[i]! % 2;
        i += 1;
      }
      if (uses === 1) open += 1;
      else if (uses > 2) branching += 1;
      else if (forward !== 1) conflicts += 1;
    }
  }
  return { open, branching, conflicts };
}

/** For each triangle, the number of its connected piece; pieces are numbered from 0 in order of first appearance. */
export function pieceOfTriangle(mesh: Surface): Uint32Array {
  const { triangles: t } = mesh;
  const parent = new Uint32Array(mesh.positions.length / 3).map((_, i) => i);
  const find = (v: number): number => {
    let root = v;
    while (parent[root] !== root) {
      parent[root] = parent[parent[root]!]!;
      root = parent[root]!;
    }
    return root;
  };
  for (let i = 0; i < t.length; i += 3) {
    const a = find(t[i]!);
    parent[find(t[i + 1]!)] = a;
    parent[find(t[i + 2]!)] = a;
  }
  const number = new Map<number, number>();
  const out = new Uint32Array(t.length / 3);
  for (let i = 0; i < out.length; i += 1) {
    const root = find(t[3 * i]!);
    let piece = number.get(root);
    if (piece === undefined) {
      piece = number.size;
      number.set(root, piece);
    }
    out[i] = piece;
  }
  return out;
}

/** Closedness, orientation, pieces, volume and area of a surface. */
export function meshQuality(mesh: Surface): MeshQuality {
  const { open, branching, conflicts } = edges(mesh);
  const sizes: number[] = [];
  for (const piece of pieceOfTriangle(mesh)) sizes[piece] = (sizes[piece] ?? 0) + 1;
  const normals = doubleAreaNormals(mesh);
  let degenerate = 0;
  for (let i = 0; i < normals.length; i += 3) {
    if (!(Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!) > 0)) degenerate += 1;
  }
  return {
    vertices: mesh.positions.length / 3,
    triangles: mesh.triangles.length / 3,
    openEdges: open,
    branchingEdges: branching,
    windingConflicts: conflicts,
    pieces: sizes.sort((a, b) => b - a),
    closed: mesh.triangles.length > 0 && open === 0 && branching === 0 && conflicts === 0,
    volumeMm3: volume(mesh),
    areaMm2: area(mesh),
    degenerateTriangles: degenerate,
  };
}
