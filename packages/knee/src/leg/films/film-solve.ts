import type { FilmState } from './film-state.ts';

/** A mark as the solver takes it: a pair of numbers that depends on some places of the state. */
export interface PairObservation {
  readonly value: readonly [number, number];
  /** xx, xy, yy. */
  readonly covariance: readonly [number, number, number];
  readonly inputs: readonly number[];
  readonly predict: (x: Float64Array) => readonly [number, number];
}

/** A state after its observations, kept in the form that any linear question can be asked of. */
export interface Solved {
  readonly state: FilmState;
  readonly mean: Float64Array;
  readonly observations: readonly PairObservation[];
  /** Derivatives of each number observed, by place in the state: one row of two for each pair. */
  readonly rows: readonly Row[];
  /** Lower factor of the covariance of all numbers observed, row by row. */
  readonly factor: Float64Array;
  /** `factor^-1 (value - expected before any observation)`: sums of squares are chi-square. */
  readonly whitened: Float64Array;
  readonly settled: boolean;
}

/** Derivatives of one observed number: places and values. */
export interface Row {
  readonly at: readonly number[];
  readonly by: Float64Array;
}

/** @numerical Rounds of linearising; marks on real films need four to six. */
const mostRounds = 25;
/** @numerical A round that moves nothing by more than this share of its first spread is the last. */
const still = 1e-4;
/** @numerical Step of a derivative as a share of the spread. */
const stepShare = 1e-3;
/** @numerical Largest step, mm or radians: bends of a pose over a wide first spread are not its slope. */
const largestStep = 1e-3;

/**
 * Mean of a state after pair observations: Gauss and Newton's rounds from independent first beliefs (Bell and Cathey 1993: the
 * iterated filter is such a search). Places keep their first variance in the rounds, so what comes out is the most probable
 * state for Gaussian spreads.
 */
export function solved(state: FilmState, observations: readonly PairObservation[], from?: Float64Array): Solved {
  const n = state.mean.length;
  const m = 2 * observations.length;
  let x = from ? Float64Array.from(from) : Float64Array.from(state.mean);
  for (let round = 1; ; round += 1) {
    const rows = observations.flatMap((o) => derivativesOf(state, o, x));
    const innovation = new Float64Array(m);
    observations.forEach((o, k) => {
      const predicted = o.predict(x);
      for (let i = 0; i < 2; i += 1) {
        const row = rows[2 * k + i]!;
        let moved = 0;
        row.at.forEach((place, j) => {
          moved += row.by[j]! * (x[place]! - state.mean[place]!);
        });
        innovation[2 * k + i] = o.value[i]! - predicted[i]! + moved;
      }
    });
    const factor = lowerFactor(innovationCovariance(state, observations, rows), m);
    const whitened = forwardSolved(factor, innovation);
    const weights = backwardSolved(factor, whitened);
    const next = Float64Array.from(state.mean);
    rows.forEach((row, r) => {
      row.at.forEach((place, j) => {
        next[place] = next[place]! + state.variance[place]! * row.by[j]! * weights[r]!;
      });
    });
    let moved = 0;
    for (let i = 0; i < n; i += 1) {
      const sd = Math.sqrt(state.variance[i]!);
      if (sd > 0) moved = Math.max(moved, Math.abs(next[i]! - x[i]!) / sd);
    }
    x = next;
    if (moved < still || round === mostRounds) {
      return { state, mean: x, observations, rows, factor, whitened, settled: moved < still };
    }
  }
}

function derivativesOf(state: FilmState, o: PairObservation, x: Float64Array): readonly [Row, Row] {
  const by = [new Float64Array(o.inputs.length), new Float64Array(o.inputs.length)] as const;
  o.inputs.forEach((place, j) => {
    const h = Math.min(largestStep, stepShare * Math.sqrt(state.variance[place]!));
    if (h === 0) return;
    const centre = x[place]!;
    x[place] = centre + h;
    const plus = o.predict(x);
    x[place] = centre - h;
    const minus = o.predict(x);
    x[place] = centre;
    by[0][j] = (plus[0] - minus[0]) / (2 * h);
    by[1][j] = (plus[1] - minus[1]) / (2 * h);
  });
  return [
    { at: o.inputs, by: by[0] },
    { at: o.inputs, by: by[1] },
  ];
}

