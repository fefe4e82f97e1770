import { err, ok, type Result } from '@kerfline/geometry';
import { brightSign, type Picture, type Place } from './brightness.ts';
import { type Edge, profileAlong } from './edge-profile.ts';
import type { MeasureError } from './measure-error.ts';
import { fewPoints, polynomialFit } from './straight-fit.ts';

export interface AcrossOptions {
  /** Length of tube that is looked at, px: lines beside the given one, half of it on either side. */
  readonly bandPx?: number;
  /** Slopes below this share of the greatest are not taken for a wall of the tube. */
  readonly leastShare?: number;
}

/** One edge of a tube where the line crosses it. */
export interface CrossedEdge {
  readonly place: Place;
  /** Distance from the start of the line, px. */
  readonly at: number;
  /** Sd along the line, px, from how the edge scatters beside the line. */
  readonly sd: number;
}

/** What a line across a tube crosses, in the order of the line. */
export interface TubeEdges {
  readonly outer: readonly [CrossedEdge, CrossedEdge];
  /** Inner sides of the two walls; null where the tube is filled or its walls are not told from its middle. */
  readonly inner: readonly [CrossedEdge, CrossedEdge] | null;
  /** Half way between the outer edges. */
  readonly middle: CrossedEdge;
  /** Half way between the inner edges. */
  readonly canal: CrossedEdge | null;
  /** Root mean square distance of the edges beside the line from straight ones, px. */
  readonly rms: number;
}

/** Length of tube looked at when none is given, px. @numerical Nine lines, enough for a spread. */
const usualBand = 16;
/** @numerical Lines so far apart share no pixels, px. */
const apart = 2;
/** Walls that are a third as clear as the clearest edge are still walls. Project choice, no source. */
const usualShare = 0.3;
/** @numerical How far an edge may lie from where it is on the line before, px. */
const follow = 2.5;
/** @numerical The filter needs room on either side of an edge. */
const shortest = 12;

/**
 * The outer edges of a tube, and the inner sides of its two walls, on a line across it.
 *
 * The tube is denser than what surrounds it and has denser walls than its middle. From outside inwards: the first clear
 * step up to dense is the outer edge, the next clear step down the inner one. Each edge is followed on lines beside the
 * given one; the place on the line comes from a straight line through them.
 *
 * @param from a place outside the tube
 * @param to a place outside it on the other side
 */
export function edgesAcross(
  picture: Picture,
  from: Place,
  to: Place,
  { bandPx = usualBand, leastShare = usualShare }: AcrossOptions = {},
): Result<TubeEdges, MeasureError> {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (!(length >= shortest)) return err({ kind: 'line-too-short', found: length, needed: shortest });
  const along = [(to[0] - from[0]) / length, (to[1] - from[1]) / length] as const;
  const beside = [-along[1], along[0]] as const;
  const bright = brightSign(picture);
  const profile = profileAlong(picture, from, along, length);
  if (!profile) return err({ kind: 'outside-film', column: from[0], row: from[1] });
  const greatest = profile.edges.reduce((most, { slope }) => Math.max(most, Math.abs(slope)), 0);
  const clear = profile.edges.filter(({ slope }) => Math.abs(slope) >= leastShare * greatest);
  const up = clear.filter(({ slope }) => bright * slope > 0);
  const down = clear.filter(({ slope }) => bright * slope < 0);
  const left = up[0];
  const right = down.at(-1);
  if (!left || !right || left.at >= right.at)
    return err({ kind: 'no-edge', what: 'pair of outer edges', found: clear.length, needed: 2 });
  const innerLeft = down.find(({ at }) => at > left.at);
  const innerRight = up.findLast(({ at }) => at < right.at);
  const twoWalls = innerLeft && innerRight && innerLeft.at < innerRight.at;

  const half = Math.max(2, Math.floor(bandPx / 2 / apart));
  const offsets = Array.from({ length: 2 * half + 1 }, (_, i) => (i - half) * apart);
  const profiles = new Map<number, readonly Edge[]>();
  for (const offset of offsets) {
    const start = [from[0] + offset * beside[0], from[1] + offset * beside[1]] as const;
    const edges = offset === 0 ? profile.edges : profileAlong(picture, start, along, length)?.edges;
    if (edges) profiles.set(offset, edges);
  }
  const crossed = (edge: Edge) => followed(edge, profiles, half);
  const found = [left, right, ...(twoWalls ? [innerLeft, innerRight] : [])].map(crossed);
  const [a, b, c, d] = found;
  if (!a || !b)
    return err({
      kind: 'no-edge',
      what: 'pair of outer edges beside the line',
      found: found.filter(Boolean).length,
      needed: 2,
    });
  const put = ({ at, sd }: Followed): CrossedEdge => ({
    place: [from[0] + at * along[0], from[1] + at * along[1]],
    at,
    sd,
  });
  const between = (p: Followed, q: Followed) =>
    put({ at: (p.at + q.at) / 2, sd: Math.hypot(p.sd, q.sd) / 2, scatter: 0 });
  const used = found.filter((edge) => edge !== undefined);
  return ok({
    outer: [put(a), put(b)],
    inner: c && d ? [put(c), put(d)] : null,
    middle: between(a, b),
    canal: c && d ? between(c, d) : null,
    rms: Math.sqrt(used.reduce((sum, { scatter }) => sum + scatter * scatter, 0) / used.length),
  });
}

