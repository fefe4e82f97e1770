import { type ClinicalDefault, workingDefault } from '../defaults/clinical-default.ts';
import type { Unit } from '../quantity.ts';
import type { Repeatability } from './repeats.ts';

/** What a kit is measured with. */
export interface Instrument extends Repeatability {
  readonly says: string;
  readonly unit: Unit;
  /** How it is held, for who asks. */
  readonly how: string;
}

export const instruments = {
  caliper: {
    says: 'caliper',
    unit: 'mm',
    step: 0.01,
    scatter: 0.15,
    far: 0.1,
    how: 'Close the caliper and zero it. Take the part out of its seat, or set the slide anew, between two readings.',
  },
  protractor: {
    says: 'protractor',
    unit: 'deg',
    step: 0.1,
    scatter: 0.4,
    far: 0.5,
    how: 'Zero the protractor on the face that counts as 0. Take the part off and seat it again between two readings.',
  },
  gauges: {
    says: 'feeler gauges',
    unit: 'mm',
    step: 0.05,
    scatter: 0.1,
    far: 0.15,
    how: 'The thickest gauge that goes in without force. Put it in at another place of the slit each time.',
  },
  testBlock: {
    says: 'caliper, on the slots of a test block',
    unit: 'mm',
    step: 0.01,
    scatter: 0.3,
    far: 0.4,
    how: 'Saw five slots into a test block through the slit, as in use. Each reading is the width of another slot.',
  },
} as const satisfies Readonly<Record<string, Instrument>>;

export type InstrumentName = keyof typeof instruments;

/** Steps, scatter limits and odd limits of every instrument. */
export const instrumentDefaults: readonly ClinicalDefault[] = Object.entries(instruments).flatMap(
  ([name, { unit, step, scatter, far }]) =>
    (
      [
        ['step', step, 'smallest step it shows'],
        ['scatter', scatter, 'a spread above this says that the thing, or the way it is held, is not one thing'],
        ['odd', far, 'a reading nearer than this to the middle of the others is never odd'],
      ] as const
    ).map(([what, value, usedFor]) => ({
      name: `Measuring a kit: ${name}, ${what}`,
      value,
      unit,
      usedFor,
      source: workingDefault,
    })),
);

/** Smallest steps of the person's own instruments, where they are not those assumed. */
export type InstrumentSteps = Partial<Readonly<Record<InstrumentName, number>>>;

/** An instrument as it is in this person's hand; the slots of a test block are read with the same caliper. */
export function instrumentInHand(name: InstrumentName, steps: InstrumentSteps): Instrument {
  const own = steps[name === 'testBlock' ? 'caliper' : name];
  return own === undefined ? instruments[name] : { ...instruments[name], step: own };
}
