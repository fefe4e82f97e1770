import type { Mesh } from './mesh.ts';
import { pieceOfTriangle } from './mesh-quality.ts';

/** The triangles for which `keep` says yes, with only the vertices they use. */
export function submesh<F extends string>(mesh: Mesh<F>, keep: (triangle: number) => boolean): Mesh<F> {
  const renumbered = new Int32Array(mesh.positions.length / 3).fill(-1);
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let t = 0; t < mesh.triangles.length / 3; t += 1) {
    if (!keep(t)) continue;
    for (let k = 0; k < 3; k += 1) {
      const v = mesh.triangles[3 * t + k]!;
      if (renumbered[v] === -1) {
        renumbered[v] = positions.length / 3;
        positions.push(mesh.positions[3 * v]!, mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!);
      }
      triangles.push(renumbered[v]!);
    }
  }
  return { frame: mesh.frame, positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}

/** The connected piece with the most triangles. */
export function largestPiece<F extends string>(mesh: Mesh<F>): Mesh<F> {
  const piece = pieceOfTriangle(mesh);
  const sizes: number[] = [];
  for (const p of piece) sizes[p] = (sizes[p] ?? 0) + 1;
  const largest = sizes.indexOf(Math.max(...sizes));
  return sizes.length < 2 ? mesh : submesh(mesh, (t) => piece[t] === largest);
}

/** The same surface facing the other way. */
export function rewound<F extends string>(mesh: Mesh<F>): Mesh<F> {
  const triangles = mesh.triangles.slice();
  for (let t = 0; t < triangles.length; t += 3) {
    const second = triangles[t + 1]!;
    triangles[t + 1] = triangles[t + 2]!;
    triangles[t + 2] = second;
  }
  return { frame: mesh.frame, positions: mesh.positions, triangles };
}

/** Vertices with bit-identical coordinates become one: a triangle soup becomes a connected surface. */
export function welded<F extends string>(mesh: Mesh<F>): Mesh<F> {
  // Adding 0 turns -0 into +0, which is the same place.
  const positions = mesh.positions.map((value) => value + 0);
  const bits = new Uint32Array(positions.buffer);
  const count = positions.length / 3;
  let slots = 16;
  while (slots < 2 * count) slots *= 2;
  const table = new Int32Array(slots).fill(-1);
  const renumbered = new Uint32Array(count);
  const kept: number[] = [];
  for (let v = 0; v < count; v += 1) {
    const i = 3 * v;
    let slot =
      (Math.imul(bits[i]!, 73856093) ^ Math.imul(bits[i + 1]!, 19349663) ^ Math.imul(bits[i + 2]!, 83492791)) >>> 0;
    slot = (slot ^ (slot >>> 15)) & (slots - 1);
    while (table[slot] !== -1) {
      const other = 3 * kept[table[slot]!]!;
      if (bits[other] === bits[i] && bits[other + 1] === bits[i + 1] && bits[other + 2] === bits[i + 2]) break;
      slot = (slot + 1) & (slots - 1);
    }
    if (table[slot] === -1) {
      table[slot] = kept.length;
      kept.push(v);
    }
    renumbered[v] = table[slot]!;
  }
  const out = new Float32Array(3 * kept.length);
  kept.forEach((v, k) => {
    out.set(positions.subarray(3 * v, 3 * v + 3), 3 * k);
  });
  return { frame: mesh.frame, positions: out, triangles: mesh.triangles.map((v) => renumbered[v]!) };
}
