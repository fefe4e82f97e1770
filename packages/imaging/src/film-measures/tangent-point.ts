import { err, ok, type Result } from '@kerfline/geometry';
import { brightSign, type Picture, type Place } from './brightness.ts';
import { type Edge, profileAlong } from './edge-profile.ts';
import type { MeasureError } from './measure-error.ts';
import { fewPoints, type PolynomialFit, polynomialFit } from './straight-fit.ts';

/** The extreme point of a boundary towards a direction: where a tangent square to the direction touches it. */
export interface TangentPoint {
  readonly place: Place;
  /** Curvature of the boundary there, 1/px; positive where it bulges towards the direction. */
  readonly curvature: number;
  /** Sd along the direction, px: how deep the tangent lies. */
  readonly sdAcross: number;
  /** Sd along the boundary, px: large where it is flat. */
  readonly sdAlong: number;
  /** Sd of the boundary about the parabola that was fitted, px. */
  readonly rms: number;
  /** Boundary places of the fit. */
  readonly used: number;
}

/** @numerical Lines so far apart share no pixels, px. */
const apart = 2;
/** @numerical How far the boundary may go from one line to the next, px: steeper parts are not near an extreme. */
const follow = 4;
/** @numerical Fewest boundary places of a fit. */
const fewest = 7;
/** @numerical The part of the boundary that a parabola is fitted to becomes this much narrower until it fits. */
const narrower = 0.8;
/** @numerical What the test just lets pass would still lift the top by as much as its spread: this much narrower, it is a third of it. */
const margin = 0.75;
/** @numerical Least half width of that part, px: nine places. */
const leastHalf = 8;
/** @numerical Bound of the F test: exceeded by chance once in twenty with a dozen places. */
const clearlyNearer = 3.5;

/**
 * The extreme point, towards a direction, of the boundary nearest to a place: dense on the near side, less so beyond.
 *
 * The boundary is followed to both sides from the line through `near`, then a parabola is fitted round its highest part,
 * as wide as it fits.
 *
 * @param near a place at the boundary, put there by hand
 * @param direction from dense outwards; any length
 * @param reachPx how far from `near` the boundary is looked for, both ways
 */
export function tangentPoint(
  picture: Picture,
  near: Place,
  direction: Place,
  reachPx: number,
): Result<TangentPoint, MeasureError> {
  const size = Math.hypot(direction[0], direction[1]);
  if (!(size > 0 && reachPx >= 3 * fewest))
    return err({ kind: 'line-too-short', found: size > 0 ? reachPx : 0, needed: 3 * fewest });
  const out = [direction[0] / size, direction[1] / size] as const;
  const side = [-out[1], out[0]] as const;
  const bright = brightSign(picture);
  const edgesAt = (u: number): readonly Edge[] => {
    const from = [near[0] + u * side[0] - reachPx * out[0], near[1] + u * side[1] - reachPx * out[1]] as const;
    return (profileAlong(picture, from, out, 2 * reachPx)?.edges ?? [])
      .filter(({ slope }) => bright * slope < 0)
      .map(({ at, slope }) => ({ at: at - reachPx, slope }));
  };
  const first = nearest(edgesAt(0), 0);
  if (!first) return err({ kind: 'no-edge', what: 'boundary from dense to less dense', found: 0, needed: 1 });
  const line: (readonly [number, number])[] = [[0, first.at]];
  for (const way of [-1, 1]) {
    let last = first.at;
    let step = 0;
    for (let u = way * apart; Math.abs(u) <= reachPx; u += way * apart) {
      const next = nearest(
        edgesAt(u).filter(({ at }) => Math.abs(at - last - step) <= follow),
        last + step,
      );
      if (!next) break;
      step = next.at - last;
      last = next.at;
      if (way < 0) line.unshift([u, next.at]);
      else line.push([u, next.at]);
    }
  }
  if (line.length < fewest) return err({ kind: 'no-edge', what: 'boundary', found: line.length, needed: fewest });
  return extremeOf(line, (u, t) => [near[0] + u * side[0] + t * out[0], near[1] + u * side[1] + t * out[1]], reachPx);
}

