import type { Finding } from '@kerfline/geometry';
import { type Belief, slotOf } from '@kerfline/uncertainty';
import type { Side } from '../side.ts';

/** How a part of the leg came to be known. */
export interface Source {
  readonly from: 'bones' | 'films' | 'typed' | 'population' | 'stated' | 'read';
  /** In words, for the page that opens a number's working. */
  readonly method: string;
}

/**
 * What is believed of one leg: sites, axes and examination with their joint covariance. The narrow waist between measuring
 * and planning: whoever fills it (bones, typed values, films) and whoever reads it know nothing of each other.
 *
 * Names and frames of what `belief` holds are in `sites.ts`; lengths in mm, angles in radians.
 */
export interface Leg {
  readonly side: Side;
  readonly belief: Belief;
  /** For each name in `belief`: where it comes from. */
  readonly sources: Readonly<Record<string, Source>>;
  /** Names and quantities that cannot be had, each with the reason. */
  readonly unknown: Readonly<Record<string, string>>;
  /** Whether contact sites lie on bare bone (a scan) or on the surface with its whole cartilage (typed values). */
  readonly contactsOn: 'bone' | 'intactSurface';
  readonly findings: readonly Finding[];
}

/** One number of a leg's belief: a single quantity, or one component (L, A, P) of a site; `gain` is what a shared error of 1 does to it. */
export type Component = { readonly name: string; readonly axis?: 0 | 1 | 2; readonly gain?: number };

/** The same leg with some components less certain by one shared error of `sd` (mm): they move together, each by its gain. */
export function widened(leg: Leg, together: readonly Component[], sd: number): Leg {
  const n = leg.belief.mean.length;
  const covariance = [...leg.belief.covariance];
  const moves = together.map(({ name, axis, gain }) => ({
    at: slotOf(leg.belief, name).at + (axis ?? 0),
    by: sd * (gain ?? 1),
  }));
  for (const r of moves) for (const c of moves) covariance[r.at * n + c.at]! += r.by * c.by;
  return { ...leg, belief: { ...leg.belief, covariance } };
}
