import { readFileSync } from 'node:fs';
import { dot } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CutPlane } from '../cuts/cut-plane.ts';
import { guideOf, kitFrom } from '../kits/kit.fixture.ts';
import { boneByHand } from './bone-by-hand.fixture.ts';
import { neutralSettings } from './choices.ts';
import type { CutName } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { outputsOf, resectionFromIntact } from './outputs.ts';
import type { Made } from './placement.ts';
import type { Errors } from './setting.ts';
import { type GuideInPlace, madeBy, walk } from './walker.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const frame = guideOf(demo, 'heel-frame');
const block = guideOf(demo, 'slit-block');
const deg = (value: number): number => (value * 180) / Math.PI;
const rad = (value: number): number => (value * Math.PI) / 180;

/** Rear contacts 48 mm apart, the front cortex `m` in front of their line and `l` lateral of their middle. */
const femur = (m: number, l = 0, cortexP = 37): LegView =>
  boneByHand('femur', {
    sites: { posteriorMedial: [-24, -30, 12], posteriorLateral: [24, -30, 12], anteriorCortex: [l, -30 + m, cortexP] },
  });

const distal: CutPlane = { cut: 'distalFemur', normal: [0, 0, 1], offset: 1, kerf: 1.4 };
const flatCut: Made = { cuts: new Map([['distalFemur', distal]]), pins: new Map() };

interface Set {
  readonly turn?: number;
  readonly pivot?: 'middle' | 'medial' | 'lateral';
  readonly size?: number;
  readonly keeps?: 'rear' | 'front';
  readonly shift?: number;
}

const placed = (leg: LegView, { turn = 0, pivot = 'middle', size = 60, keeps = 'rear', shift = 0 }: Set) =>
  walk(
    frame,
    leg,
    {
      ...neutralSettings(frame, demo.components, 'right'),
      turn: { value: turn, pivot },
      size: { value: size, keeps },
      shift: { value: shift },
    },
    demo.components,
    flatCut,
  );

/** The block of the frame's size, its pegs in the holes that the frame made. */
const onBlock = (leg: LegView, set: Set, errors: Errors = {}) =>
  walk(
    block,
    leg,
    { ...neutralSettings(block, demo.components, 'right'), block: { value: set.size ?? 60 } },
    demo.components,
    madeBy(frame, placed(leg, set), flatCut),
    errors,
  );
const planeOf = (inPlace: GuideInPlace, cut: CutName): CutPlane => inPlace.cuts.find((c) => c.cut === cut)!;

/** Thickness of the rear cut from intact, medial and lateral, and the front cut in front of the cortex; mm. */
function cuts(leg: LegView, set: Set): { readonly M: number; readonly L: number; readonly front: number } {
  const inPlace = onBlock(leg, set);
  const [rear, front] = [planeOf(inPlace, 'posteriorFemur'), planeOf(inPlace, 'anteriorFemur')];
  const cortex = leg.site('anteriorCortex');
  return {
    M: resectionFromIntact(rear, leg, 'posteriorMedial'),
    L: resectionFromIntact(rear, leg, 'posteriorLateral'),
    front: front.offset - dot(front.normal, cortex),
  };
}

/**
 * Source: worked vectors of the trade notes, 2.6, 3.6 and exercise 7. They use w tan r (2.516 for 48 mm and 3 deg); a thickness
 * square to the cut is w sin r (2.512), so the hundredth may differ by one.
 */
describe('three degrees external over 48 mm, component 9 mm', () => {
  it.each([
    { pivot: 'middle', M: 10.26, L: 7.74 },
    { pivot: 'medial', M: 9, L: 6.48 },
    { pivot: 'lateral', M: 11.52, L: 9 },
  ] as const)('on the $pivot pivot: rear pieces $M medial, $L lateral mm', ({ pivot, M, L }) => {
    const found = cuts(femur(60), { turn: 3, pivot });
    expect(Math.abs(found.M - M)).toBeLessThan(0.01);
    expect(Math.abs(found.L - L)).toBeLessThan(0.01);
    expect(found.M - found.L).toBeCloseTo(48 * Math.sin(rad(3)), 9);
  });

  it('set the wrong way is a 6 deg error: pieces 2.5 mm wrong on each side', () => {
    const [right, wrong] = [cuts(femur(60), { turn: 3 }), cuts(femur(60), { turn: -3 })];
    expect(right.M - wrong.M).toBeCloseTo(2.5, 1);
    expect(wrong.L - right.L).toBeCloseTo(2.5, 1);
  });

  it('reads as 3 deg external of the cut, whatever it pivots on, to 1e-9 deg', () => {
    for (const pivot of ['middle', 'medial', 'lateral'] as const) {
      const leg = femur(60);
      expect(deg(outputsOf(placed(leg, { turn: 3, pivot }), leg).femurRotation!)).toBeCloseTo(3, 9);
    }
  });

  /** Source: gap solve of the trade notes, 2.7: pieces 10.0 and 7.5 are a turn of 2.98 deg about a depth of 8.75. */
  it('pieces of 10.0 and 7.5 mm are a turn of 2.98 deg and a depth of 8.75 mm', () => {
    const found = cuts(femur(60), { turn: 2.98, shift: -0.25 });
    expect(found.M).toBeCloseTo(10, 1);
    expect(found.L).toBeCloseTo(7.5, 1);
    expect((found.M + found.L) / 2).toBeCloseTo(8.75, 9);
  });
});

