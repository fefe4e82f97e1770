import type { Box, Field, Mesh } from '@kerfline/geometry';

/** Cells along a block that is looked at whole, and along one that is evaluated corner by corner. */
const LARGEST_BLOCK = 32;
const SMALLEST_BLOCK = 4;

/** A vertex counts as on the surface within this many cells. */
const ON_SURFACE = 1e-6;

/**
 * The surface where a field is zero, by surface nets (Gibson 1998), looking only where the surface can be: a block is
 * skipped when the field in its middle is larger than it could become zero within the block. Every vertex is then moved
 * onto the surface along the gradient.
 *
 * An edge of the result belongs to as many quads as the grid face it crosses has sign changes around it: two, or four when
 * opposite corners of the face agree. Such a face is cleared first by counting its nearer outside corner as inside, so that
 * no edge ever joins more than two.
 *
 * @param box region to search, mm; the field must be positive all over its faces, so that the surface is closed
 * @param cell edge of a grid cell, mm; features thinner than about two cells are lost
 * @param steepness the field changes by at most this much per mm wherever its size matters; 1 for a true distance
 * @returns a surface that faces outward
 */
export function sparseIsosurface<F extends string>(
  frame: F,
  field: Field,
  box: Box,
  cell: number,
  steepness: number,
): Mesh<F> {
  const [nx, ny, nz] = [0, 1, 2].map((k) => Math.ceil((box.max[k]! - box.min[k]!) / cell) + 1) as [
    number,
    number,
    number,
  ];
  const [x0, y0, z0] = box.min;
  const layer = nx * ny;
  const values = new Float64Array(layer * nz).fill(Number.NaN);
  const vertexOf = new Int32Array(layer * nz).fill(-1);
  const corners = [0, 1, nx, nx + 1, layer, layer + 1, layer + nx, layer + nx + 1];
  const positions: number[] = [];
  const cells: number[] = [];

  /** The vertex of a cell that the surface crosses: the mean of its edge crossings, moved onto the surface. */
  const addVertex = (i: number, j: number, k: number, n: number): void => {
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
    x /= count;
    y /= count;
    z /= count;
    // The gradient inside the cell, from its corners.
    const v = (c: number): number => values[n + corners[c]!]!;
    const [x1, y1, z1] = [1 - x, 1 - y, 1 - z];
    let gx = y1 * z1 * (v(1) - v(0)) + y * z1 * (v(3) - v(2)) + y1 * z * (v(5) - v(4)) + y * z * (v(7) - v(6));
    let gy = x1 * z1 * (v(2) - v(0)) + x * z1 * (v(3) - v(1)) + x1 * z * (v(6) - v(4)) + x * z * (v(7) - v(5));
    let gz = x1 * y1 * (v(4) - v(0)) + x * y1 * (v(5) - v(1)) + x1 * y * (v(6) - v(2)) + x * y * (v(7) - v(3));
    const size = Math.sqrt(gx * gx + gy * gy + gz * gz);
    gx /= size;
    gy /= size;
    gz /= size;
    const px = x0 + cell * (i + x);
    const py = y0 + cell * (j + y);
    const pz = z0 + cell * (k + z);
    // Secant steps along the gradient, never farther than one cell.
    let before = 0;
    let valueBefore = field(px, py, pz);
    let t = (-valueBefore * cell) / size;
    for (let step = 0; step < 6 && Math.abs(t) < cell; step += 1) {
      const value = field(px + t * gx, py + t * gy, pz + t * gz);
      if (Math.abs(value) < ON_SURFACE * cell || value === valueBefore) break;
      const next = t - (value * (t - before)) / (value - valueBefore);
      before = t;
      valueBefore = value;
      t = next;
    }
    if (!(Math.abs(t) < cell)) t = 0;
    vertexOf[n] = cells.length;
    cells.push(n);
    positions.push(px + t * gx, py + t * gy, pz + t * gz);
  };

  const leaves: (readonly [number, number, number])[] = [];
  const evaluate = (i0: number, j0: number, k0: number): void => {
    leaves.push([i0, j0, k0]);
    const [i1, j1, k1] = [i0, j0, k0].map((c, axis) => Math.min(c + SMALLEST_BLOCK, [nx, ny, nz][axis]! - 1)) as [
      number,
      number,
      number,
    ];
    for (let k = k0; k <= k1; k += 1)
      for (let j = j0; j <= j1; j += 1)
        for (let i = i0, n = i0 + nx * j + layer * k; i <= i1; i += 1, n += 1) {
          if (Number.isNaN(values[n])) values[n] = field(x0 + cell * i, y0 + cell * j, z0 + cell * k);
        }
  };

  const search = (i: number, j: number, k: number, size: number): void => {
    if (i >= nx - 1 || j >= ny - 1 || k >= nz - 1) return;
    const half = size / 2;
    const middle = field(x0 + cell * (i + half), y0 + cell * (j + half), z0 + cell * (k + half));
    if (Math.abs(middle) > steepness * Math.sqrt(3) * half * cell) return;
    if (size <= SMALLEST_BLOCK) {
      evaluate(i, j, k);
      return;
    }
    for (let c = 0; c < 8; c += 1) {
      search(i + (c & 1) * half, j + ((c >> 1) & 1) * half, k + (c >> 2) * half, half);
    }
  };
  for (let k = 0; k < nz - 1; k += LARGEST_BLOCK)
    for (let j = 0; j < ny - 1; j += LARGEST_BLOCK)
      for (let i = 0; i < nx - 1; i += LARGEST_BLOCK) search(i, j, k, LARGEST_BLOCK);

  const inCells = (visit: (i: number, j: number, k: number, n: number) => void): void => {
    for (const [i0, j0, k0] of leaves)
      for (let k = k0; k < Math.min(k0 + SMALLEST_BLOCK, nz - 1); k += 1)
        for (let j = j0; j < Math.min(j0 + SMALLEST_BLOCK, ny - 1); j += 1)
          for (let i = i0; i < Math.min(i0 + SMALLEST_BLOCK, nx - 1); i += 1) visit(i, j, k, i + nx * j + layer * k);
  };

  let unclear = true;
  const clear = (n: number, u: number, v: number): void => {
    const [a, b, c, d] = [values[n]!, values[n + u]!, values[n + u + v]!, values[n + v]!];
    if (a < 0 !== c < 0 || b < 0 !== d < 0 || a < 0 === b < 0) return;
    // Only ever from outside to inside, so that this ends.
    const outside: readonly [number, number] = a < 0 ? [n + u, n + v] : [n, n + u + v];
    const corner = values[outside[0]]! < values[outside[1]]! ? outside[0] : outside[1];
    values[corner] = -Number.MIN_VALUE;
    unclear = true;
  };
  while (unclear) {
    unclear = false;
    inCells((_i, _j, _k, n) => {
      clear(n, 1, nx);
      clear(n, nx, layer);
      clear(n, layer, 1);
    });
  }

  inCells((i, j, k, n) => {
    let inside = 0;
    for (let c = 0; c < 8; c += 1) if (values[n + corners[c]!]! < 0) inside += 1;
    if (inside > 0 && inside < 8) addVertex(i, j, k, n);
  });

  // A quad for each grid edge whose ends differ, joining the four cells around it.
  const triangles: number[] = [];
  const quad = (n: number, u: number, v: number, flip: boolean): void => {
    const [a, b, c, d] = [vertexOf[n - u - v]!, vertexOf[n - v]!, vertexOf[n]!, vertexOf[n - u]!];
    if (flip) triangles.push(a, c, b, a, d, c);
    else triangles.push(a, b, c, a, c, d);
  };
  for (const n of cells) {
    const here = values[n]! < 0;
    if (values[n + 1]! < 0 !== here) quad(n, nx, layer, !here);
    if (values[n + nx]! < 0 !== here) quad(n, layer, 1, !here);
    if (values[n + layer]! < 0 !== here) quad(n, 1, nx, !here);
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
