import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { viewAtMean } from '../guides/leg-view.ts';
import { resectionFromIntact } from '../guides/outputs.ts';
import { planLeg } from '../guides/plan.ts';
import { walk } from '../guides/walker.ts';
import { guideOf, kitFrom, withGuide, withLinks } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { aimsOfLeg, type Wanted } from './aims-of-leg.ts';
import { type PhilosophyName, philosophy } from './philosophy.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const knee = (...more: readonly string[]) =>
  typedLeg(
    'right',
    'LDFA=88deg',
    'MPTA=85deg',
    'shaftMechanical=6deg',
    'slope=5deg',
    'distalSpacing=48mm',
    'plateauSpacing=48mm',
    ...more,
  );

/**
 * Source: worked vectors of the trade notes, 2.1, resections of intact surface in knee 88/85, spacing 48 mm, component distal
 * 9, tibia 10 from the higher side. Collars 6, 8 and 9 make 0, 2 and 3 valgus on a canal of 6 deg, so nothing is rounded. The
 * vectors are flat: no slope is wanted. 5 varus takes 31 mm of ankle slide, more than the demo kit has.
 */
describe('resections of intact surface in knee 88/85', () => {
  it.each([
    { name: 'mechanical', femur: [9, 7.32], tibia: [5.8, 10] },
    { name: 'anatomic', femur: [8.16, 9], tibia: [8.32, 10] },
    { name: 'kinematic', femur: [9, 9], tibia: [10, 10] },
  ] as const)('$name: femur M/L $femur, tibia M/L $tibia mm', ({ name, femur, tibia }) => {
    const leg = knee();
    const mast = withLinks(guideOf(demo, 'shin-mast'), { ankleSlide: { range: [-40, 40] } });
    const plan = planLeg(leg, withGuide(demo, mast), philosophy(name), { wanted: { tibiaSlope: 0 } });
    const cutOf = (guide: string) => {
      const planned = plan.guides.find((g) => g.problem.guide.id === guide)!;
      return walk(planned.problem.guide, planned.problem.leg, planned.exact, demo.components, planned.problem.made)
        .cuts[0]!;
    };
    const at = (
      guide: string,
      bone: 'femur' | 'tibia',
      site: 'distalMedial' | 'distalLateral' | 'plateauMedial' | 'plateauLateral',
    ) => resectionFromIntact(cutOf(guide), viewAtMean(leg, bone), site);
    expect(at('canal-core', 'femur', 'distalMedial')).toBeCloseTo(femur[0], 2);
    expect(at('canal-core', 'femur', 'distalLateral')).toBeCloseTo(femur[1], 2);
    expect(at('shin-mast', 'tibia', 'plateauMedial')).toBeCloseTo(tibia[0], 2);
    expect(at('shin-mast', 'tibia', 'plateauLateral')).toBeCloseTo(tibia[1], 2);
  });
});

