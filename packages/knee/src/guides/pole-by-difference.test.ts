import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { guideOf, kitFrom, withLinks } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { boneByHand } from './bone-by-hand.fixture.ts';
import { neutralSettings } from './choices.ts';
import { outputsOf } from './outputs.ts';
import { nothingMade } from './placement.ts';
import { planLeg } from './plan.ts';
import type { Errors } from './setting.ts';
import { walk } from './walker.ts';

const second = kitFrom(readFileSync(new URL('../../../../kits/second/kit.json', import.meta.url), 'utf8'));
const pole = guideOf(second, 'shin-pole');
const deg = (value: number): number => (value * 180) / Math.PI;
const rad = (value: number): number => (value * Math.PI) / 180;
const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** A shin whose crest leans forward going up by `lean` degrees, its foremost line `front` mm before the axis at the ankle. */
const leaning = (lean: number, span: number, front = 12) =>
  boneByHand('tibia', {
    sites: {
      tibialKneeCentre: [0, 0, 0],
      malleolarMidpoint: [0, 0, -span],
      plateauMedial: [-21, 0, -8],
      plateauLateral: [21, 0, -8],
      crestLower: [0, front + Math.tan(rad(lean)) * (span - 220), -220],
      crestUpper: [0, front + Math.tan(rad(lean)) * (span - 60), -60],
    },
    numbers: { tibiaSpan: span },
  });

function slope(guide: typeof pole, lean: number, span: number, difference: number, errors: Errors = {}): number {
  const leg = leaning(lean, span);
  const settings = {
    ...neutralSettings(guide, second.components, 'right'),
    lean: { value: difference },
    wedge: { value: 0 },
  };
  return deg(outputsOf(walk(guide, leg, settings, second.components, nothingMade, errors), leg).tibiaSlope!);
}
const straight = withLinks(pole, { wedge: { bias: 0 } });

/**
 * Closed form: the pole's distance from the shin grows by `difference` over the 140 mm between its two marks, and the shin
 * itself falls back by the lean, so that the pole leans by atan(difference / 140 - tan(lean)).
 */
describe('a pole without a zero that can be seen', () => {
  it('is set by what its distance from the shin grows by', () => {
    fc.assert(
      fc.property(number(-5, 8), number(300, 420), number(-15, 50), (lean, span, difference) => {
        const wanted = deg(Math.atan(difference / (250 - 110) - Math.tan(rad(lean))));
        expect(slope(straight, lean, span, difference)).toBeCloseTo(wanted, 6);
      }),
    );
  });

  it('slopes the same wherever its top is anchored and its cuff sits', () => {
    const there = slope(straight, 4, 350, 20);
    for (const change of [
      { anterior: 15, lateral: 0 },
      { anterior: -8, lateral: 0 },
    ]) {
      expect(slope(withLinks(straight, { pole: { topOffMm: change } }), 4, 350, 20)).toBeCloseTo(there, 9);
      expect(slope(withLinks(straight, { cuff: { offMm: change } }), 4, 350, 20)).toBeCloseTo(there, 9);
    }
    expect(slope(straight, 4, 350, 20, { 'pole.anterior': 3 })).toBeCloseTo(there, 9);
  });

  it('by one mm more of difference changes the slope by atan(1 / 140), about 0.41 deg', () => {
    expect(slope(straight, 0, 350, 1) - slope(straight, 0, 350, 0)).toBeCloseTo(deg(Math.atan(1 / 140)), 9);
  });
});

describe('a plan with such a pole', () => {
  it('calls the difference, not a place on a scale', () => {
    const plan = planLeg(
      typedLeg('left', 'LDFA=88deg', 'MPTA=87deg', 'slope=6deg', 'crestLean=4deg'),
      second,
      philosophy('kinematic'),
    );
    const line = plan.settings.find((s) => s.link === 'lean')!;
    expect(line.text).toMatch(
      /^Pole \d+(\.\d+)? mm (farther from|nearer to) the shin at the lower mark than at the upper$/,
    );
    expect(line.unit).toBe('mm');
  });

  it('waits on a leg whose crest is not known, and says what to state', () => {
    const plan = planLeg(typedLeg('left', 'LDFA=88deg', 'MPTA=87deg', 'slope=6deg'), second, philosophy('kinematic'));
    expect(plan.waiting).toContain('shin-pole');
    expect(plan.findings.find((f) => f.code === 'leg-lacks' && f.message.startsWith('Shin pole'))!.message).toContain(
      'crestLean',
    );
  });
});
