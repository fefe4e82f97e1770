import type { Root, SiteModel, Term } from './film-sites.ts';

/** Numbers that are solved for, each with what is believed of it before any film is read; independent of each other. */
export interface FilmState {
  readonly names: readonly string[];
  readonly mean: Float64Array;
  /** Variances. */
  readonly variance: Float64Array;
  readonly indexOf: ReadonlyMap<string, number>;
}

export function filmState(roots: readonly Root[]): FilmState {
  return {
    names: roots.map((root) => root.name),
    mean: Float64Array.from(roots, (root) => root.mean),
    variance: Float64Array.from(roots, (root) => root.sd ** 2),
    indexOf: new Map(roots.map((root, i) => [root.name, i])),
  };
}

export function indexIn(state: FilmState, name: string): number {
  const index = state.indexOf.get(name);
  if (index === undefined) throw new Error(`${name} is not solved for`);
  return index;
}

/** A site whose terms know their places in a state; -1 where a term has none. */
export interface PlacedSite {
  readonly at: readonly (readonly (readonly [number, number, number])[])[];
  /** Every place that the site depends on. */
  readonly inputs: readonly number[];
}

export function placedSite(state: FilmState, model: SiteModel): PlacedSite {
  const place = (name: string | undefined): number => (name === undefined ? -1 : indexIn(state, name));
  const at = model.at.map((terms) =>
    terms.map(([coefficient, root, times]: Term) => [coefficient, place(root), place(times)] as const),
  );
  const inputs = new Set(at.flatMap((terms) => terms.flatMap(([, root, times]) => [root, times])));
  inputs.delete(-1);
  return { at, inputs: [...inputs] };
}

/** A coordinate of a site at some values of the state. */
export function coordinate(site: PlacedSite, axis: 0 | 1 | 2, x: Float64Array): number {
  let sum = 0;
  for (const [coefficient, root, times] of site.at[axis]!) {
    sum += coefficient * (root < 0 ? 1 : x[root]!) * (times < 0 ? 1 : x[times]!);
  }
  return sum;
}

/** The same state with other first spreads of some of its numbers. */
export function withSpreads(
  state: FilmState,
  spreads: readonly { readonly name: string; readonly sd: number }[],
): FilmState {
  const variance = Float64Array.from(state.variance);
  for (const { name, sd } of spreads) variance[indexIn(state, name)] = sd ** 2;
  return { ...state, variance };
}
