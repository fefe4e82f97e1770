import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { guideOf, kitFrom, linkOf, withLinks } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { thigh } from './bone-by-hand.fixture.ts';
import { calledSetting, nearestStep, settableStep } from './call.ts';
import type { Guide, Link, ThreadLink } from './guide.ts';
import { nothingMade } from './placement.ts';
import { planLeg } from './plan.ts';
import { solveGuide } from './solve.ts';

/**
 * Source: rounding of design 6 and hazard 8 of the trade notes: resection depth to the shallower side, kneecap remnant to the
 * thicker, angles to the nearest, a tie toward neutral. Every row is worked out by hand from the marks named in its title.
 */

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const mast = guideOf(demo, 'shin-mast');
const core = guideOf(demo, 'canal-core');
const rad = (value: number): number => (value * Math.PI) / 180;
const called = (guide: Guide, link: Link, value: number): number => calledSetting(guide, link, { value }).value;

describe('half marks of 7 mm on the ankle slide (3.5 mm)', () => {
  const slide = linkOf(mast, 'ankleSlide');

  it.each([
    [0, 0],
    [1.74, 0],
    [1.75, 0],
    [1.76, 3.5],
    [-1.74, 0],
    [-1.75, 0],
    [-1.76, -3.5],
    [5.25, 3.5],
    [-5.25, -3.5],
    [5.2501, 7],
    [14.29, 14],
    [-14.29, -14],
    [-12.25, -10.5],
    [-12.26, -14],
    // 21 lies beyond the end of the scale at 20.
    [19.9, 17.5],
    [-20, -17.5],
  ])('%d mm is called as %d mm', (exact, call) => {
    expect(called(mast, slide, exact)).toBeCloseTo(call, 12);
  });

  it('is half a mark', () => {
    expect(settableStep(slide)).toBe(3.5);
  });
});

describe('millimetres of the front slide', () => {
  it.each([
    [0.49, 0],
    [0.5, 0],
    [0.51, 1],
    [1.5, 1],
    [2.5, 2],
    [5.72, 6],
    [39.6, 40],
    [40, 40],
  ])('%d mm is called as %d mm', (exact, call) => {
    expect(called(mast, linkOf(mast, 'frontSlide'), exact)).toBeCloseTo(call, 12);
  });
});

describe('quarter turns of the fine screw (0.3125 mm), to the shallower side', () => {
  const fine = linkOf(mast, 'fine') as ThreadLink;
  const back: ThreadLink = { ...fine, toward: 'proximal' };

  it.each([
    [0, 0],
    [0.31, 0],
    [0.3125, 0.3125],
    [0.62, 0.3125],
    [2.5, 2.5],
    [2.81, 2.5],
    [2.8125, 2.8125],
    [-0.01, -0.3125],
    [-0.3125, -0.3125],
    [-0.32, -0.625],
  ])('%d mm toward the foot, into the tibia, is called as %d mm', (exact, call) => {
    expect(called(mast, fine, exact)).toBeCloseTo(call, 12);
  });

  it.each([
    [0.01, 0.3125],
    [0.3125, 0.3125],
    [0.32, 0.625],
    [-0.31, 0],
    [-0.62, -0.3125],
  ])('%d mm toward the hip, out of the tibia, is called as %d mm', (exact, call) => {
    expect(called(mast, back, exact)).toBeCloseTo(call, 12);
  });

  it.each([
    [0.62, 0.3125],
    [-0.01, -0.3125],
  ])('%d mm toward the hip, into the femur, is called as %d mm', (exact, call) => {
    expect(called(core, back, exact)).toBeCloseTo(call, 12);
  });

  it('a call never leaves the range of the screw, whatever the rounding', () => {
    for (const exact of [-8, -7.99, -7.9, 7.9, 7.99, 8]) {
      const call = called(mast, fine, exact);
      expect(call, `${exact} mm`).toBeGreaterThanOrEqual(-8);
      expect(call, `${exact} mm`).toBeLessThanOrEqual(8);
    }
  });
});

/** The jaw of a kneecap: a screw toward the rear leaves more bone. */
describe('quarter millimetres of a kneecap screw, to the thicker side', () => {
  const screw: ThreadLink = {
    kind: 'thread',
    id: 'fine',
    says: 'Fine screw',
    toward: 'posterior',
    pitchMm: 1,
    range: [-3, 3],
    settable: 0.25,
    rounds: 'thicker',
    sd: 0.1,
  };
  const jaw: Guide = { ...mast, id: 'kneecap-jaw', bone: 'patella', links: [screw] };

  it.each([
    [1.1, 1.25],
    [1.2, 1.25],
    [-0.2, 0],
    [0.75, 0.75],
  ])('%d mm toward the rear is called as %d mm', (exact, call) => {
    expect(called(jaw, screw, exact)).toBeCloseTo(call, 12);
  });
});

