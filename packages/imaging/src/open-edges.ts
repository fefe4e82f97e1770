import type { Surface, Vec3 } from '@kerfline/geometry';

/** Mean of the middles of all edges that have a triangle on one side only; `undefined` if there are none. */
export function middleOfOpenEdges({ positions: p, triangles: t }: Surface): Vec3 | undefined {
  const vertices = p.length / 3;
  // Both ends of an edge in one number, so that sorting brings equal edges together; it stays below 2^53.
  const edges = new Float64Array(t.length);
  for (let i = 0; i < t.length; i += 1) {
    const a = t[i]!;
    const b = t[i % 3 === 2 ? i - 2 : i + 1]!;
    edges[i] = Math.min(a, b) * vertices + Math.max(a, b);
  }
  edges.sort();
  const sum: [number, number, number] = [0, 0, 0];
  let open = 0;
  for (let i = 0; i < edges.length; i += 1) {
    const edge = edges[i]!;
    if (edge === edges[i - 1] || edge === edges[i + 1]) continue;
    const a = Math.floor(edge / vertices);
    const b = edge % vertices;
    for (const axis of [0, 1, 2] as const) sum[axis] += (p[3 * a + axis]! + p[3 * b + axis]!) / 2;
    open += 1;
  }
  return open === 0 ? undefined : [sum[0] / open, sum[1] / open, sum[2] / open];
}
