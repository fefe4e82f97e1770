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
/** @numerical A round that changes the sum of squares by no more than this moves nothing by more than a thirtieth of its spread. */
const still = 1e-3;
/** @numerical Step of a one-sided derivative, mm or radians: what a pose bends within it is below a thousandth of a mark's spread. */
const step = 1e-5;

/**
 * Mean of a state after pair observations, searched from `from` until the sum of squares changes by less than `near`: Gauss and Newton's rounds from independent first beliefs (Bell and Cathey 1993: the
 * iterated filter is such a search). Places keep their first variance in the rounds, so what comes out is the most probable
 * state for Gaussian spreads.
 */
export function solved(
  state: FilmState,
  observations: readonly PairObservation[],
  { from, near = still }: { readonly from?: Float64Array; readonly near?: number } = {},
): Solved {
  const m = 2 * observations.length;
  let before = Number.POSITIVE_INFINITY;
  let x = from ? Float64Array.from(from) : Float64Array.from(state.mean);
  for (let round = 1; ; round += 1) {
    const rows: Row[] = [];
    const innovation = new Float64Array(m);
    observations.forEach((o, k) => {
      const predicted = o.predict(x);
      rows.push(...derivativesOf(state, o, x, predicted));
      for (let i = 0; i < 2; i += 1) {
        const { at, by } = rows[2 * k + i]!;
        let moved = 0;
        for (let j = 0; j < at.length; j += 1) moved += by[j]! * (x[at[j]!]! - state.mean[at[j]!]!);
        innovation[2 * k + i] = o.value[i]! - predicted[i]! + moved;
      }
    });
    const factor = lowerFactor(innovationCovariance(state, observations, rows), m);
    const whitened = forwardSolved(factor, innovation);
    const weights = backwardSolved(factor, whitened);
    const next = Float64Array.from(state.mean);
    for (let r = 0; r < m; r += 1) {
      const { at, by } = rows[r]!;
      for (let j = 0; j < at.length; j += 1) {
        const place = at[j]!;
        next[place] = next[place]! + state.variance[place]! * by[j]! * weights[r]!;
      }
    }
    const squares = whitened.reduce((sum, v) => sum + v * v, 0);
    const settled = Math.abs(squares - before) < near;
    before = squares;
    x = next;
    if (settled || round === mostRounds) {
      return { state, mean: x, observations, rows, factor, whitened, settled };
    }
  }
}

function derivativesOf(
  state: FilmState,
  o: PairObservation,
  x: Float64Array,
  at: readonly [number, number],
): readonly [Row, Row] {
  const { inputs } = o;
  const right = new Float64Array(inputs.length);
  const up = new Float64Array(inputs.length);
  for (let j = 0; j < inputs.length; j += 1) {
    const place = inputs[j]!;
    if (state.variance[place] === 0) continue;
    const centre = x[place]!;
    x[place] = centre + step;
    const moved = o.predict(x);
    x[place] = centre;
    right[j] = (moved[0] - at[0]) / step;
    up[j] = (moved[1] - at[1]) / step;
  }
  return [
    { at: inputs, by: right },
    { at: inputs, by: up },
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
  // Each row spread over all places, so that two rows meet in one pass.
  const n = state.mean.length;
  const full = new Float64Array(n);
  for (let r = 0; r < m; r += 1) {
    const { at, by } = rows[r]!;
    for (let j = 0; j < at.length; j += 1) full[at[j]!] = by[j]! * state.variance[at[j]!]!;
    for (let c = 0; c <= r; c += 1) {
      const other = rows[c]!;
      let sum = 0;
      for (let j = 0; j < other.at.length; j += 1) sum += other.by[j]! * full[other.at[j]!]!;
      out[r * m + c] = sum;
    }
    for (let j = 0; j < at.length; j += 1) full[at[j]!] = 0;
  }
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
  const full = new Float64Array(state.mean.length);
  for (const [place, by] of g) full[place] = by * state.variance[place]!;
  const v = new Float64Array(rows.length);
  for (let r = 0; r < rows.length; r += 1) {
    const { at, by } = rows[r]!;
    let sum = 0;
    for (let j = 0; j < at.length; j += 1) sum += by[j]! * full[at[j]!]!;
    v[r] = sum;
  }
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