const nearest = (edges: readonly Edge[], at: number): Edge | undefined =>
  edges.reduce<Edge | undefined>(
    (best, edge) => (!best || Math.abs(edge.at - at) < Math.abs(best.at - at) ? edge : best),
    undefined,
  );

function extremeOf(
  line: readonly (readonly [number, number])[],
  place: (u: number, t: number) => Place,
  reach: number,
): Result<TangentPoint, MeasureError> {
  let top = line.reduce((best, point) => (smoothAt(line, point) > smoothAt(line, best) ? point : best), line[0]!)[0];
  let half = (line.at(-1)![0] - line[0]![0]) / 2;
  let settled = false;
  for (;;) {
    const centre = top;
    const part = line.filter(([u]) => Math.abs(u - centre) <= half).map(([u, t]) => [u - centre, t] as const);
    const fit = part.length >= fewest ? polynomialFit(part, 2) : undefined;
    if (!fit) return err({ kind: 'no-extreme', reach });
    const [a, b, c] = fit.coefficients as [number, number, number];
    const smaller = narrower * half >= leastHalf ? narrower * half : 0;
    const fits = !bends(part, fit);
    const shift = c < 0 ? -b / (2 * c) : Number.NaN;
    const within = Math.abs(shift) <= half;
    if (!settled && (!fits || !within) && smaller > 0) {
      if (within) top += 0.5 * Math.max(-apart, Math.min(apart, shift));
      half = smaller;
      continue;
    }
    if (!settled && half * margin >= leastHalf) {
      settled = true;
      half *= margin;
      continue;
    }
    // A boundary that rises to its very end has its extreme beyond it.
    const ends = [part[0]![0], part.at(-1)![0]];
    const flat = !(Math.abs(shift) <= half);
    const wide = part.at(-1)![0] - part[0]![0];
    const slopeSd = Math.sqrt(fit.covariance[1]![1]!);
    if (flat && Math.abs(b) > 3 * slopeSd && Math.abs(b) * wide > 3 * fit.sd) return err({ kind: 'no-extreme', reach });
    const u = flat ? 0 : Math.max(ends[0]!, Math.min(ends[1]!, shift));
    const grow = [1, u, u * u];
    const quadratic = (g: readonly number[]) =>
      g.reduce((sum, p, i) => sum + g.reduce((inner, q, j) => inner + p * q * fit.covariance[i]![j]!, 0), 0);
    const few = fewPoints(fit.freedom);
    // u = -b / 2c: du = -db / 2c + b dc / 2c2.
    const along = flat ? wide / Math.sqrt(12) : Math.sqrt(quadratic([0, -1 / (2 * c), b / (2 * c * c)]));
    return ok({
      place: place(centre + u, a + b * u + c * u * u),
      curvature: -2 * c,
      sdAcross: few * Math.sqrt(quadratic(grow)),
      // No more is unknown than where on the boundary looked at.
      sdAlong: Math.min(few * along, wide / Math.sqrt(12)),
      rms: fit.sd,
      used: part.length,
    });
  }
}

/** The mean of a place and its neighbours on the line. */
function smoothAt(line: readonly (readonly [number, number])[], point: readonly [number, number]): number {
  const at = line.indexOf(point);
  const part = line.slice(Math.max(0, at - 2), at + 3);
  return part.reduce((sum, [, t]) => sum + t, 0) / part.length;
}

/** Whether the boundary stands off a parabola by more than its scatter: a curve of degree 4 is clearly nearer (F test). */
function bends(part: readonly (readonly [number, number])[], parabola: PolynomialFit): boolean {
  const fuller = polynomialFit(part, 4);
  if (!fuller) return false;
  const [rough, fine] = [parabola.sd ** 2 * parabola.freedom, fuller.sd ** 2 * fuller.freedom];
  return (rough - fine) / 2 > clearlyNearer * (fine / fuller.freedom);
}
