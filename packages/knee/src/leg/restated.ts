import { err, ok, type Result } from '@kerfline/geometry';
import { type Belief, covarianceFault, has, slotOf } from '@kerfline/uncertainty';
import { type Refusal, refusal } from '../refusal.ts';
import type { Leg } from './leg.ts';

/** Names must be single numbers of the leg's belief. */
function unknownNames(belief: Belief, names: readonly string[]): Refusal | undefined {
  const wrong = names.find((name) => !has(belief, name) || slotOf(belief, name).size !== 1);
  if (wrong === undefined) return undefined;
  const single = belief.slots.filter((slot) => slot.size === 1).map((slot) => slot.name);
  return refusal('unknown-name', `${wrong} is not a single number of this leg; these are: ${single.join(', ')}.`);
}

/**
 * The leg with a stated mean and covariance of some of its numbers in place of its own; they are then independent of the rest.
 *
 * @param mean mm and radians, one for each name
 * @param covariance row by row
 */
export function withBelief(
  leg: Leg,
  names: readonly string[],
  mean: readonly number[],
  covariance: readonly number[],
): Result<Leg, Refusal> {
  const wrong = unknownNames(leg.belief, names);
  if (wrong) return err(wrong);
  if (mean.length !== names.length || covariance.length !== names.length ** 2) {
    return err(
      refusal(
        'belief-shape',
        `${names.length} names need ${names.length} means and ${names.length ** 2} covariances; ${mean.length} and ${covariance.length} were given.`,
      ),
    );
  }
  const fault = mean.every(Number.isFinite) ? covarianceFault(covariance, names.length) : 'a mean that is not finite';
  if (fault) {
    return err(
      refusal(
        'no-covariance',
        `A covariance of ${names.join(', ')} has two equal sides and no more correlation than 1; this has ${fault}.`,
      ),
    );
  }
  const n = leg.belief.mean.length;
  const at = names.map((name) => slotOf(leg.belief, name).at);
  const newMean = [...leg.belief.mean];
  const newCovariance = [...leg.belief.covariance];
  at.forEach((a, r) => {
    newMean[a] = mean[r]!;
    for (let c = 0; c < n; c += 1) {
      newCovariance[a * n + c] = 0;
      newCovariance[c * n + a] = 0;
    }
  });
  at.forEach((a, r) => {
    at.forEach((b, c) => {
      newCovariance[a * n + b] = covariance[r * names.length + c]!;
    });
  });
  return ok({
    ...leg,
    belief: { ...leg.belief, mean: newMean, covariance: newCovariance },
    sources: {
      ...leg.sources,
      ...Object.fromEntries(
        names.map((name) => [name, { from: 'stated', method: 'stated with its covariance' } as const]),
      ),
    },
  });
}

/** The leg with the spread of one of its numbers stated (mm or radians); 0 is known exactly. */
export function withSpread(leg: Leg, name: string, sd: number): Result<Leg, Refusal> {
  const wrong = unknownNames(leg.belief, [name]);
  if (wrong) return err(wrong);
  return withBelief(leg, [name], [leg.belief.mean[slotOf(leg.belief, name).at]!], [sd * sd]);
}
