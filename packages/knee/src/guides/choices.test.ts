import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom } from '../kits/kit.fixture.ts';
import { deepening, detents, neutralSettings } from './choices.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));

/** By hand: zero + k step inside the range. */
describe('clicks of a link', () => {
  it.each([
    { range: [0, 8], zero: 0, step: 2, clicks: [0, 2, 4, 6, 8] },
    { range: [1, 9], zero: 2, step: 2, clicks: [2, 4, 6, 8] },
    { range: [-3, 5], zero: 1, step: 2, clicks: [-3, -1, 1, 3, 5] },
    { range: [-1, 1], zero: 0.5, step: 0.5, clicks: [-1, -0.5, 0, 0.5, 1] },
    { range: [0, 1], zero: 0, step: 0.1, clicks: [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1] },
    { range: [-2, -1], zero: -1.5, step: 5, clicks: [-1.5] },
  ] as const)('from $range in steps of $step about $zero are $clicks', ({ range, zero, step, clicks }) => {
    const found = detents({ range: [range[0], range[1]], zero, step });
    expect(found).toHaveLength(clicks.length);
    found.forEach((value, k) => {
      expect(value).toBeCloseTo(clicks[k]!, 12);
    });
  });
});

describe('settings that nobody has asked for', () => {
  it('of the canal core: the collar nearest to nothing, no shim, the middle row', () => {
    expect(neutralSettings(guideOf(demo, 'canal-core'), demo.components, 'right')).toMatchObject({
      headTurn: { value: 0 },
      collar: { value: 3 },
      dial: { value: 6 },
      extra: { value: 0 },
    });
  });

  it('of the heel frame: no turn, the middle size with the first face kept', () => {
    expect(neutralSettings(guideOf(demo, 'heel-frame'), demo.components, 'right')).toMatchObject({
      turn: { value: 0, pivot: 'middle' },
      size: { value: 63, keeps: 'rear' },
      shift: { value: 0 },
    });
  });

  it('of the shin mast: every zero, the feeler on the first side', () => {
    expect(neutralSettings(guideOf(demo, 'shin-mast'), demo.components, 'right')).toMatchObject({
      yokeTurn: { value: 0 },
      ankleSlide: { value: 0 },
      frontSlide: { value: 0 },
      head: { value: 0 },
      feeler: { value: 0, site: 'plateauLateral' },
      fine: { value: 0 },
      seat: { value: 0, seat: 'middle' },
      pins: { value: 0, row: 'm0' },
    });
  });
});

describe('travel that goes into the bone that is kept', () => {
  it('is toward the foot on a tibia and toward the hip on a femur', () => {
    expect(deepening(guideOf(demo, 'shin-mast'), 'distal')).toBe(1);
    expect(deepening(guideOf(demo, 'shin-mast'), 'proximal')).toBe(-1);
    expect(deepening(guideOf(demo, 'canal-core'), 'proximal')).toBe(1);
    expect(deepening(guideOf(demo, 'canal-core'), 'distal')).toBe(-1);
  });
});