/** Source: worked vectors of the trade notes, 2.6 and exercise 8. */
describe('a femur of 61 mm', () => {
  it('reads 61 mm on the front feeler', () => {
    expect(placed(femur(61), {}).reads.get('front')).toBeCloseTo(61, 12);
  });

  it.each([
    { keeps: 'front', size: 60, rear: 10, clearance: 0 },
    { keeps: 'front', size: 63, rear: 7, clearance: 0 },
    { keeps: 'rear', size: 60, rear: 9, clearance: -1 },
    { keeps: 'rear', size: 63, rear: 9, clearance: 2 },
  ] as const)('$keeps kept, size $size: rear $rear, clearance $clearance mm', ({ keeps, size, rear, clearance }) => {
    const found = cuts(femur(61), { keeps, size });
    expect(found.M).toBeCloseTo(rear, 9);
    expect(found.L).toBeCloseTo(rear, 9);
    expect(found.front).toBeCloseTo(clearance, 9);
  });

  it('shifted forward by 2 mm is cut 2 mm deeper at the rear and 2 mm prouder in front, in either reference', () => {
    for (const keeps of ['rear', 'front'] as const) {
      const [still, moved] = [cuts(femur(61), { keeps }), cuts(femur(61), { keeps, shift: 2 })];
      expect(moved.M - still.M).toBeCloseTo(2, 9);
      expect(moved.front - still.front).toBeCloseTo(2, 9);
    }
  });
});

describe('a front feeler off the midline', () => {
  /** Source: worked vector of the trade notes, 2.6: 8 x 0.0872 + 61 x 0.9962 = 61.46, from factors of four digits. */
  it('8 mm lateral and 61 mm in front reads 61.46 mm when the frame is turned 5 deg', () => {
    expect(Math.abs(placed(femur(61, 8), { turn: 5 }).reads.get('front')! - 61.46)).toBeLessThan(0.006);
  });

  it('reads L sin r + A cos r to 1e-9 mm for any place and turn', () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(number(-15, 15), number(50, 75), number(-3, 8), (l, m, r) => {
        const read = placed(femur(m, l), { turn: r }).reads.get('front')!;
        expect(Math.abs(read - (l * Math.sin(rad(r)) + m * Math.cos(rad(r))))).toBeLessThan(1e-9);
      }),
    );
  });

  /**
   * Source: trade notes, 2.6: a feeler set dz higher on a cortex that leans gamma to the flange reads dz tan(gamma) more,
   * 0.35 to 0.44 mm for 5 mm at 4 to 5 deg.
   */
  it('5 mm higher on a cortex that leans 4 or 5 deg reads 0.35 or 0.44 mm more', () => {
    for (const [lean, more] of [
      [4, 0.35],
      [5, 0.44],
    ] as const) {
      const up = 5 * Math.tan(rad(lean));
      const reading = (m: number, p: number) => placed(femur(m, 0, p), {}).reads.get('front')!;
      expect(reading(61 + up, 42) - reading(61, 37)).toBeCloseTo(more, 2);
    }
  });
});

// By hand: a blade that is off as seen from the side flexes or extends a cut behind; one that is off side to side turns it.
describe('a saw that leaves its slit by one degree', () => {
  const sawn = (errors: Errors) => {
    const inPlace = onBlock(femur(60), {}, errors);
    return [planeOf(inPlace, 'posteriorFemur'), planeOf(inPlace, 'anteriorFemur')].map(({ normal: [l, a, p] }) => ({
      turn: deg(Math.atan2(l, a)),
      side: deg(Math.atan2(p, a)),
    }));
  };
  it.each([
    { slit: 'rearSlit', at: 0 },
    { slit: 'frontSlit', at: 1 },
  ])(
    'tilts the cut of the $slit in the side view for a sagittal error, and turns it for a coronal one',
    ({ slit, at }) => {
      const sagittal = sawn({ [`${slit}.sagittal`]: 1 })[at]!;
      expect(Math.abs(sagittal.side)).toBeCloseTo(1, 2);
      expect(sagittal.turn).toBeCloseTo(0, 9);
      const coronal = sawn({ [`${slit}.coronal`]: 1 })[at]!;
      expect(Math.abs(coronal.turn)).toBeCloseTo(1, 2);
      expect(coronal.side).toBeCloseTo(0, 9);
    },
  );
});
