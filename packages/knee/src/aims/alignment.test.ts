import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { arithmeticDeviation, jointLineObliquity, nineTypes, standingDeviation } from './alignment.ts';

interface Examples {
  readonly cpak: {
    readonly cases: readonly { LDFA: number; MPTA: number; aHKA: number; JLO: number; type: string }[];
  };
}
const examples = JSON.parse(
  readFileSync(new URL('../../../../fixtures/published/derived-worked-examples/values.json', import.meta.url), 'utf8'),
) as Examples;

describe('arithmetic of alignment', () => {
  /** Source: conventions of the trade notes, 0.2. */
  it('LDFA 88, MPTA 87, JLCA 3 deg: arithmetic 1 varus, standing 4 varus', () => {
    expect(arithmeticDeviation(87, 88)).toBe(-1);
    expect(standingDeviation(87, 88, 3)).toBe(-4);
  });

  /** Source: published values A1 and A2, exact by definition. */
  it('the deviation is the difference and the obliquity the sum, to 1e-9 deg', () => {
    fc.assert(
      fc.property(angle, angle, (mpta, ldfa) => {
        expect(Math.abs(arithmeticDeviation(mpta, ldfa) + ldfa - mpta)).toBeLessThan(1e-9);
        expect(Math.abs(jointLineObliquity(mpta, ldfa) - ldfa - mpta)).toBeLessThan(1e-9);
      }),
    );
  });

  /**
   * Source: published values A3, planar geometry. The leg is four points and two lines in a plane; every angle is measured
   * on the drawing as the angle of two arrows.
   */
  it('on a drawn leg the standing deviation is MPTA - LDFA - JLCA to 1e-9 deg', () => {
    const tilt = fc.double({ min: -0.2, max: 0.2, noNaN: true });
    fc.assert(
      fc.property(tilt, tilt, tilt, tilt, (femurTilt, femurLine, tibiaTilt, tibiaLine) => {
        const hip = [430 * Math.sin(femurTilt), 430 * Math.cos(femurTilt)] as const;
        const ankle = [-370 * Math.sin(tibiaTilt), -370 * Math.cos(tibiaTilt)] as const;
        const lateralOnFemur = [Math.cos(femurLine), Math.sin(femurLine)] as const;
        const medialOnTibia = [-Math.cos(tibiaLine), -Math.sin(tibiaLine)] as const;
        const ldfa = between(hip, lateralOnFemur);
        const mpta = between(ankle, medialOnTibia);
        const opening = bearing(lateralOnFemur) - bearing([-medialOnTibia[0], -medialOnTibia[1]]);
        // Seen from the front of a right leg: the shin that leans with its foot to medial is varus, negative here.
        const deviation = bearing([-ankle[0], -ankle[1]]) - bearing(hip);
        expect(Math.abs(standingDeviation(mpta, ldfa, opening) - deviation)).toBeLessThan(1e-9);
      }),
    );
  });
});

/** Angle of two arrows in a plane, degrees. */
const between = (a: readonly [number, number], b: readonly [number, number]): number =>
  (Math.acos((a[0] * b[0] + a[1] * b[1]) / (Math.hypot(...a) * Math.hypot(...b))) * 180) / Math.PI;
/** Bearing of an arrow from lateral toward proximal, degrees. */
const bearing = ([l, p]: readonly [number, number]): number => (Math.atan2(p, l) * 180) / Math.PI;
const angle = fc.double({ min: 70, max: 110, noNaN: true });

/** Source: boundaries of MacDessi 2021 (from memory), cases of fixtures/published/derived-worked-examples, key `cpak`. */
describe('the nine types', () => {
  it.each(examples.cpak.cases)('LDFA $LDFA, MPTA $MPTA deg is type $type', ({ LDFA, MPTA, aHKA, JLO, type }) => {
    expect(arithmeticDeviation(MPTA, LDFA)).toBeCloseTo(aHKA, 9);
    expect(jointLineObliquity(MPTA, LDFA)).toBeCloseTo(JLO, 9);
    expect(nineTypes(MPTA, LDFA).type).toBe(type);
  });

  /** By hand: -2, 2, 177 and 183 are the boundaries. */
  it.each([
    { ldfa: 89.5, mpta: 87.5, onEdge: true },
    { ldfa: 89.6, mpta: 87.4, onEdge: true },
    { ldfa: 91.5, mpta: 91.5, onEdge: true },
    { ldfa: 93, mpta: 91, onEdge: true },
    { ldfa: 88, mpta: 87, onEdge: false },
    { ldfa: 88.4, mpta: 88.4, onEdge: false },
  ])('LDFA $ldfa, MPTA $mpta deg: a tenth of a degree decides: $onEdge', ({ ldfa, mpta, onEdge }) => {
    expect(nineTypes(mpta, ldfa).onEdge).toBe(onEdge);
  });

  it('every pair has one type, and the nine columns and rows follow the bands, by the rule written out', () => {
    const slow = (mpta: number, ldfa: number): string => {
      // Whole hundredths, so that no rounding is left.
      const difference = Math.round(100 * mpta) - Math.round(100 * ldfa);
      const sum = Math.round(100 * mpta) + Math.round(100 * ldfa);
      const row = sum < 17700 ? 0 : sum > 18300 ? 2 : 1;
      const column = difference < -200 ? 0 : difference > 200 ? 2 : 1;
      return ['I II III', 'IV V VI', 'VII VIII IX'][row]!.split(' ')[column]!;
    };
    const hundredth = fc.integer({ min: 8000, max: 10000 }).map((n) => n / 100);
    fc.assert(
      fc.property(hundredth, hundredth, (mpta, ldfa) => {
        expect(nineTypes(mpta, ldfa).type).toBe(slow(mpta, ldfa));
      }),
      { numRuns: 2000 },
    );
  });
});
