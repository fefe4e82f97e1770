import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  agreement,
  agreementOfMeans,
  type FromReadings,
  intraclass,
  lagOneCorrelation,
  moments,
  repeatability,
  sampleSd,
} from './index.ts';

const rowsOf = (file: string): number[][] =>
  readFileSync(new URL(`../../../fixtures/published/${file}`, import.meta.url), 'utf8')
    .split('\n')
    .filter((line) => /^-?[\d.]/.test(line))
    .map((line) => line.split(',').map(Number));

function found<T>(result: FromReadings<T>): T {
  if (!result.ok) throw new Error(result.error.kind);
  return result.value;
}

const near = (seen: number, expected: number, tolerance: number): void => {
  expect(Math.abs(seen - expected), `${seen} for ${expected}`).toBeLessThanOrEqual(tolerance);
};

/** Source: Bland and Altman, Lancet 1986;i:307-310 (fixtures/published/bland-altman-1986): printed, and recomputed there. */
describe('Bland and Altman 1986, large minus mini meter', () => {
  const readings = rowsOf('bland-altman-1986/readings.csv');
  const column = (k: number): number[] => readings.map((row) => row[k]!);
  const twice = (k: number): [number, number][] => readings.map((row) => [row[k]!, row[k + 1]!]);
  const two = found(agreement(column(1), column(3), { deviations: 2 }));
  const usual = found(agreement(column(1), column(3)));

  it('has the mean difference, sd, limits and correlation', () => {
    expect(two.pairs).toBe(17);
    near(two.meanDifference, -2.1, 0.1);
    near(two.sd, 38.8, 0.1);
    near(two.limits.low, -79.7, 0.1);
    near(two.limits.high, 75.5, 0.1);
    near(two.correlation, 0.94, 0.005);
    near(two.meanDifference, -2.117647, 1e-6);
    near(two.sd, 38.76513, 1e-5);
    near(two.limits.low, -79.6479, 1e-4);
    near(two.limits.high, 75.4126, 1e-4);
    near(usual.limits.low, -78.0973, 1e-4);
    near(usual.limits.high, 73.862, 1e-4);
    near(two.correlation, 0.943279, 1e-6);
  });

  it('has their standard errors and 95 % intervals', () => {
    near(two.seOfMean, 9.4, 0.1);
    near(two.seOfLimit, 16.3, 0.1);
    near(two.seOfMean, 9.401925, 1e-5);
    near(two.seOfLimit, 16.284612, 1e-5);
    const printed = [-22, 17.8, -114.3, -45.1, 40.9, 110.1];
    const recomputed = [-22.0488, 17.8135, -114.1697, -45.1261, 40.8908, 109.9344];
    [two.intervalOfMean, two.intervalOfLow, two.intervalOfHigh]
      .flatMap(({ low, high }) => [low, high])
      .forEach((bound, k) => {
        near(bound, printed[k]!, 0.2);
        near(bound, recomputed[k]!, 1e-4);
      });
  });

  it('has the repeatability of each meter', () => {
    const large = found(repeatability(twice(1), 2));
    const mini = found(repeatability(twice(3), 2));
    near(large.coefficient, 43.2, 0.15);
    near(mini.coefficient, 56.4, 0.15);
    // The recomputed ones are 2 sqrt(mean d^2); here 2 sqrt(2) times the spread within subjects.
    near(large.coefficient, 43.2938, 1e-4);
    near(mini.coefficient, 56.3163, 1e-4);
    expect(large.degreesOfFreedom).toBe(17);
  });

  it('has the sd of single readings, corrected from that of means of two', () => {
    const means = found(agreementOfMeans(twice(1), twice(3)));
    near(means.sd, 37.7, 0.15);
    near(means.meanDifference, -6.029412, 1e-6);
    near(means.sdOfMeans, 33.204137, 1e-5);
    near(means.sd, 37.800803, 1e-5);
  });
});