interface Followed {
  readonly at: number;
  readonly sd: number;
  readonly scatter: number;
}

/** An edge of the given line on the lines beside it, outwards from the line; undefined when too few have it. */
function followed(edge: Edge, profiles: ReadonlyMap<number, readonly Edge[]>, half: number): Followed | undefined {
  const points: (readonly [number, number])[] = [[0, edge.at]];
  for (const side of [-1, 1]) {
    let last = edge.at;
    for (let i = 1; i <= half; i++) {
      const offset = side * i * apart;
      const near = profiles
        .get(offset)
        ?.filter(({ slope, at }) => slope * edge.slope > 0 && Math.abs(at - last) <= follow)
        .sort((p, q) => Math.abs(p.at - last) - Math.abs(q.at - last))[0];
      if (!near) continue;
      last = near.at;
      points.push([offset, near.at]);
    }
  }
  if (points.length < 5) return undefined;
  const fit = polynomialFit(points, 1);
  if (!fit) return undefined;
  const sd = Math.sqrt(fit.covariance[0]![0]!) * fewPoints(fit.freedom);
  return { at: fit.coefficients[0]!, sd, scatter: fit.sd };
}

/** The middle of a tube at one place of its axis. */
export interface CanalMiddle {
  readonly place: Place;
  /** Sd across the axis, px. */
  readonly sd: number;
  /** Between which edges the middle lies. */
  readonly between: 'inner' | 'outer';
  readonly width: number;
  readonly edges: TubeEdges;
}

/**
 * The middle of a tube's canal near a place on its axis; of its outer edges where no inner ones are found.
 *
 * @param axisPoint a place within the tube
 * @param direction along the tube; any length
 * @param heightPx length of tube looked at
 * @param reachPx how far to either side of the axis the tube's surroundings are surely reached
 */
export function canalMiddle(
  picture: Picture,
  axisPoint: Place,
  direction: Place,
  { heightPx, reachPx }: { readonly heightPx: number; readonly reachPx: number },
): Result<CanalMiddle, MeasureError> {
  const size = Math.hypot(direction[0], direction[1]);
  if (!(size > 0)) return err({ kind: 'line-too-short', found: 0, needed: shortest });
  const across = [-direction[1] / size, direction[0] / size] as const;
  const end = (reach: number): Place => [axisPoint[0] + reach * across[0], axisPoint[1] + reach * across[1]];
  const found = edgesAcross(picture, end(-reachPx), end(reachPx), { bandPx: heightPx });
  if (!found.ok) return found;
  const edges = found.value;
  const { canal, middle, inner, outer } = edges;
  const [first, second] = inner ?? outer;
  const { place, sd } = canal ?? middle;
  return ok({ place, sd, between: inner ? 'inner' : 'outer', width: second.at - first.at, edges });
}
