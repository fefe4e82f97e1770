import { readFileSync } from 'node:fs';
import type { Vec3 } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom, withLinks } from '../kits/kit.fixture.ts';
import { boneByHand } from './bone-by-hand.fixture.ts';
import { neutralSettings } from './choices.ts';
import type { LegView } from './leg-view.ts';
import { linkErrors } from './link-errors.ts';
import { slopOf } from './links/core.ts';
import { outputsOf } from './outputs.ts';
import { nothingMade } from './placement.ts';
import type { Errors, Settings } from './setting.ts';
import { solveGuide } from './solve.ts';
import { walk } from './walker.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const core = guideOf(demo, 'tibia-core');
const rad = (deg: number): number => (deg * Math.PI) / 180;
const deg = (value: number): number => (value * 180) / Math.PI;

/** A shin whose canal leans so that a cut square to it is `varus` and slopes back by `slope` (degrees). */
function shinWithCanal(varus: number, slope: number, canalWidth?: number): LegView {
  const along = (p: number): Vec3 => [-Math.tan(rad(varus)) * p, -Math.tan(rad(slope)) * p, p];
  return boneByHand('tibia', {
    sites: {
      tibialKneeCentre: [0, 0, 0],
      plateauMedial: [-21, 0, -8],
      plateauLateral: [21, 0, -8],
      tibialCanalLow: along(-220),
      tibialCanalHigh: along(-60),
    },
    numbers: { tibiaSpan: 350, ...(canalWidth === undefined ? {} : { tibialCanalWidth: canalWidth }) },
  });
}

function angles(leg: LegView, set: Settings, errors: Errors = {}): { readonly v: number; readonly p: number } {
  const settings = { ...neutralSettings(core, demo.components, 'right'), ...set };
  const out = outputsOf(walk(core, leg, settings, demo.components, nothingMade, errors), leg);
  return { v: deg(out.tibiaVarus!), p: deg(out.tibiaSlope!) };
}

describe('a rod in the tibial canal', () => {
  /** Source: trade notes, 2.9, common practice: a canal-referenced cut with a straight collar is square to the canal. */
  it('with straight collars cuts square to the canal', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -4, max: 4, noNaN: true }),
        fc.double({ min: -4, max: 4, noNaN: true }),
        (varus, slope) => {
          const found = angles(shinWithCanal(varus, slope), {});
          expect(found.v).toBeCloseTo(varus, 9);
          expect(found.p).toBeCloseTo(slope, 9);
        },
      ),
    );
  });

  /** Source: trade notes, 2.4: v = v_canal + collar, and the slope built in. */
  it.each([
    { varus: 0, collar: 0, slope: 5 },
    { varus: 1.5, collar: -2, slope: 3 },
    { varus: -1, collar: 3, slope: 7 },
  ])('of a canal in $varus with a collar of $collar and a head of $slope adds them', ({ varus, collar, slope }) => {
    const found = angles(shinWithCanal(varus, 0), { collar: { value: collar }, head: { value: slope } });
    // The two turns are made one after the other, so that the closed form holds to the square of small angles.
    expect(found.v).toBeCloseTo(varus + collar, 1);
    expect(found.p).toBeCloseTo(slope, 1);
  });

  it('is planned: a varus of 3 on a canal of 1 takes a collar of 2', () => {
    const leg = shinWithCanal(1, 0);
    const targets = [
      { output: 'tibiaVarus' as const, value: rad(3), tolerance: rad(1) },
      { output: 'tibiaSlope' as const, value: rad(5), tolerance: rad(1) },
    ];
    const solved = solveGuide({ guide: core, leg, components: demo.components, made: nothingMade, targets });
    expect(solved.settings.collar!.value).toBe(2);
    expect(solved.settings.head!.value).toBe(5);
  });

  /** Source: trade notes, 2.4: 3 mm over 250 mm is 0.7 deg. */
  it('whose entry hole is 3 mm off over 250 mm leans by 0.69 deg, and the cut with it', () => {
    // The hole is above, the deep end below: a hole to lateral leans the rod to lateral going up, which is valgus.
    expect(angles(shinWithCanal(0, 0), {}, { 'rod.entryLateral': 3 }).v).toBeCloseTo(-deg(Math.atan(3 / 250)), 2);
    expect(angles(shinWithCanal(0, 0), {}, { 'rod.entryAnterior': 3 }).p).toBeCloseTo(-deg(Math.atan(3 / 250)), 2);
  });

  it('on a femur the hole is below the deep end: 5 mm to medial over 200 mm leans it 1.43 deg more to lateral going up', () => {
    const femoral = guideOf(demo, 'canal-core');
    const thigh = boneByHand('femur', {
      sites: {
        hipCentre: [0, 0, 430],
        femoralCanalLow: [0, 8, 100],
        femoralCanalHigh: [0, 8, 200],
        distalMedial: [-24, 0, -8],
        distalLateral: [24, 0, -8],
      },
    });
    const settings = { ...neutralSettings(femoral, demo.components, 'right'), collar: { value: 6 } };
    const valgus = (errors: Errors) =>
      deg(outputsOf(walk(femoral, thigh, settings, demo.components, nothingMade, errors), thigh).femurValgus!);
    // Source: trade notes, 1, [G]: 5 / 200 is 1.4 deg; a rod that leans to lateral takes that much from the collar.
    expect(valgus({ 'rod.entryLateral': -5 }) - valgus({})).toBeCloseTo(-deg(Math.atan(5 / 200)), 2);
  });
});

