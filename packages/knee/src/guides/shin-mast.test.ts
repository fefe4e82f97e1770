import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom, linkOf, withLinks } from '../kits/kit.fixture.ts';
import { boneByHand, shin } from './bone-by-hand.fixture.ts';
import { neutralSettings } from './choices.ts';
import type { LegView } from './leg-view.ts';
import { outputsOf, resectionFromIntact, rodAtAnkle } from './outputs.ts';
import { nothingMade } from './placement.ts';
import type { Errors } from './setting.ts';
import { solveGuide } from './solve.ts';
import { callText } from './speak.ts';
import { walk } from './walker.ts';

const root = new URL('../../../../', import.meta.url);
const demo = kitFrom(readFileSync(new URL('kits/demo/kit.json', root), 'utf8'));
const mast = guideOf(demo, 'shin-mast');
const deg = (value: number): number => (value * 180) / Math.PI;
const rad = (value: number): number => (value * Math.PI) / 180;

/** `m` ankle slide toward medial, `a` front slide (mm); `rd` yoke turn, `rp` head turn, `p0` head (deg). */
interface Set {
  readonly m?: number;
  readonly a?: number;
  readonly rd?: number;
  readonly rp?: number;
  readonly p0?: number;
  readonly feeler?: number;
  readonly site?: string;
  readonly fine?: number;
  readonly row?: string;
}

const settingsOf = ({
  m = 0,
  a = 0,
  rd = 0,
  rp = 0,
  p0 = 0,
  feeler = 0,
  site = 'plateauLateral',
  fine = 0,
  row = 'm0',
}: Set) => ({
  ...neutralSettings(mast, demo.components, 'right'),
  ankleSlide: { value: m },
  frontSlide: { value: a },
  yokeTurn: { value: rd },
  headTurn: { value: rp },
  head: { value: p0 },
  feeler: { value: feeler, site },
  fine: { value: fine },
  pins: { value: 0, row },
});

const placed = (leg: LegView, set: Set, errors: Errors = {}) =>
  walk(mast, leg, settingsOf(set), demo.components, nothingMade, errors);

/** Varus and slope of the cut, degrees. */
function cut(leg: LegView, set: Set, errors: Errors = {}): { readonly v: number; readonly p: number } {
  const out = outputsOf(placed(leg, set, errors), leg);
  return { v: deg(out.tibiaVarus!), p: deg(out.tibiaSlope!) };
}

/** Source: worked vectors of the trade notes, 3.4; ankle offset 3, span 350, head 3. */
describe('the shin mast, forward', () => {
  it.each([
    { m: 3, a: 0, rd: 0, rp: 0, v: 0.0, p: 3.0 },
    { m: 0, a: 0, rd: 0, rp: 0, v: 0.491, p: 3.0 },
    { m: 3, a: 12.22, rd: 0, rp: 0, v: 0.0, p: 5.0 },
    { m: 3, a: 12.22, rd: 10, rp: 10, v: 0.878, p: 5.009 },
    { m: 3, a: 12.22, rd: 0, rp: 10, v: 0.523, p: 4.954 },
    { m: 3, a: 12.22, rd: 10, rp: 0, v: 0.355, p: 5.055 },
    { m: 3, a: 0, rd: 0, rp: 10, v: 0.521, p: 2.955 },
    { m: -9.22, a: 12.21, rd: 0, rp: 0, v: 2.0, p: 5.0 },
    { m: 12.17, a: 0, rd: 0, rp: 0, v: -1.501, p: 3.001 },
  ])('slide $m medial, $a forward, yoke $rd, head $rp out: $v varus, $p slope deg', ({ v, p, ...set }) => {
    const found = cut(shin({ c: 3, span: 350 }), { ...set, p0: 3 });
    // Settings and angles are printed to two and three digits: 0.01 mm over 350 mm is 0.0016 deg.
    expect(Math.abs(found.v - v)).toBeLessThan(0.0005 + (set.a === 0 && set.m % 1 === 0 ? 0 : 0.0016));
    expect(Math.abs(found.p - p)).toBeLessThan(0.0005 + (set.a === 0 ? 0 : 0.0016));
  });

  it('left and right of it: the knee end 15 mm off the centre over 350 mm is 2.45 deg (trade notes, 2.3 line 29)', () => {
    expect(cut(shin({ c: 3, span: 350 }), { m: 3 }, { 'mast.lateral': 15 }).v).toBeCloseTo(-2.45, 2);
    expect(cut(shin({ c: 3, span: 350 }), { m: 3 }, { 'mast.lateral': -15 }).v).toBeCloseTo(2.45, 2);
  });

  /** Source: the formula of the trade notes, 2.3, for a straight yoke and head and a head without slope, where it is exact. */
  it('varus is atan((c - m - xp) / span) and slope atan(a / span) to 1e-9 deg', () => {
    for (const [c, m, xp, a, span] of [
      [3, -14.3, 0, 5.7, 330],
      [2, 9, 1.5, 22, 402],
      [4, 0, -2, 0, 288],
    ] as const) {
      const found = cut(shin({ c, span, xp }), { m, a });
      expect(found.v).toBeCloseTo(deg(Math.atan((c - m - xp) / span)), 9);
      expect(found.p).toBeCloseTo(deg(Math.atan(a / span)), 9);
    }
  });
});

