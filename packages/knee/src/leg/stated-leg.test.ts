import { covarianceOf, has, meanOf, meanVectorOf, sdOf } from '@kerfline/uncertainty';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { viewAtMean } from '../guides/leg-view.ts';
import { quantities } from './quantities.ts';
import { contactSites, wearName } from './sites.ts';
import { withStated } from './stated.ts';
import { stated, typedLeg, typedRanges, typedValues } from './stated-leg.fixture.ts';
import { legFromStated } from './stated-leg.ts';

const deg = (value: number): number => (value * 180) / Math.PI;

/** Design 5: sites are laid where every stated quantity has exactly its value; design 5 and 10: stated MPTA and HKA are clinical. */
describe('a typed leg', () => {
  const anyValues = fc.record(
    Object.fromEntries(
      Object.entries(typedRanges).map(([name, [min, max]]) => [name, fc.double({ min, max, noNaN: true })]),
    ),
  );
  const clinical: Readonly<Record<string, string>> = { MPTA: 'clinicalMPTA', HKA: 'clinicalHKA' };

  it('has exactly what was stated, to 1e-9 of its unit, with the spread stated', () => {
    fc.assert(
      fc.property(anyValues, (values) => {
        const leg = legFromStated('right', typedValues(values));
        const found = quantities(leg);
        for (const [name, value] of Object.entries(values)) {
          if (name.startsWith('wear')) {
            expect(meanOf(leg.belief, name)).toBe(value);
            expect(sdOf(leg.belief, name)).toBeCloseTo(0.7, 12);
            continue;
          }
          const q = found[clinical[name] ?? name]!;
          expect(Math.abs(q.value! - value), name).toBeLessThan(1e-9);
          expect(Math.abs(q.sd! - 0.7), `spread of ${name}`).toBeLessThan(1e-4);
        }
      }),
      { numRuns: 100 },
    );
  });

  it('keeps an examination and a patella as stated', () => {
    const leg = typedLeg(
      'left',
      'LDFA=88deg',
      'fixedFlexion=8deg',
      'laxityMedial0=3mm+-0.5',
      'patellaWidth=44mm',
      'trochlearTwist=4deg',
      'headRadius=24mm',
    );
    expect(deg(meanOf(leg.belief, 'fixedFlexion'))).toBeCloseTo(8, 12);
    // Source: a long goniometer reads to 3.6 deg (trade notes, section 1).
    expect(deg(sdOf(leg.belief, 'fixedFlexion'))).toBeCloseTo(3.6, 12);
    expect(meanOf(leg.belief, 'laxityMedial0')).toBe(3);
    expect(sdOf(leg.belief, 'laxityMedial0')).toBeCloseTo(0.5, 12);
    expect(quantities(leg).patellaWidth!.value).toBe(44);
    expect(quantities(leg).headRadius!.value).toBe(24);
    expect(quantities(leg).trochlearTwist!.value).toBeCloseTo(4, 9);
    expect(quantities(leg).trochlearTwist!.sd).toBeCloseTo(2.3, 3);
  });

  /** Source: design 5: MPTA and HKA clinical = measured - atan(ankleOffset / tibiaLength). */
  it('measured MPTA and HKA are the clinical ones and atan(ankle offset / length)', () => {
    fc.assert(
      fc.property(anyValues, (values) => {
        const q = quantities(legFromStated('left', typedValues(values)));
        const off = deg(Math.atan(values.ankleOffset! / values.tibiaLength!));
        expect(q.MPTA!.value! - q.clinicalMPTA!.value!).toBeCloseTo(off, 9);
        expect(q.HKA!.value! - q.clinicalHKA!.value!).toBeCloseTo(off, 9);
        expect(q.clinicalMPTA!.value!).toBeCloseTo(values.MPTA!, 9);
      }),
      { numRuns: 50 },
    );
  });

  it('has the canal and the crest of the shin exactly as stated, against the axis through the ankle centre', () => {
    const leg = typedLeg(
      'left',
      'tibialCanalVarus=2.5deg+-0.6',
      'tibialCanalSlope=-1.5deg+-0.9',
      'crestLean=4deg+-0.7',
      'ankleOffset=4mm',
      'tibiaLength=340mm',
    );
    const q = quantities(leg);
    expect(q.tibialCanalVarus!.value).toBeCloseTo(2.5, 9);
    expect(q.tibialCanalSlope!.value).toBeCloseTo(-1.5, 9);
    expect(q.crestLean!.value).toBeCloseTo(4, 9);
    expect(q.crestLean!.sd).toBeCloseTo(0.7, 2);
    expect(q.tibialCanalSlope!.sd).toBeCloseTo(0.9, 2);
  });

  it('with the lean of the canal in one view only takes people in general for the other, or leaves it unknown; both are said', () => {
    const front = typedLeg('left', 'tibialCanalVarus=1deg');
    expect(quantities(front).tibialCanalSlope).toMatchObject({ value: expect.closeTo(0, 3) });
    expect(front.findings.some((f) => f.code === 'population-value' && f.message.includes('tibialCanalSlope'))).toBe(
      true,
    );
    const side = typedLeg('left', 'tibialCanalSlope=1deg');
    expect(quantities(side).tibialCanalVarus).toMatchObject({ value: null });
    expect(side.findings.some((f) => f.code === 'canal-half-stated')).toBe(true);
  });

  /** Source: published values A3: HKA - 180 = MPTA - LDFA - JLCA. */
  it('has HKA 180 + MPTA - LDFA - JLCA from a stated JLCA, and JLCA from a stated HKA', () => {
    const opening = quantities(typedLeg('right', 'LDFA=88deg', 'MPTA=87deg', 'JLCA=3deg', 'ankleOffset=3mm'));
    expect(opening.clinicalHKA!.value).toBeCloseTo(176, 9);
    expect(opening.JLCA!.value).toBeCloseTo(3, 9);
    const limb = quantities(typedLeg('right', 'LDFA=88deg', 'MPTA=87deg', 'HKA=174.5deg', 'ankleOffset=3mm'));
    expect(limb.clinicalHKA!.value).toBeCloseTo(174.5, 9);
    // By hand: 87 - 88 - (174.5 - 180) = 4.5.
    expect(limb.JLCA!.value).toBeCloseTo(4.5, 9);
  });

  it('does not know limb and opening when neither was stated, and says so', () => {
    const q = quantities(typedLeg('right', 'LDFA=88deg', 'MPTA=87deg'));
    for (const name of ['HKA', 'clinicalHKA', 'JLCA', 'headRadius', 'cortexDepth', 'patellaThickness']) {
      expect(q[name], name).toMatchObject({ value: null, sd: null, unknown: 'not stated' });
    }
  });

  it('takes an HKA beside a JLCA as a second reading: both count by their precision', () => {
    const leg = typedLeg(
      'right',
      'LDFA=88deg+-0.7',
      'MPTA=87deg+-0.7',
      'JLCA=3deg+-0.7',
      'HKA=175.5deg+-0.7',
      'ankleOffset=0mm+-0',
    );
    expect(leg.findings.map((f) => f.code)).not.toContain('stated-disagrees');
    // The reading leaves its trace beside what was there.
    expect(Object.values(leg.sources).filter((source) => source.from === 'read')).toHaveLength(1);
    // By hand: from the bones 176 +/- 0.7 sqrt 3; stated 175.5 +/- 0.7; by precision (176/1.47 + 175.5/0.49)/(1/1.47 + 1/0.49).
    const q = quantities(leg).clinicalHKA!;
    expect(q.value).toBeCloseTo((176 / 1.47 + 175.5 / 0.49) / (1 / 1.47 + 1 / 0.49), 6);
    expect(q.sd).toBeCloseTo(Math.sqrt(1 / (1 / 1.47 + 1 / 0.49)), 4);
    // The identity still holds between the moved values, to what a first-order update leaves.
    const { LDFA, MPTA, JLCA, HKA } = quantities(leg);
    expect(HKA!.value! - 180).toBeCloseTo(MPTA!.value! - LDFA!.value! - JLCA!.value!, 4);
  });

  it('says when a stated HKA and JLCA cannot both be: 6 deg apart with spreads of 0.7', () => {
    const leg = typedLeg('right', 'LDFA=88deg', 'MPTA=87deg', 'JLCA=3deg', 'HKA=170deg');
    const conflict = leg.findings.find((f) => f.code === 'stated-disagrees')!;
    expect(conflict.severity).toBe('doubt');
    expect(conflict.message).toContain('170 deg');
    expect(conflict.message).toContain('176.0');
  });

  it('flags every population value with its source, and none that was stated', () => {
    const leg = typedLeg('right', 'LDFA=88deg', 'MPTA=87deg', 'tibiaSpan=330mm');
    const flagged = leg.findings.filter((f) => f.code === 'population-value').map((f) => f.message.split(' ')[0]);
    expect(flagged.sort()).toEqual(
      [
        'ankleOffset',
        'canalFlexion',
        'condylarTwist',
        'distalSpacing',
        'femurLength',
        'plateauSpacing',
        'posteriorSpacing',
        'shaftMechanical',
        'slope',
      ].sort(),
    );
    for (const f of leg.findings.filter((x) => x.code === 'population-value')) expect(f.severity).toBe('doubt');
    expect(leg.sources.shaftMechanical!.from).toBe('population');
    expect(leg.sources.LDFA!.from).toBe('typed');
  });

  /** Source: published values A29 to A35: a canal angle is not the same in all, so its default is never silent. */
  it('does not take the usual canal angle silently', () => {
    const says = (...texts: string[]) =>
      typedLeg('right', ...texts).findings.some((f) =>
        f.message.startsWith('shaftMechanical (canal to mechanical axis, front view) was not stated'),
      );
    expect(says('LDFA=88deg')).toBe(true);
    expect(says('LDFA=88deg', 'shaftMechanical=9deg')).toBe(false);
  });

  it('takes the span for the length of the tibia and the length for the span, flagged', () => {
    const fromSpan = typedLeg('right', 'LDFA=88deg', 'tibiaSpan=330mm+-2');
    expect(quantities(fromSpan).tibiaLength).toMatchObject({ value: expect.closeTo(330, 9), sd: expect.closeTo(2, 4) });
    expect(fromSpan.findings.map((f) => f.code)).toContain('length-from-span');
    const fromLength = typedLeg('right', 'LDFA=88deg', 'tibiaLength=342mm+-2');
    expect(quantities(fromLength).tibiaSpan).toMatchObject({ value: expect.closeTo(342, 9), sd: expect.closeTo(2, 4) });
    expect(fromLength.findings.map((f) => f.code)).toContain('span-from-length');
    const both = typedLeg('right', 'LDFA=88deg', 'tibiaLength=342mm', 'tibiaSpan=330mm');
    expect(quantities(both).tibiaLength!.value).toBeCloseTo(342, 9);
    expect(quantities(both).tibiaSpan!.value).toBeCloseTo(330, 9);
  });

  it('is laid out with medial sites medial, the hip up and the ankle down, in L, A, P', () => {
    const { belief } = typedLeg('left', 'LDFA=88deg', 'MPTA=87deg', 'slope=7deg', 'femurLength=410mm');
    for (const [medial, lateral] of [
      ['distalMedial', 'distalLateral'],
      ['posteriorMedial', 'posteriorLateral'],
      ['epicondyleMedial', 'epicondyleLateral'],
      ['plateauMedial', 'plateauLateral'],
    ] as const) {
      expect(meanVectorOf(belief, medial)[0]).toBeLessThan(0);
      expect(meanVectorOf(belief, lateral)[0]).toBeGreaterThan(0);
    }
    expect(meanVectorOf(belief, 'hipCentre')).toEqual([0, 0, 410]);
    expect(meanVectorOf(belief, 'malleolarMidpoint')[2]).toBeLessThan(-300);
    expect(meanVectorOf(belief, 'posteriorMedial')[1]).toBeLessThan(meanVectorOf(belief, 'distalMedial')[1]);
    // Back edge lower: the rear of the rim is more distal.
    expect(meanVectorOf(belief, 'medialRimRear')[2]).toBeLessThan(meanVectorOf(belief, 'medialRimFront')[2]);
  });

  it('has a joint covariance: what moves LDFA moves both distal contacts, against each other', () => {
    const { belief } = typedLeg('right', 'LDFA=88deg+-2');
    const n = belief.mean.length;
    const at = (name: string, axis: number): number => belief.slots.find((s) => s.name === name)!.at + axis;
    expect(belief.covariance[at('distalMedial', 2) * n + at('distalLateral', 2)]!).toBeLessThan(0);
    // By hand: half the spacing of 48 times 2 deg.
    expect(Math.sqrt(covarianceOf(belief, 'distalLateral')[2][2])).toBeCloseTo(24 * ((2 * Math.PI) / 180), 1);
  });
});

