/** A closed surface as an exposure sees it: 3 numbers a corner (column, row, 1 / distance from the source along the beam). */
export interface ProjectedSurface {
  readonly corners: Float64Array;
  readonly triangles: Uint32Array;
}

/** A band of rows of a film, `columns` wide. */
export interface Band {
  readonly columns: number;
  readonly fromRow: number;
  readonly toRow: number;
}

/**
 * Adds, for the middle of every pixel of a band, where its ray leaves a closed surface less where it enters, in mm along the
 * beam from the source. Exact for flat triangles: 1 / distance is linear on the film. A pixel whose middle lies on a shared edge
 * belongs to one triangle only, so a closed surface leaves nothing behind.
 *
 * @param into row by row; what was there is added to
 * @param sign 1 when triangles facing the source run counter-clockwise on the film (columns right, rows down), else -1
 * @param reach only what lies between these distances from the source counts, mm
 */
export function addPathLength(
  into: Float32Array,
  band: Band,
  { corners, triangles }: ProjectedSurface,
  sign: 1 | -1,
  reach: readonly [number, number],
): void {
  const { columns, fromRow, toRow } = band;
  const [near, far] = reach;
  // Distances are kept from the middle of what counts: small numbers for single precision. Entry and exit lose the same.
  const origin = Number.isFinite(far) ? far : 0;
  for (let t = 0; t < triangles.length; t += 3) {
    let a = 3 * triangles[t]!;
    let b = 3 * triangles[t + 1]!;
    let c = 3 * triangles[t + 2]!;
    const ra = corners[a + 1]!;
    const rb = corners[b + 1]!;
    const rc = corners[c + 1]!;
    const top = Math.min(ra, rb, rc);
    const bottom = Math.max(ra, rb, rc);
    const first = Math.max(fromRow, Math.ceil(top - 0.5));
    const last = Math.min(toRow - 1, Math.ceil(bottom - 0.5) - 1);
    if (first > last) continue;
    const ca = corners[a]!;
    const cb = corners[b]!;
    const cc = corners[c]!;
    const area = (cb - ca) * (rc - ra) - (cc - ca) * (rb - ra);
    if (area === 0) continue;
    const qa = corners[a + 2]!;
    const perColumn = ((corners[b + 2]! - qa) * (rc - ra) - (corners[c + 2]! - qa) * (rb - ra)) / area;
    const perRow = ((corners[c + 2]! - qa) * (cb - ca) - (corners[b + 2]! - qa) * (cc - ca)) / area;
    const weight = area > 0 ? sign : -sign;
    // Corners from the top down, so that two triangles see the edge they share as the same numbers.
    const before = (i: number, j: number): boolean =>
      corners[i + 1]! < corners[j + 1]! || (corners[i + 1]! === corners[j + 1]! && i < j);
    if (before(b, a)) [a, b] = [b, a];
    if (before(c, a)) [a, c] = [c, a];
    if (before(c, b)) [b, c] = [c, b];
    for (let row = first; row <= last; row += 1) {
      const y = row + 0.5;
      const long = crossing(corners, a, c, y);
      const short = y <= corners[b + 1]! ? crossing(corners, a, b, y) : crossing(corners, b, c, y);
      const start = Math.max(0, Math.ceil(Math.min(long, short) - 0.5));
      const end = Math.min(columns - 1, Math.ceil(Math.max(long, short) - 0.5) - 1);
      let at = (row - fromRow) * columns + start;
      let q = qa + perColumn * (start + 0.5 - ca) + perRow * (y - ra);
      for (let column = start; column <= end; column += 1) {
        const distance = 1 / q;
        into[at]! += weight * (Math.min(far, Math.max(near, distance)) - origin);
        q += perColumn;
        at += 1;
      }
    }
  }
}

/** Column at which the edge from corner `i` down to corner `j` crosses a row's middle. */
function crossing(corners: Float64Array, i: number, j: number, y: number): number {
  const from = corners[i + 1]!;
  const span = corners[j + 1]! - from;
  return span === 0 ? corners[i]! : corners[i]! + ((y - from) / span) * (corners[j]! - corners[i]!);
}