interface Examples {
  readonly slope_rotation_coupling: {
    readonly published_points: readonly { slope: number; rotation: number; coronal: number }[];
    readonly table: readonly { slope: number; rotation: number; coronal: number; sagittal: number }[];
  };
  readonly ankle_slide_per_degree: {
    readonly table: readonly { L: number; mm_per_degree: number; mm_for_3_degrees_tan: number }[];
  };
  readonly extramedullary_guide_ankle_rotation: {
    readonly table: readonly { D: number; phi: number; H: number; coronal: number }[];
  };
}
const examples = JSON.parse(
  readFileSync(new URL('fixtures/published/derived-worked-examples/values.json', root), 'utf8'),
) as Examples;

/** Source: plane geometry D5 (fixtures/published/derived-worked-examples), four decimals printed; mast upright, head turned. */
describe('a head of built-in slope that is turned out', () => {
  const { table, published_points } = examples.slope_rotation_coupling;

  it('has 24 rows and two published points to compare', () => {
    expect([table.length, published_points.length]).toEqual([24, 2]);
  });

  it.each(table)(
    '$slope deg turned $rotation out: $coronal varus, $sagittal slope',
    ({ slope, rotation, coronal, sagittal }) => {
      const found = cut(shin(), { p0: slope, rp: rotation });
      expect(Math.abs(found.v - coronal)).toBeLessThan(6e-5);
      expect(Math.abs(found.p - sagittal)).toBeLessThan(6e-5);
      expect(found.v).toBeCloseTo(deg(Math.atan(Math.tan(rad(slope)) * Math.sin(rad(rotation)))), 9);
      expect(found.p).toBeCloseTo(deg(Math.atan(Math.tan(rad(slope)) * Math.cos(rad(rotation)))), 9);
    },
  );

  /** Source: Tsukeoka, Tsuneizumi, Lee, Bone Joint J 2013;95-B:1201 (abstract), one decimal printed. */
  it.each(published_points)(
    'published: $slope deg turned $rotation makes $coronal varus',
    ({ slope, rotation, coronal }) => {
      expect(Math.abs(cut(shin(), { p0: slope, rp: rotation }).v - coronal)).toBeLessThan(0.06);
    },
  );

  it('turned in instead it makes as much valgus', () => {
    expect(cut(shin(), { p0: 7, rp: -20 }).v).toBeCloseTo(-cut(shin(), { p0: 7, rp: 20 }).v, 12);
  });
});