/** Source: trade notes, 2.6.2 and hazard 10: wear lives in one place; bone lost beyond the cartilage is bone that has gone back. */
describe('layers at a contact', () => {
  it('of a typed leg: the site is the intact surface, the bone now lies back by the wear', () => {
    const view = viewAtMean(typedLeg('right', 'LDFA=88deg', 'wearDistalMedial=2.3mm'), 'femur');
    expect(view.layers('distalMedial')).toEqual({ intactOut: 0, nowOut: -2.3 });
    expect(view.layers('distalLateral').nowOut).toBeCloseTo(0, 12);
  });

  /** Whole cartilage 2.4 mm at the femur, 2.5 and 3.5 mm at the plateaus (published values C17; recalled). */
  it.each([
    { wear: 0, intactOut: 2.4, nowOut: 2.4 },
    { wear: 1, intactOut: 2.4, nowOut: 1.4 },
    { wear: 2.4, intactOut: 2.4, nowOut: 0 },
    { wear: 4, intactOut: 4, nowOut: 0 },
  ])(
    'of a scan with $wear mm lost: intact $intactOut, now $nowOut mm out from the bone',
    ({ wear, intactOut, nowOut }) => {
      const typed = typedLeg('right', 'LDFA=88deg', `wearDistalMedial=${wear}mm`);
      const scanned = withStated({ ...typed, contactsOn: 'bone' }, []);
      const layers = viewAtMean(scanned, 'femur').layers('distalMedial');
      expect(layers.intactOut).toBeCloseTo(intactOut, 12);
      expect(layers.nowOut).toBeCloseTo(nowOut, 12);
      expect(scanned.findings.map((f) => f.code)).toContain('cartilage-assumed');
    },
  );

  it('that nobody spoke of are none lost, flagged once with their names', () => {
    const leg = typedLeg('right', 'LDFA=88deg', 'wearDistalMedial=2mm');
    for (const site of contactSites) expect(has(leg.belief, wearName(site))).toBe(true);
    const said = leg.findings.filter((f) => f.code === 'wear-not-stated');
    expect(said).toHaveLength(1);
    expect(said[0]!.message).toContain('distal lateral');
    expect(said[0]!.message).not.toContain('distal medial,');
    const all = typedLeg('right', 'LDFA=88deg', ...contactSites.map((site) => `${wearName(site)}=1mm`));
    expect(all.findings.map((f) => f.code)).not.toContain('wear-not-stated');
  });
});

