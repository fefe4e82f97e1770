import { markCovariance, predictor, type StartedFilm, type TakenMark } from './film-marks.ts';
import {
  backwardSolved,
  covarianceAfter,
  type Gradient,
  type PairObservation,
  type Solved,
  seenByMarks,
  solved,
} from './film-solve.ts';
import { type FilmState, indexIn } from './film-state.ts';
import { type MarkPlace, marksOfView } from './mark-catalogue.ts';
import type { MarkSpreads } from './mark-spread.ts';

/** What the marks are placed for: a function of the state with what a step of it is worth, degrees. */
export interface Wanted {
  readonly name: string;
  readonly value: (x: Float64Array) => number;
  readonly inputs: readonly number[];
}

/** Derivatives of a wanted number at the solved mean, radians. */
export function gradientOf(solved: Solved, wanted: Wanted): Gradient {
  const x = Float64Array.from(solved.mean);
  return new Map(
    wanted.inputs.map((place) => {
      const h = Math.min(1e-3, 1e-3 * Math.sqrt(solved.state.variance[place]!)) || 1e-6;
      const centre = x[place]!;
      x[place] = centre + h;
      const plus = wanted.value(x);
      x[place] = centre - h;
      const minus = wanted.value(x);
      x[place] = centre;
      return [place, (plus - minus) / (2 * h)] as const;
    }),
  );
}

/** Sd of a wanted number after the films. */
export function sdAfter(solved: Solved, gradient: Gradient): number {
  const seen = seenByMarks(solved, gradient);
  return Math.sqrt(Math.max(0, covarianceAfter(solved.state, [gradient, seen], [gradient, seen])));
}

/** A mark that is not placed yet, where it is expected and what it would narrow. */
export interface ExpectedMark {
  readonly film: StartedFilm;
  readonly place: MarkPlace;
  readonly at: readonly [right: number, up: number];
  /** Of the place, without the mark's own spread: xx, xy, yy, mm of the film. */
  readonly covariance: readonly [number, number, number];
  /** Sd of each wanted number as it is and as it would be with this mark, radians. */
  readonly narrows: readonly { readonly name: string; readonly before: number; readonly after: number }[];
}

/** Places that nobody marked yet, on every film. */
export function expectedMarks(
  solved: Solved,
  films: readonly StartedFilm[],
  spreads: MarkSpreads,
  wanted: readonly Wanted[],
): readonly ExpectedMark[] {
  const asked = wanted.map((w) => {
    const gradient = gradientOf(solved, w);
    const seen = seenByMarks(solved, gradient);
    const before = Math.max(0, covarianceAfter(solved.state, [gradient, seen], [gradient, seen]));
    return { name: w.name, gradient, seen, before };
  });
  return films.flatMap((film) =>
    marksOfView(film.reading.view)
      .filter((place) => place.on !== 'component' && !film.reading.marks.some((mark) => mark.name === place.name))
      .map((place): ExpectedMark => {
        const { inputs, predict } = predictor(solved.state, film, place);
        const at = predict(solved.mean);
        const rows = pairGradients(solved, { inputs, predict });
        const seen = rows.map((row) => seenByMarks(solved, row));
        const cov = (r: 0 | 1, c: 0 | 1): number =>
          covarianceAfter(solved.state, [rows[r], seen[r]!], [rows[c], seen[c]!]);
        const covariance = [cov(0, 0), cov(0, 1), cov(1, 1)] as const;
        const own = markCovariance(film, place, spreads);
        const [xx, xy, yy] = covariance.map((v, i) => v + own[i]!) as [number, number, number];
        const determinant = xx * yy - xy * xy;
        const narrows = asked.map(({ name, gradient, seen: askedSeen, before }) => {
          const a = covarianceAfter(solved.state, [gradient, askedSeen], [rows[0], seen[0]!]);
          const b = covarianceAfter(solved.state, [gradient, askedSeen], [rows[1], seen[1]!]);
          const gain = (a * a * yy - 2 * a * b * xy + b * b * xx) / determinant;
          return { name, before: Math.sqrt(before), after: Math.sqrt(Math.max(0, before - gain)) };
        });
        return { film, place, at, covariance, narrows };
      }),
  );
}

function pairGradients(
  solved: Solved,
  { inputs, predict }: Pick<PairObservation, 'inputs' | 'predict'>,
): readonly [Gradient, Gradient] {
  const one = (axis: 0 | 1): Gradient => gradientOf(solved, { name: '', inputs, value: (x) => predict(x)[axis] });
  return [one(0), one(1)];
}

/**
 * What each mark of the films is worth beside all others: by how much the wanted numbers would spread more without it, if every
 * mark were placed where it is expected; radians, summed.
 */