/** Source: plane geometry D7 (fixtures/published/derived-worked-examples), three decimals printed. */
describe('a rod that stands off in front while the yoke is turned', () => {
  it.each(examples.extramedullary_guide_ankle_rotation.table)(
    '$D mm off, turned $phi, shin $H mm: $coronal deg varus',
    ({ D, phi, H, coronal }) => {
      expect(Math.abs(cut(shin({ span: H }), { a: D, rd: phi }).v - coronal)).toBeLessThan(6e-4);
    },
  );
});

const wide = withLinks(mast, { ankleSlide: { range: [-40, 40] }, head: { values: [0] } });
const target = (output: 'tibiaVarus' | 'tibiaSlope', angle: number) => ({
  output,
  value: rad(angle),
  tolerance: rad(1),
});

/** Source: ankle slide D1 (fixtures/published/derived-worked-examples); 3 deg at 400 mm needs 21 mm, more than the demo kit has. */
describe('the ankle slide that a varus asks for', () => {
  it.each(examples.ankle_slide_per_degree.table)(
    'shin $L mm: $mm_per_degree mm for 1 deg, $mm_for_3_degrees_tan mm for 3',
    ({ L, mm_per_degree, mm_for_3_degrees_tan }) => {
      const slide = (v: number): number => {
        const problem = { leg: shin({ span: L }), components: demo.components, made: nothingMade };
        const targets = [target('tibiaVarus', v), target('tibiaSlope', 0)];
        return solveGuide({ ...problem, guide: wide, targets }).settings.ankleSlide!.value;
      };
      expect(Math.abs(slide(1) + mm_per_degree)).toBeLessThan(6e-5);
      expect(Math.abs(slide(3) + mm_for_3_degrees_tan)).toBeLessThan(6e-5);
      expect(Math.abs(slide(-3) - mm_for_3_degrees_tan)).toBeLessThan(6e-5);
    },
  );
});

/** Source: trade notes, 3.4: target (2, 5) with head 3 needs m = -9.22 and a = 12.21; the closed form gives 12.22. */
it('the shin mast, inverse: 2 varus and 5 slope with head 3 need 9.22 mm lateral and 12.21 mm forward', () => {
  const { settings } = solveGuide({
    guide: withLinks(mast, { head: { values: [3] } }),
    leg: shin({ c: 3, span: 350 }),
    components: demo.components,
    made: nothingMade,
    targets: [target('tibiaVarus', 2), target('tibiaSlope', 5)],
  });
  expect(settings.ankleSlide!.value).toBeCloseTo(-9.22, 2);
  expect(settings.frontSlide!.value).toBeCloseTo(12.21, 2);
});

/** Source: table of habits of the trade notes, section 1, "scale marks". */
describe('marks that are 6.98 mm apart', () => {
  it.each([
    { span: 400, worth: 1.0 },
    { span: 320, worth: 1.25 },
    { span: 450, worth: 0.89 },
  ])('are $worth deg each on a span of $span mm', ({ span, worth }) => {
    const leg = shin({ span });
    expect(cut(leg, { m: -6.98 }).v - cut(leg, { m: 0 }).v).toBeCloseTo(worth, 2);
  });

  it('three of them on a 320 mm shin are 3.74 deg, not 3', () => {
    expect(cut(shin({ span: 320 }), { m: -3 * 6.98 }).v).toBeCloseTo(3.74, 2);
  });
});

