import type { Belief } from './belief.ts';
import type { Random } from './random.ts';
import { sampler } from './sample.ts';

/** What a bent output does under a belief, about the value it has at the mean. */
export interface BentSpread {
  /** Root mean square distance from the value at the mean, so that intervals about that value hold. */
  readonly sd: number;
  /** Mean less the value at the mean. */
  readonly shift: number;
}

/**
 * Spreads of outputs that are bent versions of straight ones: each is a slot of the belief, put through something like a
 * maximum that no straight line through the mean can follow. The straight part is exact; only what the bend adds is drawn,
 * so that an output whose bend is far away keeps its closed form to all digits.
 *
 * @param bent the bent outputs of one draw of the belief, in any number; `undefined` when nothing bends for that draw
 * @param straight for each bent output, the component of the belief that it follows away from the bend
 */
export function spreadThrough(
  b: Belief,
  straight: readonly number[],
  bent: (x: readonly number[]) => readonly number[] | undefined,
  draws: number,
  random: Random,
): readonly BentSpread[] {
  const n = b.mean.length;
  const straightOf = (x: readonly number[]): readonly number[] => straight.map((component) => x[component]!);
  const bentAtMean = bent(b.mean);
  const atMean = bentAtMean ?? straightOf(b.mean);
  const draw = sampler(b);
  const squares = straight.map(() => 0);
  const shifts = straight.map(() => 0);
  for (let k = 0; k < draws; k += 1) {
    const x = draw(random);
    const bentHere = bent(x);
    // A straight draw about a straight mean adds nothing.
    if (!bentHere && !bentAtMean) continue;
    const y = bentHere ?? straightOf(x);
    for (let o = 0; o < straight.length; o += 1) {
      const off = y[o]! - atMean[o]!;
      const line = x[straight[o]!]! - b.mean[straight[o]!]!;
      squares[o]! += off * off - line * line;
      shifts[o]! += off - line;
    }
  }
  return straight.map((component, o) => ({
    sd: Math.sqrt(Math.max(0, b.covariance[component * n + component]! + squares[o]! / draws)),
    shift: shifts[o]! / draws,
  }));
}
