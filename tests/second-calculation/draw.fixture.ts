import { type Random, randomStream } from '@kerfline/uncertainty';

/** Random choices of one kit or leg. */
export interface Draw {
  chance(share: number): boolean;
  /** Even between two ends. */
  within(low: number, high: number): number;
  /** A whole number, both ends included. */
  whole(low: number, high: number): number;
  pick<T>(from: readonly T[]): T;
  /** Each with a chance of its own, in the order given. */
  some<T>(from: readonly T[], share: number): readonly T[];
  shuffled<T>(from: readonly T[]): readonly T[];
  normal(sd: number): number;
}

/** Choices that are the same again for the same seed and name. */
export function drawFrom(seed: number, name: string): Draw {
  const random: Random = randomStream(seed, name);
  const within = (low: number, high: number): number => low + (high - low) * random.uniform();
  const whole = (low: number, high: number): number => Math.floor(within(low, high + 1));
  return {
    chance: (share) => random.uniform() < share,
    within,
    whole,
    pick: (from) => from[whole(0, from.length - 1)]!,
    some: (from, share) => from.filter(() => random.uniform() < share),
    shuffled: (from) =>
      from
        .map((item) => ({ item, at: random.uniform() }))
        .sort((a, b) => a.at - b.at)
        .map(({ item }) => item),
    normal: (sd) => sd * random.normal(),
  };
}
