import type { Mesh, Vec3 } from './index.ts';

/** An axis-parallel cube with its lowest corner at `at`, twelve outward triangles. */
export function cube<F extends string>(frame: F, at: Vec3, size: number): Mesh<F> {
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].flatMap((c) => [
    at[0] + size * (c & 1),
    at[1] + size * ((c >> 1) & 1),
    at[2] + size * (c >> 2),
  ]);
  const quads = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ];
  return {
    frame,
    positions: Float32Array.from(corners),
    triangles: Uint32Array.from(quads.flatMap(([a, b, c, d]) => [a!, b!, c!, a!, c!, d!])),
  };
}

/** A sphere of `rings` x `2 rings` facets, outward. */
export function ball<F extends string>(frame: F, centre: Vec3, radius: number, rings: number): Mesh<F> {
  const positions: number[] = [centre[0], centre[1], centre[2] + radius];
  const around = 2 * rings;
  for (let r = 1; r < rings; r += 1) {
    const polar = (Math.PI * r) / rings;
    for (let k = 0; k < around; k += 1) {
      const turn = (2 * Math.PI * k) / around;
      positions.push(
        centre[0] + radius * Math.sin(polar) * Math.cos(turn),
        centre[1] + radius * Math.sin(polar) * Math.sin(turn),
        centre[2] + radius * Math.cos(polar),
      );
    }
  }
  positions.push(centre[0], centre[1], centre[2] - radius);
  const south = positions.length / 3 - 1;
  const at = (ring: number, k: number): number => 1 + (ring - 1) * around + (k % around);
  const triangles: number[] = [];
  for (let k = 0; k < around; k += 1) {
    triangles.push(0, at(1, k), at(1, k + 1), south, at(rings - 1, k + 1), at(rings - 1, k));
    for (let r = 1; r < rings - 1; r += 1) {
      triangles.push(at(r, k), at(r + 1, k), at(r + 1, k + 1), at(r, k), at(r + 1, k + 1), at(r, k + 1));
    }
  }
  return { frame, positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}
