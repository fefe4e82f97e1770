import { type Circle, err, fitCircle, fitCircleLinear, ok, type Result } from '@kerfline/geometry';
import type { Picture, Place } from './brightness.ts';
import { type Edge, profileAlong } from './edge-profile.ts';
import type { MeasureError } from './measure-error.ts';

export interface RimOptions {
  /** How far from the points, or from the circle through them, the rim may lie, px. */
  readonly snapPx: number;
}

/** A circle found on a film. */
export interface RimCircle {
  readonly centre: Place;
  readonly radius: number;
  /** Covariance of centre column, centre row and radius, px2, from how the rim scatters about the circle. */
  readonly covariance: readonly (readonly [number, number, number])[];
  /** Root mean square distance of the rim from the circle, px. */
  readonly rms: number;
  /** Angle of the rim that was looked at, rad: 2 pi for a whole one. */
  readonly arc: number;
  /** The places of the rim that were used, sub-pixel. */
  readonly rim: readonly Place[];
  /** Rim places looked at, those without a clear edge and those that did not fit included. */
  readonly looked: number;
  /** Whether the disc is dense (shown bright) or not, against what surrounds it. */
  readonly disc: 'bright' | 'dark';
}

/** @numerical Rim places so far apart share no pixels, so that their errors are their own, px. */
const apart = 2.5;
/** @numerical More rim places than this tell nothing more. */
const mostPlaces = 360;
/** Least share of rim places with an edge that fits. Project choice, no source. */
const leastShare = 0.4;
/** @numerical A radius so many times the extent of its points is that of a line. */
const mostRadius = 25;

/**
 * The circle of a rim, from at least three places near it.
 *
 * The rim is searched on the arc that the points cover, by the strongest edge across it within `snapPx`; the edge must
 * change the same way all round. Places far off the others are left out. The fit is geometric.
 *
 * @param points places near the rim, put there by hand
 */
export const rimCircle = (
  picture: Picture,
  points: readonly Place[],
  options: RimOptions,
): Result<RimCircle, MeasureError> => circleOf(picture, points, options, false);

/** The same for a disc whose whole rim can be seen, such as a ball for calibration, dense or not. */
export const ballCircle = (
  picture: Picture,
  points: readonly Place[],
  options: RimOptions,
): Result<RimCircle, MeasureError> => circleOf(picture, points, options, true);

function circleOf(
  picture: Picture,
  points: readonly Place[],
  { snapPx }: RimOptions,
  whole: boolean,
): Result<RimCircle, MeasureError> {
  if (points.length < 3) return err({ kind: 'too-few-points', found: points.length, needed: 3 });
  const { extent, radius } = bendOf(points);
  const allowed = mostRadius * extent;
  if (!(extent > 0 && radius <= allowed)) return err({ kind: 'points-nearly-collinear', radius, allowed });
  const start = fitCircleLinear(points);
  const { first, arc } = whole ? { first: 0, arc: 2 * Math.PI } : arcOf(points, start.centre);
  const count = Math.max(8, Math.min(mostPlaces, Math.floor((arc * start.radius) / apart)));
  const angles = Array.from({ length: count }, (_, i) => first + (arc * i) / (whole ? count : count - 1));
  const needed = Math.max(5, Math.ceil(leastShare * count));
  // Twice: the first circle is as good as the points, the second as the rim, and needs less room to search.
  let circle: Circle = start;
  let room = snapPx;
  let rising = false;
  let kept: readonly Place[] = [];
  for (let round = 0; round < 3; round++) {
    const edges = edgesRound(picture, circle, angles, room);
    if (round === 0) rising = sumOf(edges, 1) > sumOf(edges, -1);
    const places = edges.flatMap((list, i) => {
      const best = strongest(list, rising ? 1 : -1);
      if (!best) return [];
      const r = circle.radius - room + best.at;
      return [[circle.centre[0] + r * Math.cos(angles[i]!), circle.centre[1] + r * Math.sin(angles[i]!)] as const];
    });
    if (places.length < needed) return err({ kind: 'no-edge', what: 'rim', found: places.length, needed });
    const fitted = fittedWithout(places, needed);
    if (!fitted) return err({ kind: 'no-edge', what: 'rim', found: places.length, needed });
    circle = fitted.circle;
    kept = fitted.kept;
    room = Math.max(3, Math.min(room, snapPx / 2));
  }
  const rms = Math.sqrt(circle.sumOfSquares / kept.length);
  // Rising stored values outwards: the disc has the lower ones.
  const disc = rising !== picture.inverted ? 'dark' : 'bright';
  const covariance = covarianceOf(kept, circle);
  return ok({ centre: circle.centre, radius: circle.radius, covariance, rms, arc, rim: kept, looked: count, disc });
}

