import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { noneYet, normalCdf, quantile, randomStream, shareBeyond, summary, withValue } from './index.ts';

const column = (file: string): number[] =>
  readFileSync(new URL(`../../../fixtures/published/nist-strd/${file}`, import.meta.url), 'utf8')
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'))
    .map((line) => Number(line.split(',').at(-1)))
    .filter((v) => !Number.isNaN(v));

const alternating = (low: number, high: number, first: number, pairs: number): number[] => [
  first,
  ...Array.from({ length: pairs }, () => [low, high]).flat(),
];

/** Source: NIST Statistical Reference Datasets, univariate; certified mean and standard deviation. */
describe.each([
  { set: 'Michelso', data: column('nist-michelso.csv'), mean: 299.8524, sd: 0.0790105478190518, digits: 12 },
  { set: 'Lew', data: column('nist-lew.csv'), mean: -177.435, sd: 277.332168044316, digits: 10 },
  { set: 'Mavro', data: column('nist-mavro.csv'), mean: 2.001856, sd: 0.000429123454003053, digits: 12 },
  { set: 'NumAcc1', data: column('nist-numacc1.csv'), mean: 10000002, sd: 1, digits: 10 },
  { set: 'NumAcc3', data: alternating(1000000.1, 1000000.3, 1000000.2, 500), mean: 1000000.2, sd: 0.1, digits: 8 },
  { set: 'NumAcc4', data: alternating(10000000.1, 10000000.3, 10000000.2, 500), mean: 10000000.2, sd: 0.1, digits: 7 },
])('NIST $set', ({ data, mean, sd, digits }) => {
  it('has its certified mean and standard deviation', () => {
    const seen = summary(data);
    expect(seen.count).toBeGreaterThan(2);
    expect(Math.abs(seen.mean / mean - 1)).toBeLessThan(1e-13);
    expect(Math.abs(seen.sd / sd - 1)).toBeLessThan(10 ** -digits);
  });
});

describe('the normal distribution', () => {
  /** Source: P beyond +/-3 for a bias and an sd, normal model, 1e-4 (fixtures/published/derived-worked-examples). */
  it.each([
    { mean: 0, sd: 1, share: 0.0027 },
    { mean: 0, sd: 1.5, share: 0.0455 },
    { mean: 0, sd: 2, share: 0.133614 },
    { mean: 0, sd: 2.5, share: 0.230139 },
    { mean: 0, sd: 3, share: 0.317311 },
    { mean: 1, sd: 2, share: 0.181405 },
    { mean: 2, sd: 2, share: 0.3147 },
  ])('with mean $mean and sd $sd has $share beyond 3', ({ mean, sd, share }) => {
    expect(shareBeyond(mean, sd, 0, 3)).toBeCloseTo(share, 4);
  });

  it('has the tabled shares below -1.959964, 0 and 2.575829', () => {
    expect(normalCdf(-1.959963984540054)).toBeCloseTo(0.025, 12);
    expect(normalCdf(0)).toBe(0.5);
    expect(normalCdf(2.5758293035489004)).toBeCloseTo(0.995, 12);
  });

  it('with sd 0 is all on one side', () => {
    expect(shareBeyond(3.1, 0, 0, 3)).toBe(1);
    expect(shareBeyond(2.9, 0, 0, 3)).toBe(0);
  });
});

describe('seeded streams', () => {
  /** Source: JCGM 101:2008, 9.2.3: the sum of four rectangular quantities of sd 1 has a 95 % interval of +/- 3.88. */
  it('reproduce the sum of four rectangular quantities: 95 % within 3.88', () => {
    const random = randomStream(101, 'four rectangles');
    const half = Math.sqrt(3);
    const sums = Array.from({ length: 200_000 }, () => {
      let sum = 0;
      for (let k = 0; k < 4; k += 1) sum += half * (2 * random.uniform() - 1);
      return sum;
    }).sort((a, b) => a - b);
    expect(Math.abs(quantile(sums, 0.975) - 3.88)).toBeLessThan(0.04);
    expect(Math.abs(quantile(sums, 0.025) + 3.88)).toBeLessThan(0.04);
  });

  it('give the same numbers for the same seed and name, and others for another name', () => {
    const take = (...names: string[]): number[] => {
      const random = randomStream(5, ...names);
      return Array.from({ length: 5 }, () => random.normal());
    };
    expect(take('a')).toEqual(take('a'));
    expect(take('a')).not.toEqual(take('b'));
    expect(take('a', 'b')).not.toEqual(take('ab'));
  });

  it('are normal: mean 0, sd 1, and 4.55 % beyond two deviations', () => {
    const random = randomStream(11, 'normal');
    let running = noneYet;
    let beyond = 0;
    for (let i = 0; i < 200_000; i += 1) {
      const z = random.normal();
      running = withValue(running, z);
      if (Math.abs(z) > 2) beyond += 1;
    }
    expect(Math.abs(running.mean)).toBeLessThan(0.01);
    expect(Math.abs(Math.sqrt(running.squaresAboutMean / running.count) - 1)).toBeLessThan(0.01);
    expect(Math.abs(beyond / running.count - 0.0455)).toBeLessThan(0.003);
  });
});
