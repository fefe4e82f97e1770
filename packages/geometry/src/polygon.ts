/** A closed polygon in a plane: the last point joins the first. */
export type Polygon = readonly (readonly [number, number])[];

/** Area, positive when the polygon turns counter-clockwise. */
export function polygonArea(polygon: Polygon): number {
  let twice = 0;
  for (let i = 0; i < polygon.length; i += 1) {
    const [ax, ay] = polygon[i]!;
    const [bx, by] = polygon[(i + 1) % polygon.length]!;
    twice += ax * by - bx * ay;
  }
  return twice / 2;
}

/** Centre of area; a polygon without area throws. */
export function polygonCentroid(polygon: Polygon): readonly [number, number] {
  const area = polygonArea(polygon);
  if (!(Math.abs(area) > 0)) throw new Error('a polygon without area has no centroid');
  // About the first point, so that a polygon far from the origin loses no digits.
  const [ox, oy] = polygon[0]!;
  let x = 0;
  let y = 0;
  for (let i = 0; i < polygon.length; i += 1) {
    const [ax, ay] = polygon[i]!;
    const [bx, by] = polygon[(i + 1) % polygon.length]!;
    const w = (ax - ox) * (by - oy) - (bx - ox) * (ay - oy);
    x += (ax + bx - 2 * ox) * w;
    y += (ay + by - 2 * oy) * w;
  }
  return [ox + x / (6 * area), oy + y / (6 * area)];
}

/** Second moments of area about the centroid: xx, xy, yy. */
export function polygonSecondMoments(polygon: Polygon): {
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
} {
  const [cx, cy] = polygonCentroid(polygon);
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let i = 0; i < polygon.length; i += 1) {
    const ax = polygon[i]![0] - cx;
    const ay = polygon[i]![1] - cy;
    const bx = polygon[(i + 1) % polygon.length]![0] - cx;
    const by = polygon[(i + 1) % polygon.length]![1] - cy;
    const w = ax * by - bx * ay;
    xx += w * (ax * ax + ax * bx + bx * bx);
    yy += w * (ay * ay + ay * by + by * by);
    xy += w * (2 * ax * ay + ax * by + bx * ay + 2 * bx * by);
  }
  return { xx: xx / 12, xy: xy / 24, yy: yy / 12 };
}

/** Convex hull, counter-clockwise, from any set of points (monotone chain, Andrew 1979). */
export function convexHull(points: Polygon): Polygon {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (ordered: Polygon): (readonly [number, number])[] => {
    const chain: (readonly [number, number])[] = [];
    for (const p of ordered) {
      while (chain.length >= 2) {
        const [ax, ay] = chain[chain.length - 2]!;
        const [bx, by] = chain[chain.length - 1]!;
        if ((bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax) > 0) break;
        chain.pop();
      }
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

/** The point of the polygon farthest along (x, y). */
export function extremePoint(polygon: Polygon, towards: readonly [number, number]): readonly [number, number] {
  let best = polygon[0]!;
  for (const p of polygon) {
    if (p[0] * towards[0] + p[1] * towards[1] > best[0] * towards[0] + best[1] * towards[1]) best = p;
  }
  return best;
}

/** What is left of a polygon where `nx * x + ny * y <= offset` (Sutherland and Hodgman 1974, one half-plane). */
export function clippedTo(polygon: Polygon, normal: readonly [number, number], offset: number): Polygon {
  const out: (readonly [number, number])[] = [];
  const side = (p: readonly [number, number]): number => normal[0] * p[0] + normal[1] * p[1] - offset;
  for (let i = 0; i < polygon.length; i += 1) {
    const a = polygon[i]!;
    const b = polygon[(i + 1) % polygon.length]!;
    const da = side(a);
    const db = side(b);
    if (da <= 0) out.push(a);
    if (da <= 0 !== db <= 0) {
      const s = da / (da - db);
      out.push([a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])]);
    }
  }
  return out;
}

/** Whether a point lies inside a polygon (crossings of a half-line along x); a point on the edge may get either answer. */
export function insidePolygon(polygon: Polygon, p: readonly [number, number]): boolean {
  const x = p[0];
  const y = p[1];
  let inside = false;
  let a = polygon[polygon.length - 1];
  for (let i = 0; i < polygon.length; i += 1) {
    const b = polygon[i]!;
    if (a![1] > y !== b[1] > y && x < a![0] + ((y - a![1]) / (b[1] - a![1])) * (b[0] - a![0])) inside = !inside;
    a = b;
  }
  return inside;
}

/** The place on a polygon's edge nearest to a point; no points throw. */
export function nearestOnEdge(polygon: Polygon, p: readonly [number, number]): readonly [number, number] {
  if (polygon.length === 0) throw new Error('a polygon without points has no edge');
  // By number, not by unpacking pairs: fits ask this a hundred thousand times.
  const x = p[0];
  const y = p[1];
  let least = Infinity;
  let nearX = 0;
  let nearY = 0;
  let a = polygon[polygon.length - 1]!;
  for (let i = 0; i < polygon.length; i += 1) {
    const b = polygon[i]!;
    const dx = b[0] - a[0];
    const dy = b[1] - a[1];
    const squared = dx * dx + dy * dy;
    const along = (x - a[0]) * dx + (y - a[1]) * dy;
    const share = squared > 0 ? Math.min(1, Math.max(0, along / squared)) : 0;
    const ex = a[0] + share * dx;
    const ey = a[1] + share * dy;
    const distance = (x - ex) * (x - ex) + (y - ey) * (y - ey);
    if (distance < least) {
      least = distance;
      nearX = ex;
      nearY = ey;
    }
    a = b;
  }
  return [nearX, nearY];
}

/** Distance of a point from a polygon's edge, in the polygon's unit: positive outside, negative inside; no points throw. */
export function distanceOutside(polygon: Polygon, p: readonly [number, number]): number {
  const [x, y] = nearestOnEdge(polygon, p);
  const distance = Math.hypot(p[0] - x, p[1] - y);
  return insidePolygon(polygon, p) ? -distance : distance;
}

/** The same polygon with points added along its edges, so that none is longer than `longest`. */
export const refined = (polygon: Polygon, longest: number): Polygon =>
  polygon.flatMap((a, i) => {
    const b = polygon[(i + 1) % polygon.length]!;
    const parts = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / longest));
    return Array.from({ length: parts }, (_, k): readonly [number, number] => [
      a[0] + (k / parts) * (b[0] - a[0]),
      a[1] + (k / parts) * (b[1] - a[1]),
    ]);
  });