/** Source: exercises 1 to 4 of the trade notes, section 8; tolerance 0.1 deg and 0.1 mm as stated there, or the digits given. */
describe('exercises', () => {
  it('1: two marks of 6.98 mm on a leg of 330 mm are 2.42 deg', () => {
    expect(cut(shin({ span: 330 }), { m: -2 * 6.98 }).v).toBeCloseTo(2.42, 2);
  });

  it('2: an ankle centre 3 mm medial of the malleolar middle, slide at 0: 0.49 varus; 3 mm medial mends it', () => {
    const leg = shin({ c: 3, span: 350 });
    expect(cut(leg, { m: 0 }).v).toBeCloseTo(0.49, 2);
    expect(cut(leg, { m: 3 }).v).toBeCloseTo(0, 9);
  });

  it('3: 5 deg of slope from a head of 3 on 350 mm: 12.2 mm forward, 1.75 marks of 7 mm', () => {
    const { settings } = solveGuide({
      guide: withLinks(mast, { head: { values: [3] } }),
      leg: shin({ span: 350 }),
      components: demo.components,
      made: nothingMade,
      targets: [target('tibiaVarus', 0), target('tibiaSlope', 5)],
    });
    expect(settings.frontSlide!.value).toBeCloseTo(12.2, 1);
    expect(settings.frontSlide!.value / 7).toBeCloseTo(1.75, 2);
  });

  it('4: the whole head of 5 deg turned 10 out makes 0.87 varus, of 7 turned 20 makes 2.40', () => {
    expect(cut(shin(), { p0: 5, rp: 10 }).v).toBeCloseTo(0.87, 2);
    expect(cut(shin(), { p0: 7, rp: 20 }).v).toBeCloseTo(2.4, 2);
  });
});

describe('the depth of a tibial cut', () => {
  const leg = shin({ lateralUp: 2 });
  const depth = (set: Set, errors: Errors = {}): number =>
    resectionFromIntact(placed(leg, set, errors).cuts[0]!, leg, 'plateauLateral');

  it('is the number on the feeler below the point it touches', () => {
    for (const feeler of [0, 2, 8, 9, 10]) {
      expect(depth({ feeler })).toBeCloseTo(feeler, 12);
      // By hand: the medial plateau lies 2 mm lower, and the cut is square to the shin.
      expect(depth({ feeler, site: 'plateauMedial' })).toBeCloseTo(feeler + 2, 12);
    }
  });

  it('grows with the screw and the pin row, each toward distal', () => {
    expect(depth({ feeler: 8, fine: 2.5 })).toBeCloseTo(10.5, 12);
    expect(depth({ feeler: 8, fine: -1.25 })).toBeCloseTo(6.75, 12);
    expect(depth({ feeler: 8, row: 'm4' })).toBeCloseTo(12, 12);
    expect(depth({ feeler: 8, row: 'mUp2' })).toBeCloseTo(6, 12);
  });

  it('is square to the cut: 10 mm below the point touched however far the cut leans', () => {
    expect(depth({ feeler: 10, m: -15, a: 20, p0: 7 })).toBeCloseTo(10, 9);
  });

  it('hangs from the worn surface, so that 3 mm of wear under the feeler make it 3 mm deeper from intact', () => {
    const worn = boneByHand('tibia', {
      sites: {
        tibialKneeCentre: [0, 0, 0],
        malleolarMidpoint: [0, 0, -350],
        plateauMedial: [-24, 0, -8],
        plateauLateral: [24, 0, -8],
      },
      numbers: { tibiaSpan: 350 },
      layers: { plateauMedial: { intactOut: 0, nowOut: -3 } },
    });
    const made = placed(worn, { feeler: 2, site: 'plateauMedial' }).cuts[0]!;
    expect(resectionFromIntact(made, worn, 'plateauMedial')).toBeCloseTo(5, 12);
    expect(resectionFromIntact(made, worn, 'plateauLateral')).toBeCloseTo(5, 12);
  });

  /** Source: trade notes, 3.4: pitch 1.25, so 2.5 mm deeper is 2 turns. */
  it('2.5 mm deeper is called as 2 turns toward the foot', () => {
    expect(callText(linkOf(mast, 'fine'), { value: 2.5 }, 'left')).toBe('Fine screw 2 turns toward the foot: 2.5 mm');
  });

  /** Source: rod at the ankle, trade notes 4.1: 6.283 mm for each degree at 360 mm; lateral for varus. */
  it('a rod square to a cut of 1 varus passes 6.28 mm lateral of the ankle centre, 360 mm below', () => {
    const straight = shin({ span: 360 });
    const plane = placed(straight, { m: -360 * Math.tan(rad(1)) }).cuts[0]!;
    expect(rodAtAnkle(plane, 360)).toBeCloseTo(6.28, 2);
  });
});