/** How far apart points are, and the radius of the arc over that chord through the one farthest off it. */
function bendOf(points: readonly Place[]): { readonly extent: number; readonly radius: number } {
  let [extent, p, q] = [0, points[0]!, points[0]!];
  for (const a of points) {
    for (const b of points) {
      const far = Math.hypot(a[0] - b[0], a[1] - b[1]);
      if (far > extent) [extent, p, q] = [far, a, b];
    }
  }
  const off = ([x, y]: Place) => Math.abs((x - p[0]) * (q[1] - p[1]) - (y - p[1]) * (q[0] - p[0])) / extent;
  const height = points.reduce((most, point) => Math.max(most, off(point)), 0);
  return { extent, radius: (extent * extent) / (8 * height) + height / 2 };
}

/** The arc that points cover as seen from a centre: all but the largest gap. */
function arcOf(points: readonly Place[], [cx, cy]: Place): { readonly first: number; readonly arc: number } {
  const angles = points.map(([x, y]) => Math.atan2(y - cy, x - cx)).sort((a, b) => a - b);
  const gaps = angles.map((angle, i) => (angles[i + 1] ?? angles[0]! + 2 * Math.PI) - angle);
  const widest = gaps.indexOf(Math.max(...gaps));
  return { first: angles[(widest + 1) % angles.length]!, arc: 2 * Math.PI - gaps[widest]! };
}

const edgesRound = (picture: Picture, { centre, radius }: Circle, angles: readonly number[], room: number) =>
  angles.map((angle): readonly Edge[] => {
    const along = [Math.cos(angle), Math.sin(angle)] as const;
    const from = radius - room;
    const start = [centre[0] + from * along[0], centre[1] + from * along[1]] as const;
    return profileAlong(picture, start, along, 2 * room)?.edges ?? [];
  });

const strongest = (edges: readonly Edge[], sign: 1 | -1): Edge | undefined =>
  edges.reduce<Edge | undefined>(
    (best, edge) => (sign * edge.slope > 0 && (!best || sign * edge.slope > sign * best.slope) ? edge : best),
    undefined,
  );

const sumOf = (rim: readonly (readonly Edge[])[], sign: 1 | -1): number =>
  rim.reduce((sum, edges) => sum + sign * (strongest(edges, sign)?.slope ?? 0), 0);

/** The circle of the places that lie near it: again and again without those beyond three times the middle distance. */
function fittedWithout(
  places: readonly Place[],
  needed: number,
): { readonly circle: Circle; readonly kept: readonly Place[] } | undefined {
  let kept = places;
  for (let round = 0; ; round++) {
    const fit = fitCircle(kept);
    if (!fit.ok) return undefined;
    const { centre, radius } = fit.value;
    const off = ([x, y]: Place) => Math.abs(Math.hypot(x - centre[0], y - centre[1]) - radius);
    const sizes = places.map(off).sort((a, b) => a - b);
    const limit = Math.max(0.3, 3 * 1.4826 * sizes[sizes.length >> 1]!);
    const next = places.filter((place) => off(place) <= limit);
    if (next.length < needed) return undefined;
    if (round === 5 || next.length === kept.length) return { circle: fit.value, kept };
    kept = next;
  }
}

/** s2 (J'J)^-1 of the geometric fit, s2 = sum of squares / (n - 3); rows and columns: centre column, centre row, radius. */
function covarianceOf(places: readonly Place[], circle: Circle): readonly (readonly [number, number, number])[] {
  let [uu, uv, vv, u, v] = [0, 0, 0, 0, 0];
  for (const [x, y] of places) {
    const [dx, dy] = [x - circle.centre[0], y - circle.centre[1]];
    const r = Math.hypot(dx, dy);
    const [cos, sin] = [dx / r, dy / r];
    uu += cos * cos;
    uv += cos * sin;
    vv += sin * sin;
    u += cos;
    v += sin;
  }
  const n = places.length;
  const s2 = circle.sumOfSquares / (n - 3);
  const minors = [
    [vv * n - v * v, u * v - uv * n, uv * v - vv * u],
    [u * v - uv * n, uu * n - u * u, uv * u - uu * v],
    [uv * v - vv * u, uv * u - uu * v, uu * vv - uv * uv],
  ] as const;
  const determinant = uu * minors[0][0] + uv * minors[0][1] + u * minors[0][2];
  const cell = (value: number) => (s2 * value) / determinant;
  return minors.map(([a, b, c]) => [cell(a), cell(b), cell(c)] as const);
}
