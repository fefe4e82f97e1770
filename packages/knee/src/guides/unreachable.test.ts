import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Wanted } from '../aims/aims-of-leg.ts';
import { type PhilosophyName, philosophy } from '../aims/philosophy.ts';
import { guideOf, kitFrom } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { planLeg } from './plan.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const values = [
  'LDFA=88deg',
  'MPTA=87deg',
  'slope=6deg',
  'shaftMechanical=5.6deg',
  'tibiaSpan=330mm',
  'ankleOffset=3mm',
];

const plan = (guide: string, wanted: Wanted, name: PhilosophyName = 'kinematic', ...more: readonly string[]) =>
  planLeg(
    typedLeg('right', ...values.filter((v) => !more.some((m) => m.startsWith(v.split('=')[0]!))), ...more),
    { ...demo, guides: [guideOf(demo, guide)] },
    philosophy(name),
    { wanted },
  );

/** Numbers by hand from the demo kit: collars 3 to 9, slide 20 mm either way, dial 6 to 14 with rows of -2 to 4, and so on. */
describe('what a guide cannot do', () => {
  it('an ankle slide of 20 mm ends at 4.0 varus on a span of 330 mm with the middle 3 mm lateral', () => {
    // atan((3 + 20) / 330) = 3.99 deg; 5 varus would need 3 - 330 tan 5 = -25.9 mm.
    const { unreachable, findings } = plan('shin-mast', { tibiaVarus: 5 });
    expect(unreachable.map((u) => [u.guide, u.output, u.limitedBy])).toEqual([
      ['shin-mast', 'tibiaVarus', 'ankleSlide'],
    ]);
    expect(unreachable[0]!.wanted.value).toBeCloseTo(5, 9);
    expect(unreachable[0]!.nearest.value).toBeCloseTo(3.99, 1);
    expect(unreachable[0]!.text).toContain('Ankle slide at 25.9 lateral');
    expect(findings.filter((f) => f.code === 'unreachable').map((f) => f.severity)).toEqual(['doubt']);
  });

  it('the collar ends at 9: 6 valgus on a canal of 5.6 would need 11.6', () => {
    const { unreachable } = plan('canal-core', { femurValgus: 6 });
    expect(unreachable.map((u) => [u.output, u.limitedBy])).toEqual([['femurValgus', 'collar']]);
    // 9 - 5.6 = 3.4 valgus is the nearest.
    expect(unreachable[0]!.nearest.value).toBeCloseTo(3.4, 6);
    expect(unreachable[0]!.text).toContain('Collar at 11.6');
  });

  it('within half a step of the last collar nothing is out of reach', () => {
    expect(plan('canal-core', { femurValgus: 3.8 }).unreachable).toEqual([]);
    expect(plan('canal-core', { femurValgus: -3 }).unreachable).toEqual([]);
  });

  it('the turn ends at 0: 3 internal is out of reach', () => {
    const leg = typedLeg('right', ...values);
    const { unreachable } = planLeg(leg, demo, philosophy('mechanical'), { wanted: { femurRotation: -3 } });
    expect(unreachable.map((u) => [u.guide, u.output, u.limitedBy])).toEqual([['heel-frame', 'femurRotation', 'turn']]);
  });

  it('within half a degree of either end of the turn nothing is out of reach', () => {
    const leg = typedLeg('right', ...values);
    const out = (femurRotation: number) =>
      planLeg(leg, demo, philosophy('mechanical'), { wanted: { femurRotation } }).unreachable.map((u) => u.output);
    expect([out(-0.4), out(8.4)]).toEqual([[], []]);
    expect([out(-0.6), out(8.6)]).toEqual([['femurRotation'], ['femurRotation']]);
  });

  it('feeler, screw and pin row end at 10 + 8 + 4 mm: 25 mm of tibia is out of reach', () => {
    const { unreachable } = plan('shin-mast', { tibiaCutDepth: 25, tibiaSlope: 6 });
    expect(unreachable.map((u) => u.output)).toEqual(['tibiaCutDepth']);
    expect(unreachable[0]!.nearest.value).toBeCloseTo(22, 1);
  });

  it('dial and pin row end at 14 + 4 mm: 20 mm of femur is out of reach', () => {
    const { unreachable } = plan('canal-core', { femurCutDepth: 20 }, 'mechanical');
    expect(unreachable.map((u) => u.output)).toEqual(['femurCutDepth']);
    expect(['dial', 'extra']).toContain(unreachable[0]?.limitedBy);
  });

  it('the front slide has no way back: 2 slope with the head of 0 is within reach, 1 anterior slope is not', () => {
    expect(plan('shin-mast', { tibiaSlope: 2 }).unreachable).toEqual([]);
    const { unreachable } = plan('shin-mast', { tibiaSlope: -1 });
    expect(unreachable.map((u) => [u.output, u.limitedBy])).toEqual([['tibiaSlope', 'frontSlide']]);
  });

  it('what can be reached says nothing', () => {
    expect(plan('shin-mast', { tibiaVarus: 3, tibiaSlope: 6 }).unreachable).toEqual([]);
  });
});

describe('a plan is made, whatever the knee', () => {
  it('for every whole degree of MPTA and slope within reach of people: 240 shins', () => {
    const broken: string[] = [];
    for (let mpta = 81; mpta <= 95; mpta += 1)
      for (let slope = 0; slope <= 15; slope += 1) {
        try {
          plan('shin-mast', {}, 'kinematic', `MPTA=${mpta}deg`, `slope=${slope}deg`);
        } catch (e) {
          broken.push(`MPTA ${mpta}, slope ${slope}: ${(e as Error).message}`);
        }
      }
    expect(broken).toEqual([]);
  });
});

/** Source: scale marks, design 6 and trade notes 8.1: each mark is 1.215 deg here, and three of them would cut 4.16. */
describe('a ruler whose marks say another angle on this leg', () => {
  it('is told with its worth and what counting it would do', () => {
    const { findings } = plan('shin-mast', { tibiaVarus: 3, tibiaSlope: 6 });
    const said = findings.filter((f) => f.code === 'marks-not-true');
    expect(said).toHaveLength(1);
    expect(said[0]!.severity).toBe('doubt');
    expect(said[0]!.message).toContain('on this leg (330 mm) it is 1.215 deg');
    expect(said[0]!.message).toContain('counting 3 marks would cut 4.16 varus');
  });

  it('warns only where counting is more than half a degree off (trade notes, hazard 12)', () => {
    // On a span of 400 mm without an ankle offset a mark of 7 mm is 1.003 deg: counting is right.
    const { findings } = plan(
      'shin-mast',
      { tibiaVarus: 2, tibiaSlope: 6 },
      'kinematic',
      'tibiaSpan=400mm',
      'ankleOffset=0mm',
    );
    expect(findings.filter((f) => f.code === 'marks-not-true').map((f) => f.severity)).toEqual(['info']);
  });
});