/** Covariance of what is observed, before it is: `H P H' + R`, row by row. */
function innovationCovariance(
  state: FilmState,
  observations: readonly PairObservation[],
  rows: readonly Row[],
): Float64Array {
  const m = rows.length;
  const out = new Float64Array(m * m);
  const users: [number, number][][] = Array.from(state.mean, () => []);
  rows.forEach((row, r) => {
    row.at.forEach((place, j) => {
      if (row.by[j] !== 0) users[place]!.push([r, row.by[j]!]);
    });
  });
  users.forEach((using, place) => {
    const variance = state.variance[place]!;
    for (const [r, a] of using)
      for (const [c, b] of using) if (c <= r) out[r * m + c] = out[r * m + c]! + a * b * variance;
  });
  observations.forEach(({ covariance: [xx, xy, yy] }, k) => {
    const r = 2 * k;
    out[r * m + r] = out[r * m + r]! + xx;
    out[(r + 1) * m + r] = out[(r + 1) * m + r]! + xy;
    out[(r + 1) * m + r + 1] = out[(r + 1) * m + r + 1]! + yy;
  });
  return out;
}

/** Cholesky's factor of a matrix of which the lower half is given; in place. */
function lowerFactor(a: Float64Array, m: number): Float64Array {
  for (let r = 0; r < m; r += 1) {
    for (let c = 0; c <= r; c += 1) {
      let sum = a[r * m + c]!;
      for (let k = 0; k < c; k += 1) sum -= a[r * m + k]! * a[c * m + k]!;
      if (r === c) {
        if (!(sum > 0)) throw new Error('marks without a spread of their own');
        a[r * m + r] = Math.sqrt(sum);
      } else a[r * m + c] = sum / a[c * m + c]!;
    }
  }
  return a;
}

/** L^-1 v. */
export function forwardSolved(factor: Float64Array, v: Float64Array): Float64Array {
  const m = v.length;
  const out = Float64Array.from(v);
  for (let r = 0; r < m; r += 1) {
    let sum = out[r]!;
    for (let k = 0; k < r; k += 1) sum -= factor[r * m + k]! * out[k]!;
    out[r] = sum / factor[r * m + r]!;
  }
  return out;
}

/** L'^-1 v. */
export function backwardSolved(factor: Float64Array, v: Float64Array): Float64Array {
  const m = v.length;
  const out = Float64Array.from(v);
  for (let r = m - 1; r >= 0; r -= 1) {
    let sum = out[r]!;
    for (let k = r + 1; k < m; k += 1) sum -= factor[k * m + r]! * out[k]!;
    out[r] = sum / factor[r * m + r]!;
  }
  return out;
}

/** A linear function of the state: its derivative by place. */
export type Gradient = ReadonlyMap<number, number>;

/** A gradient as the observations see it: `L^-1 H P g`. */
export function seenByMarks({ state, rows, factor }: Solved, g: Gradient): Float64Array {
  const v = new Float64Array(rows.length);
  rows.forEach((row, r) => {
    let sum = 0;
    row.at.forEach((place, j) => {
      const along = g.get(place);
      if (along !== undefined) sum += row.by[j]! * state.variance[place]! * along;
    });
    v[r] = sum;
  });
  return forwardSolved(factor, v);
}

/** Covariance of two linear functions after the observations, from their gradients and how the marks see them. */
export function covarianceAfter(
  state: FilmState,
  [g, gSeen]: readonly [Gradient, Float64Array],
  [h, hSeen]: readonly [Gradient, Float64Array],
): number {
  let sum = 0;
  for (const [place, by] of g) {
    const other = h.get(place);
    if (other !== undefined) sum += by * state.variance[place]! * other;
  }
  for (let k = 0; k < gSeen.length; k += 1) sum -= gSeen[k]! * hSeen[k]!;
  return sum;
}
