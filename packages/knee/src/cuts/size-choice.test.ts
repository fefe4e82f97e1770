import { describe, expect, it } from 'vitest';
import type { FemurSize } from '../kits/kit.ts';
import { sizeChoices, sizeWeights } from './size-choice.ts';

const size = (s: number, widthMm = s + 6): FemurSize => ({
  size: s,
  widthMm,
  distalMm: 9,
  rearMm: 9,
  flangeHeightMm: 38,
});
const sizes = [54, 57, 60, 63, 66].map((s) => size(s));

/** Source: worked vectors of the trade notes, 2.6 and exercise 8: M = 61, posterior thickness 9. */
describe('a femur of 61 mm', () => {
  it.each([
    { keeps: 'front', s: 60, rear: 10, clearance: 0 },
    { keeps: 'front', s: 63, rear: 7, clearance: 0 },
    { keeps: 'rear', s: 60, rear: 9, clearance: -1 },
    { keeps: 'rear', s: 63, rear: 9, clearance: 2 },
  ] as const)('with the $keeps kept, size $s: rear cut $rear, front $clearance mm', ({ keeps, s, rear, clearance }) => {
    const choice = sizeChoices(sizes, 61, keeps, [0], undefined).find((c) => c.size.size === s)!;
    expect(choice.rearMm).toBeCloseTo(rear, 12);
    expect(choice.clearanceMm).toBeCloseTo(clearance, 12);
  });

  it('a shift forward of 1 mm lifts the front and deepens the rear by 1 mm in either reference', () => {
    for (const keeps of ['rear', 'front'] as const) {
      const [still, moved] = [0, 1].map(
        (shift) => sizeChoices(sizes, 61, keeps, [shift], undefined).find((c) => c.size.size === 60)!,
      );
      expect(moved!.clearanceMm - still!.clearanceMm).toBeCloseTo(1, 12);
      expect(moved!.rearMm - still!.rearMm).toBeCloseTo(1, 12);
    }
  });
});

describe('sizes for a bone', () => {
  it('lists every size with every shift once, cheapest first', () => {
    const choices = sizeChoices(sizes, 61, 'rear', [-1, 0, 1], 70);
    expect(new Set(choices.map((c) => `${c.size.size}/${c.shiftMm}`)).size).toBe(15);
    const costs = choices.map((c) => c.cost);
    expect(costs).toEqual([...costs].sort((a, b) => a - b));
  });

  /**
   * By the formula of the trade notes, 3.6, with the code's weights written out: notch 4, proud 1, rear departure 1, overhang 1
   * for each mm squared. M = 61, rear kept, width 66: size 60 shifted 0 notches 1 mm, so 4; shifted 1 forward, so 1 for the
   * rear; size 63 shifted -2 stands 0 proud, 4 for the rear and overhangs 1.5 each side, 2.25.
   */
  it('costs a notch most', () => {
    expect(sizeWeights).toEqual({ notch: 4, proud: 1, rear: 1, overhang: 1 });
    const choices = sizeChoices(sizes, 61, 'rear', [-2, -1, 0, 1, 2], 66);
    const cost = (s: number, shift: number) => choices.find((c) => c.size.size === s && c.shiftMm === shift)!.cost;
    expect(cost(60, 0)).toBeCloseTo(4, 12);
    expect(cost(60, 1)).toBeCloseTo(1, 12);
    expect(cost(63, -2)).toBeCloseTo(4 + 2.25, 12);
    expect(choices[0]).toMatchObject({ size: { size: 60 }, shiftMm: 1 });
  });

  it('a bone of exactly a size takes it unshifted', () => {
    for (const s of [54, 57, 60, 63, 66]) {
      for (const keeps of ['rear', 'front'] as const) {
        const best = sizeChoices(sizes, s, keeps, [-2, -1, 0, 1, 2], s + 6)[0]!;
        expect([best.size.size, best.shiftMm, best.cost]).toEqual([s, 0, 0]);
      }
    }
  });

  it('overhang is half of what the component is wider than the bone, and unknown without a width', () => {
    expect(sizeChoices([size(60, 70)], 60, 'rear', [0], 66)[0]!.overhangMm).toBe(2);
    expect(sizeChoices([size(60, 70)], 60, 'rear', [0], undefined)[0]!.overhangMm).toBeUndefined();
  });
});