export function missedMost(
  state: FilmState,
  films: readonly StartedFilm[],
  spreads: MarkSpreads,
  wanted: readonly Wanted[],
): readonly { readonly film: StartedFilm; readonly place: MarkPlace; readonly loss: number }[] {
  const marks = films.flatMap((film) =>
    marksOfView(film.reading.view)
      .filter((place) => place.on !== 'component')
      .map((place) => {
        const predicted = predictor(state, film, place);
        const value = predicted.predict(state.mean);
        const observation = { ...predicted, value, covariance: markCovariance(film, place, spreads) };
        return { film, place, observation };
      }),
  );
  if (marks.length === 0) return [];
  const all = solved(
    state,
    marks.map(({ observation }) => observation),
  );
  const asked = wanted.map((w) => {
    const gradient = gradientOf(all, w);
    const seen = seenByMarks(all, gradient);
    const variance = Math.max(0, covarianceAfter(state, [gradient, seen], [gradient, seen]));
    return { variance, weights: backwardSolved(all.factor, seen) };
  });
  const blocks = ownBlocks(all);
  return marks.map(({ film, place }, k) => {
    const [xx, xy, yy] = blocks[k]!;
    const determinant = xx * yy - xy * xy;
    const loss = asked.reduce((sum, { variance, weights }) => {
      const [a, b] = [weights[2 * k]!, weights[2 * k + 1]!];
      const more = (yy * a * a - 2 * xy * a * b + xx * b * b) / determinant;
      return sum + Math.sqrt(variance + more) - Math.sqrt(variance);
    }, 0);
    return { film, place, loss };
  });
}

/** Share of a wanted number's variance that comes from each source of doubt; they sum to 1. */
export function doubtShares(
  solved: Solved,
  gradient: Gradient,
  marks: readonly TakenMark[],
  sourceOf: (root: string) => string,
): readonly { readonly source: string; readonly share: number }[] {
  const { state, rows, factor, observations } = solved;
  const weights = backwardSolved(factor, seenByMarks(solved, gradient));
  // The error is what people in general leave open, less what marks took from it, plus the marks' own error.
  const left = new Float64Array(state.mean.length);
  for (const [place, by] of gradient) left[place] = by;
  rows.forEach((row, r) => {
    row.at.forEach((place, j) => {
      left[place] = left[place]! - row.by[j]! * weights[r]!;
    });
  });
  const shares = new Map<string, number>();
  const add = (source: string, variance: number): void => {
    if (variance > 0) shares.set(source, (shares.get(source) ?? 0) + variance);
  };
  for (const [i, name] of state.names.entries()) add(sourceOf(name), left[i]! ** 2 * state.variance[i]!);
  observations.forEach(({ covariance: [xx, xy, yy] }, k) => {
    const [a, b] = [weights[2 * k]!, weights[2 * k + 1]!];
    add(`mark ${marks[k]!.mark.name}`, a * a * xx + 2 * a * b * xy + b * b * yy);
  });
  const total = [...shares.values()].reduce((sum, v) => sum + v, 0);
  return [...shares]
    .map(([source, variance]) => ({ source, share: total > 0 ? variance / total : 0 }))
    .sort((a, b) => b.share - a.share);
}

/** The block of each pair in the inverse covariance of all that was observed: xx, xy, yy. */
function ownBlocks({ rows, factor, observations }: Solved): readonly (readonly [number, number, number])[] {
  const m = rows.length;
  const column = (at: number): Float64Array => {
    const out = new Float64Array(m);
    out[at] = 1 / factor[at * m + at]!;
    for (let r = at + 1; r < m; r += 1) {
      let sum = 0;
      for (let c = at; c < r; c += 1) sum -= factor[r * m + c]! * out[c]!;
      out[r] = sum / factor[r * m + r]!;
    }
    return out;
  };
  return observations.map((_, k) => {
    const [u, v] = [column(2 * k), column(2 * k + 1)];
    let [xx, xy, yy] = [0, 0, 0];
    for (let r = 2 * k; r < m; r += 1) {
      xx += u[r]! * u[r]!;
      xy += u[r]! * v[r]!;
      yy += v[r]! * v[r]!;
    }
    return [xx, xy, yy];
  });
}

/** How far each mark lies from where all the others expect it, mm of the film, and in spreads of that expectation. */
export function leftOut(solution: Solved): readonly { readonly mm: number; readonly sds: number }[] {
  const weights = backwardSolved(solution.factor, solution.whitened);
  return ownBlocks(solution).map(([xx, xy, yy], k) => {
    const determinant = xx * yy - xy * xy;
    const [a, b] = [weights[2 * k]!, weights[2 * k + 1]!];
    const off = [(yy * a - xy * b) / determinant, (xx * b - xy * a) / determinant] as const;
    return { mm: Math.hypot(...off), sds: Math.sqrt(Math.max(0, off[0] * a + off[1] * b)) };
  });
}

/** Sd of roots by name after the films. */
export const sdOfRoot = (solved: Solved, name: string): number =>
  sdAfter(solved, new Map([[indexIn(solved.state, name), 1]]));
