import { expectOk, type Polygon } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ButtonSize } from '../kits/kit.ts';
import { buttonChoices, buttonChoicesByNumbers } from './button-fit.ts';
import { cutOutline } from './cut-outline.ts';
import { ellipse, prism } from './prism.fixture.ts';

const button = (size: number, thicknessMm = 9): ButtonSize => ({ size, thicknessMm });
const buttons = [29, 32, 35, 38, 41].map((size) => button(size));

describe('buttons on a kneecap', () => {
  /** Closed form: a button of radius r, m medial of the middle of a circle of radius 22, stands out by m + r - 22. */
  const expected = [
    { size: 38, medial: 3, overhang: 0, fits: true },
    { size: 35, medial: 4, overhang: -0.5, fits: true },
    { size: 32, medial: 4, overhang: -2, fits: true },
    { size: 29, medial: 4, overhang: -3.5, fits: true },
    { size: 41, medial: 2, overhang: 0.5, fits: false },
  ];

  it('that is round take the largest that stays on bone, from 2 to 4 mm medial', () => {
    const cap = prism('patella', ellipse(22, 22, [5, -3]), [-9, 13], 'A');
    const { loops } = expectOk(cutOutline(cap, { cut: 'kneecap', normal: [0, 1, 0], offset: 0, kerf: 1.4 }), 'outline');
    const choices = buttonChoices(loops[0], buttons, undefined);
    expect(choices.map((choice) => choice.button.size)).toEqual(expected.map(({ size }) => size));
    choices.forEach(({ medialMm, overhangMm, fits }, i) => {
      // Places are 0.1 mm apart.
      expect(Math.abs(medialMm - expected[i]!.medial)).toBeLessThan(0.11);
      expect(Math.abs(overhangMm - expected[i]!.overhang)).toBeLessThan(0.11);
      expect(fits).toBe(expected[i]!.fits);
    });
  });

  it('known by its width alone are judged side to side', () => {
    const choices = buttonChoicesByNumbers(44, buttons, undefined);
    expect(choices.map((choice) => choice.button.size)).toEqual(expected.map(({ size }) => size));
    choices.forEach(({ medialMm, overhangMm, fits }, i) => {
      expect(medialMm).toBeCloseTo(expected[i]!.medial, 9);
      expect(overhangMm).toBeCloseTo(expected[i]!.overhang, 9);
      expect(fits).toBe(expected[i]!.fits);
    });
  });

  it('that do not fit come last, the nearest to fitting before the others, in whatever order a family lists them', () => {
    const sizes = [43, 29, 41, 38, 45].map((size) => button(size));
    for (const listed of [sizes, [...sizes].reverse()]) {
      expect(buttonChoicesByNumbers(44, listed, undefined).map((c) => c.button.size)).toEqual([38, 29, 41, 43, 45]);
    }
  });

  it('go to the medial side, half way up where they are put', () => {
    // By hand: a triangle with its corner lateral: 40 high at L = -20, nothing at L = 20. The middle is L = 0; 2 mm medial the
    // edge above stands 11 over the middle, and its foot is nearer by the cosine of the lean: 11 x 40 / sqrt(40^2 + 20^2).
    const wedge: Polygon = [
      [-20, -20],
      [20, 0],
      [-20, 20],
    ];
    const [only] = buttonChoices(wedge, [button(29)], undefined, { leastMm: 2, mostMm: 2 });
    expect(only!.overhangMm).toBeCloseTo(14.5 - (11 * 40) / Math.hypot(40, 20), 9);
    // Up and down it follows the bone: the same wedge with its corner lowered keeps the chord of 22 about another middle.
    const skew: Polygon = wedge.map(([x, y]) => [x, y - 0.3 * x]);
    const [again] = buttonChoices(skew, [button(1)], undefined, { leastMm: 2, mostMm: 2 });
    // Edges lean by -0.5 - 0.3 above and 0.5 - 0.3 below.
    const nearest = Math.min(11 / Math.hypot(1, 0.8), 11 / Math.hypot(1, 0.2));
    expect(again!.overhangMm).toBeCloseTo(0.5 - nearest, 9);
  });

  it('stay on bone wherever the kneecap lies', () => {
    const coordinate = fc.double({ min: -50, max: 50, noNaN: true });
    fc.assert(
      fc.property(coordinate, coordinate, (l, p) => {
        const here = buttonChoices(ellipse(23, 19), buttons, undefined);
        const there = buttonChoices(ellipse(23, 19, [l, p]), buttons, undefined);
        expect(there.map((c) => c.button.size)).toEqual(here.map((c) => c.button.size));
        there.forEach((choice, i) => {
          expect(choice.overhangMm).toBeCloseTo(here[i]!.overhangMm, 6);
        });
      }),
    );
  });

  /** Source: patella vectors of the trade notes, 2.8: 22 under 9 keeps 13, 19 under 9 keeps 12 and is 2 thicker. */
  it.each([
    { native: 22, thickness: 9, keep: 13, change: 0 },
    { native: 19, thickness: 9, keep: 12, change: 2 },
    { native: 25, thickness: 10, keep: 15, change: 0 },
  ])('$native mm thick keep $keep mm under $thickness mm', ({ native, thickness, keep, change }) => {
    const [choice] = buttonChoicesByNumbers(44, [button(32, thickness)], native);
    expect(choice!.cut).toEqual({ remnantMm: keep, compositeMm: keep + thickness, changeMm: change });
  });

  it('of unknown thickness say nothing of what to keep', () => {
    expect(buttonChoicesByNumbers(44, buttons, undefined)[0]!.cut).toBeUndefined();
  });
});
