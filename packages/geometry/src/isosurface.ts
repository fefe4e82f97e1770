import type { Box, Mesh } from './mesh.ts';
import type { Vec3 } from './vec3.ts';

/** A scalar field, negative inside the body and positive outside. */
export type Field = (x: number, y: number, z: number) => number;

/**
 * The surface where a field is zero, by surface nets (Gibson 1998) with every vertex then moved onto the surface by
 * Newton steps along the gradient.
 *
 * @param box region to search, mm; the field must be positive all over its faces, so that the surface is closed
 * @param cell edge of a grid cell, mm; features thinner than about two cells are lost
 * @returns a surface that faces outward
 */
export function isosurface<F extends string>(frame: F, field: Field, box: Box, cell: number): Mesh<F> {
  const [nx, ny, nz] = [0, 1, 2].map((k) => Math.ceil((box.max[k]! - box.min[k]!) / cell) + 1) as [
    number,
    number,
    number,
  ];
  const at = (i: number, j: number, k: number): Vec3 => [
    box.min[0] + i * cell,
    box.min[1] + j * cell,
    box.min[2] + k * cell,
  ];
  const layer = nx * ny;
  const values = new Float32Array(layer * nz);
  for (let k = 0, n = 0; k < nz; k += 1)
    for (let j = 0; j < ny; j += 1)
      for (let i = 0; i < nx; i += 1, n += 1) {
        const [x, y, z] = at(i, j, k);
        values[n] = field(x, y, z);
      }
  const positions: number[] = [];
  const triangles: number[] = [];
  const vertexOf = new Int32Array(layer * nz).fill(-1);
  const corners = [0, 1, nx, nx + 1, layer, layer + 1, layer + nx, layer + nx + 1];
  for (let k = 0; k < nz - 1; k += 1)
    for (let j = 0; j < ny - 1; j += 1)
      for (let i = 0; i < nx - 1; i += 1) {
        const n = i + nx * j + layer * k;
        let inside = 0;
        for (const c of corners) if (values[n + c]! < 0) inside += 1;
        if (inside === 0 || inside === 8) continue;
        // Mean of the crossings on the twelve edges of the cell.
        let count = 0;
        let [x, y, z] = [0, 0, 0];
        for (const [a, b] of cellEdges) {
          const va = values[n + corners[a]!]!;
          const vb = values[n + corners[b]!]!;
          if (va < 0 === vb < 0) continue;
          const s = va / (va - vb);
          x += (a & 1) + s * ((b & 1) - (a & 1));
          y += ((a >> 1) & 1) + s * (((b >> 1) & 1) - ((a >> 1) & 1));
          z += (a >> 2) + s * ((b >> 2) - (a >> 2));
          count += 1;
        }
        const [bx, by, bz] = at(i, j, k);
        vertexOf[n] = positions.length / 3;
        positions.push(
          ...ontoSurface(field, [bx + (cell * x) / count, by + (cell * y) / count, bz + (cell * z) / count], cell),
        );
      }
  // A quad for each grid edge whose ends differ, joining the four cells around it.
  const quad = (n: number, u: number, v: number, flip: boolean): void => {
    const [a, b, c, d] = [vertexOf[n - u - v]!, vertexOf[n - v]!, vertexOf[n]!, vertexOf[n - u]!];
    if (flip) triangles.push(a, c, b, a, d, c);
    else triangles.push(a, b, c, a, c, d);
  };
  for (let k = 0; k < nz; k += 1)
    for (let j = 0; j < ny; j += 1)
      for (let i = 0; i < nx; i += 1) {
        const n = i + nx * j + layer * k;
        const here = values[n]! < 0;
        if (i < nx - 1 && j > 0 && k > 0 && values[n + 1]! < 0 !== here) quad(n, nx, layer, !here);
        if (j < ny - 1 && i > 0 && k > 0 && values[n + nx]! < 0 !== here) quad(n, layer, 1, !here);
        if (k < nz - 1 && i > 0 && j > 0 && values[n + layer]! < 0 !== here) quad(n, 1, nx, !here);
      }
  return { frame, positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}

const cellEdges: readonly (readonly [number, number])[] = [
  [0, 1],
  [2, 3],
  [4, 5],
  [6, 7],
  [0, 2],
  [1, 3],
  [4, 6],
  [5, 7],
  [0, 4],
  [1, 5],
  [2, 6],
  [3, 7],
];

/** Gradient by central differences over a hundredth of `scale`. */
export function gradient(field: Field, p: Vec3, scale: number): Vec3 {
  const h = scale / 100;
  return [
    (field(p[0] + h, p[1], p[2]) - field(p[0] - h, p[1], p[2])) / (2 * h),
    (field(p[0], p[1] + h, p[2]) - field(p[0], p[1] - h, p[2])) / (2 * h),
    (field(p[0], p[1], p[2] + h) - field(p[0], p[1], p[2] - h)) / (2 * h),
  ];
}

/** A nearby point where the field is zero, by at most eight Newton steps that never leave the neighbourhood. */
export function ontoSurface(field: Field, start: Vec3, scale: number): Vec3 {
  let p = start;
  for (let step = 0; step < 8; step += 1) {
    const value = field(p[0], p[1], p[2]);
    if (Math.abs(value) < 1e-9 * scale) break;
    const g = gradient(field, p, scale);
    const g2 = g[0] * g[0] + g[1] * g[1] + g[2] * g[2];
    if (!(g2 > 0)) break;
    const q: Vec3 = [p[0] - (value * g[0]) / g2, p[1] - (value * g[1]) / g2, p[2] - (value * g[2]) / g2];
    if (Math.hypot(q[0] - start[0], q[1] - start[1], q[2] - start[2]) > scale) break;
    p = q;
  }
  return p;
}
