import { randomStream } from '@kerfline/uncertainty';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Repeatability, repeats } from './repeats.ts';

const fine: Repeatability = { step: 1e-9, scatter: 1e9, far: 1e9 };
const caliper: Repeatability = { step: 0.01, scatter: 0.15, far: 0.1 };
const protractor: Repeatability = { step: 0.1, scatter: 0.4, far: 0.5 };

/** Source: NIST Statistical Reference Datasets, univariate, as they are defined: values from memory, certified exactly. */
const alternating = (first: number, low: number, high: number): readonly number[] => [
  first,
  ...Array.from({ length: 1000 }, (_, k) => (k % 2 === 0 ? low : high)),
];

describe('repeated readings', () => {
  it.each([
    { set: 'NumAcc1', data: [10000001, 10000003, 10000002], mean: 10000002, sd: 1, digits: 12 },
    { set: 'NumAcc2', data: alternating(1.2, 1.1, 1.3), mean: 1.2, sd: 0.1, digits: 12 },
    { set: 'NumAcc3', data: alternating(1000000.2, 1000000.1, 1000000.3), mean: 1000000.2, sd: 0.1, digits: 8 },
    { set: 'NumAcc4', data: alternating(10000000.2, 10000000.1, 10000000.3), mean: 10000000.2, sd: 0.1, digits: 7 },
  ])('of $set have their certified mean and standard deviation', ({ data, mean, sd, digits }) => {
    const seen = repeats(data, fine, 'mm');
    expect(Math.abs(seen.value / mean - 1)).toBeLessThan(1e-13);
    expect(Math.abs(seen.sd / sd - 1)).toBeLessThan(10 ** -digits);
  });

  it('that are all alike have the spread of one step, step / sqrt(12), and their mean no less', () => {
    // Source: JCGM 100:2008, 4.3.7: a rectangle of full width 0.1 has a standard deviation of 0.0289.
    const seen = repeats([6, 6, 6, 6, 6], protractor, 'deg');
    expect(seen.sd).toBeCloseTo(0.0289, 4);
    expect(seen.sdOfMean).toBeCloseTo(0.0289, 4);
    expect(seen.verdict).toBe('fine');
  });

  it('have a mean whose spread is sd / sqrt(5), worked by hand', () => {
    // By hand: 9.9 10.0 10.0 10.0 10.1: squares about the mean 0.02, over 4 is 0.005, root 0.070711; over sqrt 5 0.031623.
    const seen = repeats([9.9, 10, 10, 10, 10.1], caliper, 'mm');
    expect(seen.value).toBeCloseTo(10, 12);
    expect(seen.sd).toBeCloseTo(0.070711, 6);
    expect(seen.sdOfMean).toBeCloseTo(0.031623, 6);
  });

  it.each([
    { readings: [6, 6.01, 6, 6.01], verdict: 'too few', why: 'four are fewer than five' },
    { readings: [6], verdict: 'too few', why: 'one has no spread' },
    { readings: [6, 6.01, 6.02, 6.01, 6], verdict: 'fine', why: 'within two steps' },
    { readings: [5.8, 5.9, 6, 6.15, 6.3], verdict: 'scattered', why: 'sd 0.2 is above 0.15' },
    { readings: [6, 6.01, 6, 6.01, 6.5], verdict: 'contradictory', why: 'one is half a millimetre off' },
    { readings: [6, 6, 6, 6, 6.02], verdict: 'fine', why: 'two steps off four that are alike is no contradiction' },
  ] as const)('$readings are $verdict: $why', ({ readings, verdict }) => {
    expect(repeats(readings, caliper, 'mm').verdict).toBe(verdict);
  });

  it('name the one that is far from the others', () => {
    expect(repeats([6.01, 6.5, 6, 6.01, 6], caliper, 'mm').odd).toEqual([6.5]);
  });

  it.each([
    { reading: 60.2, near: 6, looks: 'ten times', meant: 6.02 },
    { reading: 0.601, near: 6, looks: 'a tenth', meant: 6.01 },
    { reading: 905, near: 9, looks: 'a comma lost', meant: 9.05 },
    { reading: 9050, near: 9, looks: 'a comma lost', meant: 9.05 },
    { reading: 0.3543, near: 9, looks: 'inches', meant: 9 },
  ] as const)(
    'say that $reading for $near looks like a slip: $looks, $meant meant',
    ({ reading, near, looks, meant }) => {
      const [slip] = repeats([reading], caliper, 'mm', near).slips;
      expect(slip).toMatchObject({ reading, looks });
      expect(slip!.meant).toBeCloseTo(meant, 2);
    },
  );

  it('find a slip among the others when nothing is expected, and none where all agree', () => {
    expect(repeats([9.05, 9.04, 905, 9.06, 9.05], caliper, 'mm').slips).toMatchObject([
      { reading: 905, looks: 'a comma lost' },
    ]);
    expect(repeats([9.05, 9.04, 9.05, 9.06, 9.05], caliper, 'mm', 9).slips).toEqual([]);
  });

  it('take angles for no inches, and no slip where 0 is expected', () => {
    expect(repeats([0.236], protractor, 'deg', 6).slips).toEqual([]);
    expect(repeats([0.1], protractor, 'deg', 0).slips).toEqual([]);
  });

  it('do not depend on their order', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -50, max: 50, noNaN: true }), { minLength: 1, maxLength: 9 }),
        fc.infiniteStream(fc.nat()),
        (readings, keys) => {
          const mixed = readings
            .map((r) => ({ r, key: keys.next().value as number }))
            .sort((a, b) => a.key - b.key)
            .map(({ r }) => r);
          expect(repeats(mixed, caliper, 'mm', 6)).toEqual(repeats(readings, caliper, 'mm', 6));
        },
      ),
    );
  });

  it('of a hand with a spread of 0.03 mm are called contradictory fewer than 1 time in 50', () => {
    const random = randomStream(7, 'false alarms');
    let alarms = 0;
    const trials = 5000;
    for (let t = 0; t < trials; t += 1) {
      const five = Array.from({ length: 5 }, () => Math.round((9 + 0.03 * random.normal()) * 100) / 100);
      if (repeats(five, caliper, 'mm').verdict !== 'fine') alarms += 1;
    }
    expect(alarms / trials).toBeLessThan(1 / 50);
    expect(alarms).toBeGreaterThan(0);
  });
});