describe('whole degrees of the collar on a canal of 5.5 deg', () => {
  const collar = (phi: number, alpha = 5.5): number =>
    solveGuide({
      guide: core,
      leg: thigh({ alpha }),
      components: demo.components,
      made: nothingMade,
      targets: [{ output: 'femurValgus', value: rad(phi), tolerance: rad(1) }],
    }).settings.collar!.value;

  it.each([
    [1.9, 7],
    [2.1, 8],
    [-1.9, 4],
    [-2.1, 3],
    [3.4, 9],
    [-2.4, 3],
  ])('%d valgus is called as collar %d', (phi, call) => {
    expect(collar(phi)).toBe(call);
  });

  // A tie: 7 leaves 1.5 valgus and 8 leaves 2.5; neutral is the cut square to the axis.
  it('2 valgus, half way between 7 and 8, goes to 7: 1.5 valgus is nearer to neutral than 2.5', () => {
    expect(collar(2)).toBe(7);
  });

  // 4 leaves 1.5 varus and 3 leaves 2.5 varus.
  it('2 varus, half way between 3 and 4, goes to 4: 1.5 varus is nearer to neutral than 2.5', () => {
    expect(collar(-2)).toBe(4);
  });
});

describe('whole degrees of the femoral turn', () => {
  const frame = guideOf(demo, 'heel-frame');
  const leg = { ...thigh(), has: () => false };
  const turn = (r: number): number =>
    solveGuide({
      guide: frame,
      leg,
      components: demo.components,
      made: {
        ...nothingMade,
        cuts: new Map([['distalFemur', { cut: 'distalFemur', normal: [0, 0, 1], offset: 1, kerf: 1.4 }]]),
      },
      targets: [{ output: 'femurRotation', value: rad(r), tolerance: rad(1) }],
    }).settings.turn!.value;

  it.each([
    [0, 0],
    [0.49, 0],
    [0.5, 0],
    [0.51, 1],
    [2.5, 2],
    [3, 3],
    [3.5, 3],
    [3.51, 4],
    [8.3, 8],
    [-0.4, 0],
  ])('%d deg external is called as %d', (r, call) => {
    expect(turn(r)).toBe(call);
  });
});

describe('whole millimetres of the femoral dial, to the shallower side', () => {
  const withoutShims = withLinks(core, { foot: { shimsMm: [] }, extra: { values: [0] } });
  const dial = (depth: number): number =>
    solveGuide({
      guide: withoutShims,
      leg: thigh({ alpha: 6 }),
      components: demo.components,
      made: nothingMade,
      targets: [
        { output: 'femurValgus', value: 0, tolerance: rad(1) },
        { output: 'femurCutDepth', value: depth, tolerance: 1 },
      ],
    }).settings.dial!.value;

  it.each([
    [9, 9],
    [9.1, 9],
    [9.5, 9],
    [9.9, 9],
    [8.9, 8],
    [13.7, 13],
    [20, 14],
    // Nothing is shallower than the least: the nearest is taken.
    [5, 6],
  ])('%d mm is called as dial %d', (depth, call) => {
    expect(dial(depth)).toBe(call);
  });
});

describe('a step from a neutral that is not 0', () => {
  it.each([
    { value: 2.24, step: 0.5, neutral: 2, to: 2 },
    { value: 2.25, step: 0.5, neutral: 2, to: 2 },
    { value: 1.75, step: 0.5, neutral: 2, to: 2 },
    { value: 2.75, step: 0.5, neutral: 2, to: 2.5 },
    { value: 1.25, step: 0.5, neutral: 2, to: 1.5 },
    { value: 1.2, step: 0.5, neutral: 2, to: 1 },
  ])('$value in steps of $step about $neutral is $to', ({ value, step, neutral, to }) => {
    expect(nearestStep(value, step, neutral)).toBeCloseTo(to, 12);
  });

  it('is never a negative zero', () => {
    expect(Object.is(nearestStep(-0.1, 1, 0), 0)).toBe(true);
  });
});

it('what a plan calls is printed with its rounding and what is left over, in the unit of the link', () => {
  const leg = typedLeg(
    'left',
    'LDFA=88deg',
    'MPTA=87deg',
    'slope=6deg',
    'shaftMechanical=5.6deg',
    'tibiaSpan=330mm',
    'ankleOffset=3mm',
  );
  const plan = planLeg(leg, demo, philosophy('restricted-kinematic'));
  const line = (link: string) => plan.settings.find((s) => s.guide === 'shin-mast' && s.link === link)!;
  expect(line('ankleSlide')).toMatchObject({
    exact: expect.closeTo(14.29, 2),
    call: 14,
    unit: 'mm',
    sense: 'lateral',
    marks: { exact: expect.closeTo(2.04, 2), call: 2 },
    rounded: 'nearest',
    leftOver: 'wanted 14.29 mm lateral; 0.29 mm left over',
  });
  // By hand: called minus wanted, atan((3 + 14) / 330) - 3 = -0.051 deg of varus.
  expect(line('ankleSlide').residual.tibiaVarus).toMatchObject({
    value: expect.closeTo(-0.051, 3),
    unit: 'deg',
    positive: 'varus',
  });
  expect(line('fine').rounded).toBe('shallower');
});
