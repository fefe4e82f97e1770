import { describe, expect, it } from 'vitest';
import { belief, condition, meanOf, sdOf } from './index.ts';

/**
 * Source: hand calculation by information sums, spacing 48 and span 360: prior h 8.0 +/- 1.0, v 0 +/- 1.5; readings 7.0 and
 * 9.0 (each +/- 0.6) of h +/- 0.41888 v, and -9.0 +/- 4.0 of 6.28319 v. Sum of information on v 0.4444 + 0.9748 + 2.4674.
 */
describe('conditioning the hand example', () => {
  const prior = belief([
    { name: 'h', value: 8, sd: 1 },
    { name: 'v', value: 0, sd: 1.5 },
  ]);
  const read = (first: number, second: number, rod?: number) =>
    condition(prior, {
      inputs: ['h', 'v'],
      model: ([h, v]) => [h! + 0.41888 * v!, h! - 0.41888 * v!, ...(rod === undefined ? [] : [6.28319 * v!])],
      value: [first, second, ...(rod === undefined ? [] : [rod])],
      covariance: rod === undefined ? [0.36, 0, 0, 0.36] : [0.36, 0, 0, 0, 0.36, 0, 0, 0, 16],
    });

  it('gives v -1.508 +/- 0.507, h 8.000 +/- 0.391 and NIS 1.78 on three readings', () => {
    const after = read(7, 9, -9);
    expect(meanOf(after.belief, 'v')).toBeCloseTo(-1.508, 3);
    expect(sdOf(after.belief, 'v')).toBeCloseTo(0.507, 3);
    expect(meanOf(after.belief, 'h')).toBeCloseTo(8.0, 3);
    expect(sdOf(after.belief, 'h')).toBeCloseTo(0.391, 3);
    expect(after.nis).toBeCloseTo(1.78, 2);
    expect(after.degreesOfFreedom).toBe(3);
  });

  it('gives v -1.640 +/- 0.839 from the two pieces alone', () => {
    const after = read(7, 9);
    expect(meanOf(after.belief, 'v')).toBeCloseTo(-1.64, 3);
    expect(sdOf(after.belief, 'v')).toBeCloseTo(0.839, 3);
  });

  it('gives NIS 16.35 for a rod that contradicts, and 2.24 with the two pieces swapped', () => {
    expect(meanOf(read(7, 9, 15).belief, 'v')).toBeCloseTo(0.917, 3);
    expect(read(7, 9, 15).nis).toBeCloseTo(16.35, 2);
    expect(meanOf(read(9, 7, 15).belief, 'v')).toBeCloseTo(2.114, 3);
    expect(read(9, 7, 15).nis).toBeCloseTo(2.24, 2);
  });

  it('widens h from 0.391 to 0.425 and leaves v alone when a shared bias of sd 0.2 is a state', () => {
    const shared = condition(
      belief([
        { name: 'h', value: 8, sd: 1 },
        { name: 'v', value: 0, sd: 1.5 },
        { name: 'bias', value: 0, sd: 0.2 },
      ]),
      {
        inputs: ['h', 'v', 'bias'],
        model: ([h, v, bias]) => [h! + 0.41888 * v! - bias!, h! - 0.41888 * v! - bias!, 6.28319 * v!],
        value: [7, 9, -9],
        covariance: [0.36, 0, 0, 0, 0.36, 0, 0, 0, 16],
      },
    );
    expect(sdOf(shared.belief, 'h')).toBeCloseTo(0.425, 3);
    expect(meanOf(shared.belief, 'v')).toBeCloseTo(-1.508, 3);
  });
});