/** Source: Shrout and Fleiss, Psychol Bull 1979;86:420-428 (fixtures/published/shrout-fleiss-1979): printed, recomputed. */
describe('Shrout and Fleiss 1979, six targets and four judges', () => {
  const seen = found(intraclass(rowsOf('shrout-fleiss-1979/ratings.csv').map((row) => row.slice(1))));

  it.each([
    { name: 'BMS', printed: 11.24, recomputed: 11.241667 },
    { name: 'WMS', printed: 6.26, recomputed: 6.263889 },
    { name: 'JMS', printed: 32.49, recomputed: 32.486111 },
    { name: 'EMS', printed: 1.02, recomputed: 1.019444 },
  ] as const)('has the mean square $name', ({ name, printed, recomputed }) => {
    near(seen.meanSquares[name], printed, 0.005);
    near(seen.meanSquares[name], recomputed, 1e-6);
  });

  it.each([
    { name: '(1,1)', of: seen.oneWay.single, printed: 0.17, recomputed: 0.165742 },
    { name: '(2,1)', of: seen.random.single, printed: 0.29, recomputed: 0.289764 },
    { name: '(3,1)', of: seen.fixed.single, printed: 0.71, recomputed: 0.714841 },
    { name: '(1,4)', of: seen.oneWay.mean, printed: 0.44, recomputed: 0.442797 },
    { name: '(2,4)', of: seen.random.mean, printed: 0.62, recomputed: 0.620051 },
    { name: '(3,4)', of: seen.fixed.mean, printed: 0.91, recomputed: 0.909316 },
  ])('has the correlation $name', ({ of, printed, recomputed }) => {
    near(of.value, printed, 0.005);
    near(of.value, recomputed, 1e-6);
  });

  it.each([
    { name: '(1,1)', of: seen.oneWay.single, printed: [-0.13, 0.72], recomputed: [-0.132933, 0.72256] },
    { name: '(2,1)', of: seen.random.single, printed: [0.02, 0.76], recomputed: [0.018787, 0.761084] },
    { name: '(3,1)', of: seen.fixed.single, printed: [0.34, 0.95], recomputed: [0.342465, 0.945858] },
  ])('has the 95 % interval of $name', ({ of, printed, recomputed }) => {
    [of.interval!.low, of.interval!.high].forEach((bound, k) => {
      near(bound, printed[k]!, 0.005);
      near(bound, recomputed[k]!, 1e-6);
    });
  });

  it('has intervals of the means of four that belong to those of one (Spearman and Brown)', () => {
    for (const { single, mean } of [seen.oneWay, seen.random, seen.fixed]) {
      for (const end of ['low', 'high'] as const) {
        const one = single.interval![end];
        near(mean.interval![end], (4 * one) / (1 + 3 * one), 1e-12);
      }
    }
  });
});

const alternating = (first: string, low: string, high: string): number[] =>
  [first, ...Array.from({ length: 500 }, () => [low, high]).flat()].map(Number);
const nist = (name: string): number[] => rowsOf(`nist-strd/nist-${name}.csv`).map((row) => row.at(-1)!);

/** Source: NIST Statistical Reference Datasets, univariate (fixtures/published/nist-strd); tolerances relative. */
describe.each([
  { set: 'Michelso', data: nist('michelso'), mean: 299.8524, sd: 0.0790105478190518, r1: 0.535199668621283, to: 1e-12 },
  { set: 'Lew', data: nist('lew'), mean: -177.435, sd: 277.332168044316, r1: -0.307304800605679, to: 1e-12 },
  { set: 'Mavro', data: nist('mavro'), mean: 2.001856, sd: 0.000429123454003053, r1: 0.937989183438248, to: 1e-10 },
  { set: 'NumAcc1', data: nist('numacc1'), mean: 10000002, sd: 1, r1: -0.5, to: 1e-15 },
  { set: 'NumAcc2', data: alternating('1.2', '1.1', '1.3'), mean: 1.2, sd: 0.1, r1: -0.999, to: 1e-14 },
  {
    set: 'NumAcc3',
    data: alternating('1000000.2', '1000000.1', '1000000.3'),
    mean: 1000000.2,
    sd: 0.1,
    r1: -0.999,
    to: 1e-8,
  },
  {
    set: 'NumAcc4',
    data: alternating('10000000.2', '10000000.1', '10000000.3'),
    mean: 10000000.2,
    sd: 0.1,
    r1: -0.999,
    to: 1e-7,
  },
])('NIST $set', ({ data, mean, sd, r1, to }) => {
  it('has its certified mean, standard deviation and lag-one correlation', () => {
    expect(data.length).toBeGreaterThan(2);
    near(moments(data).mean / mean, 1, 1e-15);
    near(sampleSd(data) / sd, 1, to);
    near(lagOneCorrelation(data) / r1, 1, to);
  });

  it('as differences of a pair, and as repeats, keeps its digits', () => {
    const zeros = data.map(() => 0);
    near(found(agreement(data, zeros)).sd / sd, 1, to);
    near(found(repeatability([data])).sem / sd, 1, to);
  });
});
