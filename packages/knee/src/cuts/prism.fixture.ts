import type { Mesh, Polygon, Vec3 } from '@kerfline/geometry';

/**
 * A bone that is alike all along one axis, closed, facing outward, in as few triangles as that takes.
 *
 * @param outline counter-clockwise and without dents: L, A of a prism along P; L, P of one along A
 */
export function prism<F extends string>(
  frame: F,
  outline: Polygon,
  [from, to]: readonly [number, number],
  along: 'A' | 'P' = 'P',
): Mesh<F> {
  const at = ([x, y]: readonly [number, number], z: number): Vec3 => (along === 'P' ? [x, y, z] : [x, z, y]);
  const n = outline.length;
  const positions = [from, to].flatMap((z) => outline.flatMap((p) => at(p, z)));
  const triangles: number[] = [];
  const add = (a: number, b: number, c: number): void => {
    // L, A, P is right-handed, L, P, A is not.
    triangles.push(...(along === 'P' ? [a, b, c] : [a, c, b]));
  };
  for (let i = 0; i < n; i += 1) {
    const next = (i + 1) % n;
    add(i, next, n + next);
    add(i, n + next, n + i);
    if (i > 0 && next > 0) {
      add(0, next, i);
      add(n, n + i, n + next);
    }
  }
  return { frame, positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}

/** An ellipse as a polygon of many corners, counter-clockwise. */
export const ellipse = (halfWidth: number, halfDepth: number, [x, y] = [0, 0], corners = 720): Polygon =>
  Array.from({ length: corners }, (_, k) => [
    (x ?? 0) + halfWidth * Math.cos((2 * Math.PI * k) / corners),
    (y ?? 0) + halfDepth * Math.sin((2 * Math.PI * k) / corners),
  ]);

/** A rectangle by its edges, counter-clockwise. */
export const rectangle = (left: number, right: number, low: number, high: number): Polygon => [
  [left, low],
  [right, low],
  [right, high],
  [left, high],
];

/** Bodies that stand apart, as one mesh. */
export function together<F extends string>(a: Mesh<F>, b: Mesh<F>): Mesh<F> {
  const offset = a.positions.length / 3;
  return {
    frame: a.frame,
    positions: Float32Array.from([...a.positions, ...b.positions]),
    triangles: Uint32Array.from([...a.triangles, ...[...b.triangles].map((v) => v + offset)]),
  };
}
