import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { drawnQuantities } from './drawn-quantities.ts';
import type { Pixel } from './film.ts';
import { type QuantityReadings, quantityRepeats, readerComparison } from './quantity-repeats.ts';

const rowsOf = (file: string): number[][] =>
  readFileSync(new URL(`../../../../../fixtures/published/${file}`, import.meta.url), 'utf8')
    .split('\n')
    .filter((line) => /^\d/.test(line))
    .map((line) => line.split(',').map(Number));

const readings = (rows: readonly (readonly number[])[]): QuantityReadings => ({ name: 'LDFA', unit: 'deg', rows });

describe('a quantity read repeatedly', () => {
  /** Source: Bland and Altman, Lancet 1986;i:307-310: large meter, root mean square difference 21.646899 (recomputed). */
  it('has the spread within subjects of a published table', () => {
    const rows = rowsOf('bland-altman-1986/readings.csv').map((row) => [row[1]!, row[2]!]);
    const seen = quantityRepeats(readings(rows));
    if (!seen.ok) throw new Error(seen.error.message);
    expect(seen.value.repeatability.sem).toBeCloseTo(21.646899 / Math.SQRT2, 5);
    expect(seen.value.repeatability.coefficient).toBeCloseTo(1.96 * 21.646899, 4);
    expect(seen.value.agreement!.pairs).toBe(17);
    expect(seen.value.findings).toEqual([]);
  });

  it('on one film has a standard error and no limits', () => {
    const seen = quantityRepeats(readings([[88, 89]]));
    if (!seen.ok) throw new Error(seen.error.message);
    // By hand: 1 / sqrt(2).
    expect(seen.value.repeatability.sem).toBeCloseTo(Math.SQRT1_2, 12);
    expect(seen.value.agreement).toBeUndefined();
  });

  it('says when the second marking is higher throughout', () => {
    const seen = quantityRepeats(readings([1, 2, 3, 4, 5].map((v) => [v, v + 1 + v / 100])));
    expect(seen.ok && seen.value.findings.map((f) => f.code)).toEqual(['repeats-drift']);
  });

  it('read once is refused with its name', () => {
    const seen = quantityRepeats(readings([[88]]));
    expect(seen).toMatchObject({
      ok: false,
      error: { kind: 'too-few', message: expect.stringMatching(/^LDFA: .* 1 /) },
    });
  });
});

describe('two people on the same films', () => {
  /** Source: Bland and Altman 1986, first readings of the two meters, as of two people. */
  const rows = rowsOf('bland-altman-1986/readings.csv').map((row) => [row[1]!, row[3]!]);

  it('have limits, and a correlation that counts their shift', () => {
    const seen = readerComparison(readings(rows));
    if (!seen.ok) throw new Error(seen.error.message);
    expect(seen.value.agreement.meanDifference).toBeCloseTo(-2.117647, 6);
    expect(seen.value.findings).toEqual([]);
    const off = readerComparison(readings(rows.map(([a, b]) => [a! + 100, b!])));
    if (!off.ok) throw new Error(off.error.message);
    expect(off.value.icc.value).toBeLessThan(seen.value.icc.value);
    expect(off.value.sem).toBeGreaterThan(seen.value.sem);
    expect(off.value.findings.map((f) => f.code)).toEqual(['readers-differ']);
  });

  it('of whom one is exchanged for the other differ by the opposite', () => {
    const [there, back] = [
      readerComparison(readings(rows)),
      readerComparison(readings(rows.map(([a, b]) => [b!, a!]))),
    ];
    if (!(there.ok && back.ok)) throw new Error('refused');
    expect(back.value.agreement.meanDifference).toBe(-there.value.agreement.meanDifference);
    expect(back.value.icc.value).toBeCloseTo(there.value.icc.value, 12);
  });

  it('of whom one did not read a film are refused', () => {
    expect(readerComparison(readings([[1, 2], [3], [4, 5]]))).toMatchObject({ ok: false });
  });
});

describe('quantities drawn on a film', () => {
  /** A limb laid out by hand, medial to the right (`s` = 1) or left, from stated angles. */
  const limb = (s: 1 | -1, ldfa: number, mpta: number, varus: number): Readonly<Record<string, Pixel>> => {
    const rad = Math.PI / 180;
    const at = (from: Pixel, size: number, fromDown: number): Pixel => [
      from[0] + s * size * Math.sin(fromDown * rad),
      from[1] + size * Math.cos(fromDown * rad),
    ];
    const knee: Pixel = [500, 500];
    // Straight up to the hip; down to the ankle, swung toward medial by the varus.
    const ankle = at(knee, 360, varus);
    return {
      hipCentre: at(knee, 420, 180),
      femoralKneeCentre: knee,
      tibialKneeCentre: knee,
      malleolusMedial: at(ankle, 30, varus + 90),
      malleolusLateral: at(ankle, 30, varus - 90),
      // From medial to lateral the line turns LDFA from the hip's direction, which is 180 from down; lateral is -90.
      distalMedial: at(knee, 25, ldfa),
      distalLateral: at(knee, 25, ldfa - 180),
      // From lateral to medial it turns MPTA from the ankle's direction.
      plateauMedial: at(knee, 25, varus + mpta),
      plateauLateral: at(knee, 25, varus + mpta - 180),
    };
  };

  it.each([
    { s: 1, ldfa: 88, mpta: 87, varus: 3 },
    { s: -1, ldfa: 88, mpta: 87, varus: 3 },
    { s: 1, ldfa: 84, mpta: 91, varus: -9 },
    { s: -1, ldfa: 92, mpta: 83, varus: 12 },
  ] as const)(
    'are the angles that they were laid out with: $ldfa, $mpta, $varus varus, medial at $s',
    ({ s, ldfa, mpta, varus }) => {
      const marks = Object.entries(limb(s, ldfa, mpta, varus)).map(([name, pixel]) => ({ name, pixel }));
      const found = Object.fromEntries(
        drawnQuantities(marks, { rowMm: 1, columnMm: 1 }).map(({ name, value, unit }) => [
          name,
          unit === 'deg' ? (value * 180) / Math.PI : value,
        ]),
      );
      expect(found.LDFA).toBeCloseTo(ldfa, 9);
      expect(found.MPTA).toBeCloseTo(mpta, 9);
      expect(found.HKA).toBeCloseTo(180 - varus, 9);
      // Limb varus = (90 - MPTA) + (LDFA - 90) + JLCA, open laterally (trade 2.1).
      expect(found.JLCA).toBeCloseTo(varus - (ldfa - mpta), 9);
      expect(found.femurLength).toBeCloseTo(420, 9);
      expect(found.tibiaLength).toBeCloseTo(360, 9);
      expect(found.slope).toBeUndefined();
    },
  );

  it('slope is posterior when the rear rim is lower', () => {
    const at = {
      tibialCanalHigh: [0, 0],
      tibialCanalLow: [0, 100],
      medialRimFront: [20, 10],
      medialRimRear: [-20, 14],
    };
    const marks = Object.entries(at).map(([name, pixel]) => ({ name, pixel: pixel as unknown as Pixel }));
    const slope = drawnQuantities(marks, { rowMm: 1, columnMm: 1 }).find(({ name }) => name === 'slope')!;
    expect(slope.value).toBeCloseTo(Math.atan(0.1), 12);
  });
});
