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
  // Not by spreading: there can be more pieces than a call takes arguments.
  const largest = sizes.reduce((best, size, p) => (size > sizes[best]! ? p : best), 0);
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

/**
 * Vertices with bit-identical coordinates become one: a triangle soup becomes a connected surface. The first of them
 * stays, in its order; +0 and -0 are one place.
 */
export function welded<F extends string>(mesh: Mesh<F>): Mesh<F> {
  // Adding 0 turns -0 into +0.
  const positions = mesh.positions.map((value) => value + 0);
  const bits = new Uint32Array(positions.buffer);
  const first = firstAtPlaceByTable(bits) ?? firstAtPlaceBySorting(bits);
  const renumbered = new Uint32Array(first.length);
  let kept = 0;
  for (let v = 0; v < first.length; v += 1) {
    if (first[v] === v) {
      positions.copyWithin(3 * kept, 3 * v, 3 * v + 3);
      renumbered[v] = kept;
      kept += 1;
    } else renumbered[v] = renumbered[first[v]!]!;
  }
  const triangles = mesh.triangles.map((v) => renumbered[v]!);
  return { frame: mesh.frame, positions: positions.slice(0, 3 * kept), triangles };
}

const atSamePlace = (bits: Uint32Array, a: number, b: number): boolean =>
  bits[3 * a] === bits[3 * b] && bits[3 * a + 1] === bits[3 * b + 1] && bits[3 * a + 2] === bits[3 * b + 2];

/** Looks into the table that a vertex may cost on average; scanned surfaces cost less than two. */
const mostLooks = 64;

/** For each vertex the first one at its place; `undefined` for coordinates made so that a hash table runs slow. */
function firstAtPlaceByTable(bits: Uint32Array): Uint32Array | undefined {
  const count = bits.length / 3;
  let slots = 16;
  while (slots < 2 * count) slots *= 2;
  const table = new Int32Array(slots).fill(-1);
  const first = new Uint32Array(count);
  let looks = mostLooks * count;
  for (let v = 0; v < count; v += 1) {
    const i = 3 * v;
    let slot =
      (Math.imul(bits[i]!, 73856093) ^ Math.imul(bits[i + 1]!, 19349663) ^ Math.imul(bits[i + 2]!, 83492791)) >>> 0;
    slot = (slot ^ (slot >>> 15)) & (slots - 1);
    while (table[slot] !== -1 && !atSamePlace(bits, table[slot]!, v)) {
      slot = (slot + 1) & (slots - 1);
      looks -= 1;
      if (looks < 0) return undefined;
    }
    if (table[slot] === -1) table[slot] = v;
    first[v] = table[slot]!;
  }
  return first;
}

/** The same, slower, in a time that no coordinates can lengthen. */
function firstAtPlaceBySorting(bits: Uint32Array): Uint32Array {
  const order = new Uint32Array(bits.length / 3)
    .map((_, v) => v)
    .sort((a, b) => {
      for (let k = 0; k < 3; k += 1)
        if (bits[3 * a + k] !== bits[3 * b + k]) return bits[3 * a + k]! - bits[3 * b + k]!;
      return a - b;
    });
  const first = new Uint32Array(order.length);
  order.forEach((v, i) => {
    first[v] = i > 0 && atSamePlace(bits, order[i - 1]!, v) ? first[order[i - 1]!]! : v;
  });
  return first;
}
