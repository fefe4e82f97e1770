import { describe, expect, it } from 'vitest';
import { shaftAxis } from './femur-axis.ts';
import { kneeFromSeed, typicalKnee } from './knee-from-seed.ts';

const knees = Array.from({ length: 400 }, (_, seed) => kneeFromSeed(seed));

/** Every number of a knee, by its path. */
function numbers(value: object, path = ''): readonly (readonly [string, number])[] {
  return Object.entries(value).flatMap(([name, part]) => {
    if (typeof part === 'number') return [[`${path}${name}`, part] as const];
    return typeof part === 'object' ? numbers(part, `${path}${name}.`) : [];
  });
}

describe('a knee from a seed', () => {
  it('[PH1] is the same again, and another for another seed', () => {
    expect(kneeFromSeed(7)).toEqual(kneeFromSeed(7));
    expect(kneeFromSeed(7)).not.toEqual(kneeFromSeed(8));
  });

  it('[PH2] has only finite numbers, and both sides occur', () => {
    for (const knee of knees) for (const [path, value] of numbers(knee)) expect(value, path).toSatisfy(Number.isFinite);
    const left = knees.filter((k) => k.side === 'left').length;
    expect(left).toBeGreaterThan(150);
    expect(left).toBeLessThan(250);
  });

  /** Means and spreads as printed in the project's table of published values. */
  it.each([
    { of: 'femur.headRadiusMm', mean: 46.1 / 2, sd: 4.8 / 2, row: 'C13' },
    { of: 'femur.neckShaftDeg', mean: 125.7, sd: 5.6, row: 'C14' },
    { of: 'femur.anteversionDeg', mean: 11.7, sd: 8.2, row: 'B4' },
    { of: 'femur.ldfaDeg', mean: 88.9, sd: 2.6, row: 'A27' },
    { of: 'femur.condylarTwistDeg', mean: 2.91, sd: 1.4, row: 'B3' },
    { of: 'tibia.mptaDeg', mean: 90 - 3.18, sd: 1.61, row: 'A25' },
    { of: 'tibia.lengthMm', mean: 369, sd: 28, row: 'C2' },
    { of: 'tibia.torsionDeg', mean: 34.9, sd: 15.9 / 2, row: 'C3' },
    { of: 'tibia.widthMm', mean: 73.95, sd: 5.5, row: 'C10' },
  ])('[PH2] $of stays within two sd of row $row and is spread about its mean', ({ of, mean, sd }) => {
    const values = knees.map((k) => numbers(k).find(([path]) => path === of)![1]);
    for (const value of values) expect(Math.abs(value - mean)).toBeLessThanOrEqual(2 * sd + 0.03);
    const average = values.reduce((sum, v) => sum + v, 0) / values.length;
    expect(Math.abs(average - mean)).toBeLessThan(0.2 * sd);
    // A normal spread cut off at two sd has 0.88 of its sd.
    const spread = Math.sqrt(values.reduce((sum, v) => sum + (v - average) ** 2, 0) / values.length);
    expect(spread / sd).toBeGreaterThan(0.7);
    expect(spread / sd).toBeLessThan(1);
  });

  it('[PH2] a long femur goes with a wide knee and a wide tibia', () => {
    const correlation = (x: readonly number[], y: readonly number[]): number => {
      const mean = (v: readonly number[]): number => v.reduce((s, a) => s + a, 0) / v.length;
      const [mx, my] = [mean(x), mean(y)];
      const sum = (f: (i: number) => number): number => x.reduce((s, _, i) => s + f(i), 0);
      return (
        sum((i) => (x[i]! - mx) * (y[i]! - my)) /
        Math.sqrt(sum((i) => (x[i]! - mx) ** 2) * sum((i) => (y[i]! - my) ** 2))
      );
    };
    const width = knees.map((k) => k.femur.widthMm);
    expect(
      correlation(
        width,
        knees.map((k) => k.femur.lengthMm),
      ),
    ).toBeGreaterThan(0.5);
    expect(
      correlation(
        width,
        knees.map((k) => k.tibia.widthMm),
      ),
    ).toBeGreaterThan(0.6);
  });

  it('[PH2] lets the canal leave the femur near the middle of the knee', () => {
    for (const knee of knees) expect(Math.abs(shaftAxis(knee.femur).at(0)[0])).toBeLessThanOrEqual(7);
  });
});

describe('the typical knee', () => {
  it('[PH2] is an unworn right knee at the means', () => {
    expect(typicalKnee.side).toBe('right');
    expect(Object.values(typicalKnee.boneLoss)).toEqual([0, 0, 0, 0, 0, 0]);
    expect(typicalKnee.femur.lengthMm).toBe(421);
    expect(typicalKnee.tibia.lengthMm).toBe(369);
  });

  it('[PH12] carries its neck at the wanted angle and offset', () => {
    const { femur } = typicalKnee;
    const { at, neck, neckBase } = shaftAxis(femur);
    const [low, high] = [at(neckBase[2] - 1), at(neckBase[2])];
    const shaft = [high[0] - low[0], high[1] - low[1], 1] as const;
    const cos = (shaft[0] * neck[0] + shaft[1] * neck[1] + shaft[2] * neck[2]) / Math.hypot(...shaft);
    expect(180 - (Math.acos(cos) * 180) / Math.PI).toBeCloseTo(femur.neckShaftDeg, 1);
    expect(high[0]).toBeCloseTo(neckBase[0], 3);
    expect(high[1]).toBeCloseTo(neckBase[1], 3);
  });
});
