import { noneYet, quantile, withValue } from '@kerfline/uncertainty';
import { fromMemory, type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';

/** What is known of the instrument and of how well a hand repeats with it; in the unit of the readings. */
export interface Repeatability {
  /** Smallest step that the instrument shows. */
  readonly step: number;
  /** A spread above this says that the thing, or the way it is held, is not one thing. */
  readonly scatter: number;
  /** A reading less than this from the middle of the others is never called odd. */
  readonly far: number;
}

/** How repeated readings are judged. */
export const repeatDefaults = {
  asked: {
    name: 'Measuring a kit: readings asked for',
    value: 5,
    unit: 'count',
    usedFor: 'readings of one dimension; fewer are too few',
    source: workingDefault,
  },
  oddDeviations: {
    name: 'Measuring a kit: odd, deviations',
    value: 3.5,
    unit: 'sd',
    usedFor: 'a reading is odd beyond so many scaled median absolute deviations',
    source: fromMemory('Iglewicz and Hoaglin 1993'),
  },
  oddSteps: {
    name: 'Measuring a kit: odd, steps',
    value: 3,
    unit: 'count',
    usedFor: 'and beyond so many steps of the instrument',
    source: workingDefault,
  },
  slipShare: {
    name: 'Measuring a kit: near a slip',
    value: 0.05,
    unit: 'share',
    usedFor: 'how near a reading must come to a slip of what was expected',
    source: workingDefault,
  },
} as const satisfies Readonly<Record<string, ScalarDefault>>;
export const repeatsAsked = repeatDefaults.asked.value;
const oddDeviations = repeatDefaults.oddDeviations.value;
const oddSteps = repeatDefaults.oddSteps.value;
const slipShare = repeatDefaults.slipShare.value;
/** @numerical Makes the median absolute deviation of normal readings equal to their sd: 1 / 0.6745. */
const madScale = 1.4826;

export type Verdict = 'too few' | 'contradictory' | 'scattered' | 'fine';

/** A reading that would agree if it had been written otherwise. */
export interface Slip {
  readonly reading: number;
  readonly looks: 'ten times' | 'a tenth' | 'a comma lost' | 'inches' | 'mm for inches';
  /** What was probably meant. */
  readonly meant: number;
}

export interface Repeats {
  readonly count: number;
  /** Mean of the readings. */
  readonly value: number;
  /** Spread of one reading (n - 1), never less than that of the instrument's step, step / sqrt(12). */
  readonly sd: number;
  /** Spread of the mean: sd / sqrt(n), never less than that of the step, which repeats do not average away. */
  readonly sdOfMean: number;
  readonly verdict: Verdict;
  /** Readings far from the others, smallest first. */
  readonly odd: readonly number[];
  readonly slips: readonly Slip[];
}

/** @numerical The variance of an even spread of width 1 is 1 / 12. */
const evenSpread = 12;
/** One deviation of a value that is even inside one step (JCGM 100:2008, 4.3.7). */
export const stepSd = (step: number): number => step / Math.sqrt(evenSpread);

/** @numerical Of two readings none is the odd one. */
const leastForOdd = 3;

const median = (values: readonly number[]): number =>
  quantile(
    [...values].sort((a, b) => a - b),
    0.5,
  );

/** @numerical By how much a number is wrong that was written with another comma or in another unit. */
const slipFactors = [
  ['ten times', 10],
  ['a tenth', 0.1],
  ['a comma lost', 100],
  ['a comma lost', 1000],
  ['inches', 1 / 25.4],
  ['mm for inches', 25.4],
] as const;

function slipOf(reading: number, near: number, { step }: Repeatability, unit: 'mm' | 'deg'): Slip | undefined {
  if (Math.abs(near) < step) return undefined;
  const agrees = (value: number, room: number): boolean => Math.abs(value - near) <= room;
  // What already agrees is no slip, however it could be read otherwise.
  if (agrees(reading, Math.max(slipShare * Math.abs(near), oddSteps * step))) return undefined;
  for (const [looks, factor] of slipFactors) {
    if (unit === 'deg' && (looks === 'inches' || looks === 'mm for inches')) continue;
    const meant = reading / factor;
    if (agrees(meant, slipShare * Math.abs(near))) return { reading, looks, meant };
  }
  return undefined;
}

/**
 * What repeated readings of one dimension come to. Their order does not matter.
 *
 * `sd` is the spread of one reading and is what a kit stores: a kit's `sd` says how far one setting may be from its call, and
 * every reading is taken from anew. `sdOfMean` says how well the dimension itself is now known; it decides whether an offset
 * is there at all.
 *
 * @param readings mm or degrees, at least one
 * @param unit inches are looked for among lengths only
 * @param expected what is engraved or what the pattern has; without it slips are looked for against the other readings
 */
export function repeats(
  readings: readonly number[],
  repeatability: Repeatability,
  unit: 'mm' | 'deg',
  expected?: number,
): Repeats {
  if (readings.length === 0) throw new Error('no readings');
  // Sorted first, so that rounding cannot depend on the order either.
  const sorted = [...readings].sort((a, b) => a - b);
  const count = sorted.length;
  const running = sorted.reduce(withValue, noneYet);
  const floor = stepSd(repeatability.step);
  const own = count > 1 ? Math.sqrt(running.squaresAboutMean / (count - 1)) : 0;
  const sd = Math.max(own, floor);
  const middle = median(sorted);
  const deviation = madScale * median(sorted.map((r) => Math.abs(r - middle)));
  const room = Math.max(oddDeviations * deviation, oddSteps * repeatability.step, repeatability.far);
  // Sums of decimal numbers are a few parts in 1e16 off; a reading just at the limit is not beyond it.
  const odd = count < leastForOdd ? [] : sorted.filter((r) => Math.abs(r - middle) > room * (1 + 1e-9));
  const slips = sorted.flatMap((reading) => {
    const slip = slipOf(reading, expected ?? middle, repeatability, unit);
    return slip ? [slip] : [];
  });
  return {
    count,
    value: running.mean,
    sd,
    sdOfMean: Math.max(sd / Math.sqrt(count), floor),
    verdict:
      count < repeatsAsked
        ? 'too few'
        : odd.length > 0
          ? 'contradictory'
          : sd > repeatability.scatter
            ? 'scattered'
            : 'fine',
    odd,
    slips,
  };
}