describe('aims of a leg', () => {
  const aims = (name: PhilosophyName, wanted?: Wanted, ...more: readonly string[]) =>
    aimsOfLeg(knee(...more), demo, philosophy(name), wanted).aims;

  it('say native angles with the spread of the leg, and prescribed ones exactly', () => {
    const native = aims('kinematic', {}, 'tibiaLength=350mm', 'ankleOffset=3mm');
    expect(native.LDFA).toMatchObject({ value: expect.closeTo(88, 9), unit: 'deg', sd: expect.closeTo(0.7, 6) });
    expect(native.femurValgus).toMatchObject({
      value: expect.closeTo(2, 9),
      positive: 'valgus',
      sd: expect.closeTo(0.7, 6),
    });
    expect(native.tibiaVarus).toMatchObject({ value: expect.closeTo(5, 9), positive: 'varus' });
    // By hand: tibial cut 5 varus less femoral cut 2 valgus; two spreads of 0.7 make 0.99.
    expect(native.limbVarus).toMatchObject({
      value: expect.closeTo(3, 9),
      positive: 'varus',
      sd: expect.closeTo(0.98995, 4),
    });
    const prescribed = aims('mechanical');
    expect(prescribed.LDFA).toMatchObject({ value: 90, sd: 0 });
    expect(prescribed.limbVarus).toMatchObject({ value: 0, sd: 0 });
  });

  it('wait for gaps with their bounds in words', () => {
    const waiting = aims('functional');
    expect(waiting.femurValgus).toMatchObject({ value: null, sd: null, positive: 'valgus' });
    // By hand: MPTA 85, limb 6 varus to 3 valgus, so LDFA 82 to 91 and 1 varus to 8 valgus.
    expect(waiting.LDFA?.unknown).toBe('needs gaps; between 82.0 and 91.0 deg');
    expect(waiting.femurValgus?.unknown).toBe('needs gaps; between -1.0 and 8.0 deg');
    expect(waiting.limbVarus).toMatchObject({ value: null, unknown: 'needs gaps' });
  });

  it('take a value wanted by hand in both of its names, and the limb follows', () => {
    const byHand = aims('restricted-kinematic', { femurValgus: 3, tibiaVarus: 4.5 });
    expect(byHand.LDFA?.value).toBe(87);
    expect(byHand.MPTA?.value).toBe(85.5);
    expect(byHand.limbVarus?.value).toBeCloseTo(1.5, 9);
    expect(byHand.femurValgus?.method).toContain('by hand');
  });

  /** Source: demo kit: distal thickness 9; thinnest tray and insert 4 + 6. */
  it('take depths from the components: 9 mm of femur, 10 of tibia', () => {
    expect(aims('mechanical').femurCutDepth).toMatchObject({ value: 9, unit: 'mm' });
    expect(aims('mechanical').tibiaCutDepth).toMatchObject({ value: 10, unit: 'mm' });
  });

  /**
   * Source: patella vectors of the trade notes, 2.8, with the thickest button of the demo kit (8, 9, 10) that leaves 12 mm:
   * 22 mm takes 10 and keeps 12; 21 takes 9; 19 takes 8 and keeps 12, 1 thicker.
   */
  it.each([
    { native: 25, remnant: 15, says: '35 mm button 10 mm thick: together 25.0' },
    { native: 22, remnant: 12, says: '35 mm button 10 mm thick: together 22.0' },
    { native: 21, remnant: 12, says: '32 mm button 9 mm thick: together 21.0' },
    { native: 19, remnant: 12, says: '29 mm button 8 mm thick: together 20.0 mm, 1.0 mm thicker' },
  ])('keep $remnant mm of a kneecap of $native mm', ({ native, remnant, says }) => {
    const kneecap = aims('mechanical', {}, `patellaThickness=${native}mm`).kneecapRemnant!;
    expect(kneecap.value).toBeCloseTo(remnant, 9);
    expect(kneecap.method).toContain(says);
  });

  it('have their units and words', () => {
    const found = aims('mechanical', { femurValgus: 1 }, 'patellaThickness=22mm');
    expect(Object.fromEntries(Object.entries(found).map(([name, q]) => [name, [q.unit, q.positive]]))).toEqual({
      LDFA: ['deg', undefined],
      MPTA: ['deg', undefined],
      femurValgus: ['deg', 'valgus'],
      tibiaVarus: ['deg', 'varus'],
      tibiaSlope: ['deg', 'posteriorSlope'],
      femurRotation: ['deg', 'external'],
      femurCutDepth: ['mm', undefined],
      tibiaCutDepth: ['mm', undefined],
      limbVarus: ['deg', 'varus'],
      kneecapRemnant: ['mm', undefined],
    });
    // What is wanted by hand is wanted exactly.
    expect([found.femurValgus!.sd, found.LDFA!.sd, found.femurCutDepth!.sd]).toEqual([0, 0, 0]);
  });

  it('say nothing of a kneecap that nobody measured', () => {
    expect(aims('mechanical').kneecapRemnant).toBeUndefined();
  });
});

/** Source: limb within 3 deg of straight (trade notes, 2.1): a fence says so when a hand's wish breaks it. */
describe('one bone wanted by hand', () => {
  it('that takes the limb outside its fence is said in the plan: 5 valgus on a tibia of 1 varus is a limb of 4 valgus', () => {
    const leg = typedLeg('right', 'LDFA=88deg', 'MPTA=89deg', 'slope=5deg', 'shaftMechanical=3deg');
    const plan = planLeg(leg, demo, philosophy('restricted-kinematic'), { wanted: { femurValgus: 5 } });
    expect(plan.aims.limbVarus?.value).toBeCloseTo(-4, 6);
    const said = plan.findings.filter((f) => f.severity !== 'info').map((f) => f.message);
    expect(said.some((message) => message.includes('limb 3 varus to 3 valgus'))).toBe(true);
  });
});