describe('the play of a rod', () => {
  /** Source: trade notes, 1, [G]. */
  it.each([
    { canal: 14, rod: 8, engaged: 200, slop: 1.7 },
    { canal: 16, rod: 8, engaged: 150, slop: 3.1 },
    { canal: 8, rod: 8, engaged: 200, slop: 0 },
    { canal: 7, rod: 8, engaged: 200, slop: 0 },
  ])('of $rod mm in a canal of $canal over $engaged mm is $slop deg', ({ canal, rod, engaged, slop }) => {
    expect(deg(slopOf(canal, rod, engaged))).toBeCloseTo(slop, 1);
  });

  it('widens its spread on a leg whose canal is known to be wide: evenly, so by the play over the square root of 3', () => {
    const sdOf = (leg: LegView): number => linkErrors(core, leg).find((e) => e.key === 'rod.coronal')!.sd;
    const [plain, wide] = [sdOf(shinWithCanal(0, 0)), sdOf(shinWithCanal(0, 0, 18))];
    expect(plain).toBe(0.8);
    expect(wide ** 2 - plain ** 2).toBeCloseTo(deg(Math.atan(10 / 250)) ** 2 / 3, 9);
  });
});

describe('metal that is not as engraved', () => {
  it('a collar that was measured 0.5 steeper cuts 0.5 steeper, and is planned with that in mind', () => {
    const worn = withLinks(core, { head: { bias: 0.5, values: [0, 2, 4, 4.5] } });
    const leg = shinWithCanal(0, 0);
    const settings = { ...neutralSettings(worn, demo.components, 'right'), head: { value: 4.5 } };
    const out = outputsOf(walk(worn, leg, settings, demo.components, nothingMade), leg);
    expect(deg(out.tibiaSlope!)).toBeCloseTo(5, 9);
    const targets = [{ output: 'tibiaSlope' as const, value: rad(5), tolerance: rad(1) }];
    const solved = solveGuide({ guide: worn, leg, components: demo.components, made: nothingMade, targets });
    expect(solved.settings.head!.value).toBe(4.5);
  });

  it.each([
    { link: 'slit', bias: 0.3, deeper: 0.3 },
    { link: 'feeler', bias: 0.4, deeper: 0.4 },
    { link: 'fine', bias: 0.25, deeper: 0.25 },
    { link: 'pins', bias: 0.2, deeper: 0.2 },
  ])('$link worn by $bias mm lies $deeper mm deeper', ({ link, bias, deeper }) => {
    const leg = shinWithCanal(0, 0);
    const depth = (guide: typeof core): number =>
      outputsOf(walk(guide, leg, neutralSettings(guide, demo.components, 'right'), demo.components, nothingMade), leg)
        .tibiaCutDepth!;
    expect(depth(withLinks(core, { [link]: { bias } })) - depth(core)).toBeCloseTo(deeper, 12);
  });

  it('a lock that jumps widens the spread of what it locks, play by its width over the square root of 12', () => {
    const sdOf = (change: object): number =>
      linkErrors(withLinks(core, { fine: { sd: 0.1, backlash: 0, ...change } })).find((e) => e.key === 'fine')!.sd;
    expect(sdOf({})).toBeCloseTo(0.1, 12);
    expect(sdOf({ lockJump: { mm: 0.24, deg: 9 } })).toBeCloseTo(0.26, 12);
    expect(sdOf({ backlash: 0.24 * Math.sqrt(12) })).toBeCloseTo(0.26, 12);
  });
});
