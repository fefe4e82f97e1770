import { expectOk, type Polygon } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cutOutline } from './cut-outline.ts';
import { femurFit, femurFitByNumbers } from './femur-fit.ts';
import { prism, rectangle, together } from './prism.fixture.ts';

/** Edges half way between front and back at L = -34 and 38: 72 mm of bone whose middle lies 2 lateral. Wider at the back. */
const bone: Polygon = [
  [-38, -30],
  [42, -30],
  [34, 34],
  [-30, 34],
];

describe('a femoral component over the distal cut', () => {
  /** By hand. Nothing stands out while its middle lies from -34 + w/2 to 38 - w/2; wider than 72, it is best at 2. */
  it.each([
    { width: 70, centred: [1, -3], shift: 1, left: [0, -2], beyond: [] },
    { width: 66, centred: [-1, -5], shift: 0, left: [-1, -5], beyond: [] },
    { width: 74, centred: [3, -1], shift: 2, left: [1, 1], beyond: [] },
    { width: 78, centred: [5, 1], shift: 2, left: [3, 3], beyond: ['medial', 'lateral'] },
  ])('$width mm wide is shifted $shift mm to lateral', ({ width, centred, shift, left, beyond }) => {
    const fit = femurFit([bone], width)!;
    expect(fit.boneWidthMm).toBeCloseTo(72, 9);
    expect(fit.centredMm.medial).toBeCloseTo(centred[0]!, 9);
    expect(fit.centredMm.lateral).toBeCloseTo(centred[1]!, 9);
    expect(fit.shiftMm).toBeCloseTo(shift, 9);
    expect(fit.overhangMm.medial).toBeCloseTo(left[0]!, 9);
    expect(fit.overhangMm.lateral).toBeCloseTo(left[1]!, 9);
    expect(fit.beyond).toEqual(beyond);
  });

  it('is shifted no farther than 2 mm, and says on which side it still stands out', () => {
    // By hand: from a middle put 6 medial of the bone's own, the best 2 mm leave 4 + 1 medially.
    const fit = femurFit([bone], 74, -4)!;
    expect(fit.shiftMm).toBe(2);
    expect(fit.overhangMm).toEqual({ medial: 5, lateral: -3 });
    expect(fit.beyond).toEqual(['medial']);
  });

  it('has no shift within reach that stands out less', () => {
    const width = fc.double({ min: 60, max: 84, noNaN: true });
    const middle = fc.double({ min: -6, max: 6, noNaN: true });
    const shift = fc.double({ min: -2, max: 2, noNaN: true });
    fc.assert(
      fc.property(width, middle, shift, (w, at, other) => {
        const worst = ({ medial, lateral }: { medial: number; lateral: number }): number =>
          Math.max(0, medial, lateral);
        const fit = femurFit([bone], w, at)!;
        expect(worst(fit.overhangMm)).toBeLessThanOrEqual(worst(femurFit([bone], w, at + other)!.centredMm) + 1e-9);
      }),
    );
  });

  it('seen in a mirror has medial and lateral changed over and the shift the other way', () => {
    const mirrored = bone.map(([x, y]) => [-x, y] as const).reverse();
    fc.assert(
      fc.property(
        fc.double({ min: 60, max: 84, noNaN: true }),
        fc.double({ min: -4, max: 4, noNaN: true }),
        (w, at) => {
          const fit = femurFit([bone], w, at)!;
          const seen = femurFit([mirrored], w, -at)!;
          expect(seen.shiftMm).toBeCloseTo(-fit.shiftMm, 9);
          expect(seen.overhangMm.medial).toBeCloseTo(fit.overhangMm.lateral, 9);
          expect(seen.overhangMm.lateral).toBeCloseTo(fit.overhangMm.medial, 9);
        },
      ),
    );
  });

  it('is judged over both condyles where the cut parts them', () => {
    const condyles = together(
      prism('femur', rectangle(-35, -8, -25, 30), [-10, 40]),
      prism('femur', rectangle(9, 37, -25, 28), [-10, 40]),
    );
    const { loops } = expectOk(
      cutOutline(condyles, { cut: 'distalFemur', normal: [0, 0, 1], offset: -1, kerf: 1.4 }),
      'outline',
    );
    expect(femurFit(loops, 74)!.centredMm).toEqual({ medial: 2, lateral: 0 });
  });

  it('by numbers stands out by half of what it is wider by, unshifted', () => {
    expect(femurFitByNumbers(70, 75)).toEqual({
      boneWidthMm: 70,
      centredMm: { medial: 2.5, lateral: 2.5 },
      shiftMm: 0,
      overhangMm: { medial: 2.5, lateral: 2.5 },
      beyond: [],
    });
    expect(femurFitByNumbers(70, 76).beyond).toEqual(['medial', 'lateral']);
  });

  it('cannot be judged where no bone lies half way between front and back', () => {
    expect(femurFit([rectangle(0, 9, -30, -20), rectangle(0, 9, 20, 30)], 70)).toBeUndefined();
  });
});
