import { describe, expect, it } from 'vitest';
import { boneByHand } from '../guides/bone-by-hand.fixture.ts';
import type { FemurSize } from '../kits/kit.ts';
import type { CutPlane } from './cut-plane.ts';
import { cortexAt, flangeClearance } from './flange.ts';

const rad = (deg: number): number => (deg * Math.PI) / 180;
const size: FemurSize = { size: 60, widthMm: 66, distalMm: 9, rearMm: 9, flangeHeightMm: 38 };

/** Distal contacts at P = -10; a cortex that stands 30 mm in front at a height of 30 and leans forward going down. */
const leg = boneByHand('femur', {
  sites: { distalMedial: [-24, 0, -10], distalLateral: [24, 0, -9], anteriorCortex: [4, 31, 34] },
  numbers: { cortexA30: 30, cortexA36: 33, cortexA42: 34, cortexA48: 34.5, cortexA54: 34.8, cortexA60: 35 },
});
const plane = (cut: CutPlane['cut'], normal: CutPlane['normal'], offset: number): CutPlane => ({
  cut,
  normal,
  offset,
  kerf: 1.4,
});

describe('the front cortex at a height', () => {
  /** By hand: straight lines between the heights; half way from 36 to 42 is 33.5. */
  it.each([
    { height: 30, a: 30 },
    { height: 36, a: 33 },
    { height: 39, a: 33.5 },
    { height: 57, a: 34.9 },
    { height: 20, a: 30 },
    { height: 80, a: 35 },
  ])('$height mm up stands $a mm in front', ({ height, a }) => {
    expect(cortexAt(leg, height)).toBeCloseTo(a, 9);
  });

  it('is not known without a profile', () => {
    expect(cortexAt(boneByHand('femur', { sites: {} }), 40)).toBeUndefined();
  });
});

describe('the front cut at the flange tip', () => {
  // The distal cut at P = -1: the tip is 37 up, 47 above the lowest contact; the cortex there is 34 + 5/6 x 0.5 = 34.417.
  const distal = plane('distalFemur', [0, 0, 1], -1);
  const cortex = 34 + (5 / 6) * 0.5;

  it.each([
    { front: 36, says: 'in front of' },
    { front: 33, says: 'inside' },
  ])('a flat cut $front mm in front is $says the cortex by the difference', ({ front }) => {
    expect(flangeClearance(leg, plane('anteriorFemur', [0, 1, 0], front), distal, size)).toBeCloseTo(front - cortex, 9);
  });

  it('a cut turned 5 deg external is judged over the canal, 4 mm lateral of the middle', () => {
    const n = [Math.sin(rad(5)), Math.cos(rad(5)), 0] as const;
    // By hand: the plane's distance from (4, cortex).
    expect(flangeClearance(leg, plane('anteriorFemur', n, 36), distal, size)).toBeCloseTo(
      36 - 4 * Math.sin(rad(5)) - cortex * Math.cos(rad(5)),
      9,
    );
  });

  /** Source: trade notes, 2.6: flexing by df at flange height 38 adds 38 tan df: 0.66, 1.33 and 1.99 mm for 1, 2 and 3 deg. */
  it.each([
    { df: 1, more: 0.66 },
    { df: 2, more: 1.33 },
    { df: 3, more: 1.99 },
  ])('flexing about the distal cut by $df deg gains $more mm at 38 mm', ({ df, more }) => {
    // The flange tip swings forward: the front cut leans about the line where it meets the distal cut (A = cortex, P = -1).
    const n = [0, Math.cos(rad(df)), -Math.sin(rad(df))] as const;
    const offset = cortex * n[1] + -1 * n[2];
    const gained = flangeClearance(leg, plane('anteriorFemur', n, offset), distal, size)!;
    expect(gained).toBeCloseTo(more, 2);
  });

  /** Source: exercise 8 of the trade notes: 1.51 deg cancel a notch of 1 mm at 38 mm. */
  it('flexing by 1.51 deg cancels a notch of 1 mm at 38 mm', () => {
    const df = rad(1.51);
    const n = [0, Math.cos(df), -Math.sin(df)] as const;
    const offset = (cortex - 1) * n[1] + -1 * n[2];
    expect(flangeClearance(leg, plane('anteriorFemur', n, offset), distal, size)).toBeCloseTo(0, 2);
  });

  it('a taller flange is judged higher up: 44 mm above the distal cut is 53 above the lowest contact', () => {
    const tall = { ...size, flangeHeightMm: 44 };
    expect(flangeClearance(leg, plane('anteriorFemur', [0, 1, 0], 36), distal, tall)).toBeCloseTo(
      36 - (34.5 + (5 / 6) * 0.3),
      9,
    );
  });

  it('is not known without a cortex profile', () => {
    const bare = boneByHand('femur', { sites: { distalMedial: [-24, 0, -10], distalLateral: [24, 0, -9] } });
    expect(flangeClearance(bare, plane('anteriorFemur', [0, 1, 0], 36), distal, size)).toBeUndefined();
  });
});