describe('a reading of what a leg knows already', () => {
  const leg = typedLeg('right', 'LDFA=88deg+-0.7', 'MPTA=87deg+-1', 'ankleOffset=3mm+-0', 'tibiaLength=350mm+-0');

  /** By hand: two readings by their precision. */
  it.each([
    { text: 'LDFA=89deg+-0.7', name: 'LDFA', value: 88.5, sd: 0.7 / Math.SQRT2 },
    { text: 'LDFA=89deg+-0.35', name: 'LDFA', value: 88.8, sd: 1 / Math.sqrt(1 / 0.49 + 1 / 0.1225) },
    { text: 'MPTA=88deg+-1', name: 'clinicalMPTA', value: 87.5, sd: 1 / Math.SQRT2 },
    { text: 'femurLength=400mm+-30', name: 'femurLength', value: 410, sd: 30 / Math.SQRT2 },
  ])('$text makes $value', ({ text, name, value, sd }) => {
    const q = quantities(withStated(leg, stated(text)))[name]!;
    expect(q.value).toBeCloseTo(value, 2);
    // A first-order update: the spacings, known to 3 mm, turn a degree moved into a fiftieth of spread.
    expect(Math.abs(q.sd! / sd - 1)).toBeLessThan(0.03);
  });

  it('that is exact is taken whole, to what a first-order update of one degree leaves', () => {
    const q = quantities(withStated(leg, stated('LDFA=89deg+-0'))).LDFA!;
    expect(q.value).toBeCloseTo(89, 2);
    // By hand: 3.5 mm of 48 mm spacing, times the difference of tan 2 and tan 1.
    expect(q.sd).toBeLessThan(0.08);
  });

  it('that lies beyond three spreads is said; within, it is not', () => {
    // By hand: both spreads together 0.99, so 2.9 and 3.1 away from 88.
    const codes = (text: string) => withStated(leg, stated(text)).findings.map((f) => f.code);
    expect(codes('LDFA=90.9deg+-0.7')).not.toContain('stated-disagrees');
    expect(codes('LDFA=91.1deg+-0.7')).toContain('stated-disagrees');
  });

  it('moves what hangs together with it: an HKA that is stated moves LDFA, MPTA and JLCA, and the identity holds', () => {
    const known = typedLeg('right', 'LDFA=88deg+-1', 'MPTA=87deg+-1', 'JLCA=3deg+-1', 'ankleOffset=0mm+-0');
    const q = quantities(withStated(known, stated('HKA=173deg+-1')));
    // By hand: 176 +/- sqrt 3 meets 173 +/- 1: three quarters of the way, 2.25 more varus, shared alike by three.
    expect(q.clinicalHKA!.value).toBeCloseTo(173.75, 3);
    expect(q.LDFA!.value).toBeCloseTo(88.75, 2);
    expect(q.clinicalMPTA!.value).toBeCloseTo(86.25, 2);
    expect(q.JLCA!.value).toBeCloseTo(3.75, 2);
  });
});
