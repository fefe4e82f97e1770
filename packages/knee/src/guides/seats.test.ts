import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { guideOf, kitFrom, linkOf, withLinks } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { shin } from './bone-by-hand.fixture.ts';
import { checkSetting, rowsOfOtherSeats } from './check-setting.ts';
import { neutralSettings } from './choices.ts';
import type { PinLink, SeatLink } from './guide.ts';
import { outputsOf } from './outputs.ts';
import { nothingMade } from './placement.ts';
import { calledOf, planLeg } from './plan.ts';
import { recuts } from './recuts.ts';
import { rowsFor, seatLateralMm, seatsFor } from './seats.ts';
import { callText } from './speak.ts';
import { walk } from './walker.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const mast = guideOf(demo, 'shin-mast');
const seat = linkOf(mast, 'seat') as SeatLink;
const pins = linkOf(mast, 'pins') as PinLink;
const deg = (value: number): number => (value * 180) / Math.PI;

/** Source: trade notes, row 29: the block beside the mast moves within the plane of the cut, so that no angle changes. */
describe('a seat beside the mast', () => {
  const leg = { ...shin({ c: 3, lateralUp: 2 }), side: 'left' as const };
  const at = (id: string) => {
    const settings = {
      ...neutralSettings(mast, demo.components, 'left'),
      ankleSlide: { value: -7 },
      frontSlide: { value: 6 },
      head: { value: 5 },
      feeler: { value: 9, site: 'plateauLateral' },
      seat: { value: 0, seat: id },
      pins: { value: 0, row: rowsFor(pins, id).find((r) => r.offsetMm === 0)!.id },
    };
    const placed = walk(mast, leg, settings, demo.components, nothingMade);
    return { out: outputsOf(placed, leg), block: placed.placed.get('slit')!.origin };
  };

  it('leaves every angle and depth as it is, and moves the block 15 mm to medial on the knee it is made for', () => {
    const [middle, own] = [at('middle'), at('left')];
    for (const name of ['tibiaVarus', 'tibiaSlope', 'tibiaCutDepth'] as const) {
      expect(own.out[name]).toBeCloseTo(middle.out[name]!, 12);
    }
    expect(Math.hypot(...own.block.map((v, k) => v - middle.block[k]!))).toBeCloseTo(15, 12);
    expect(own.block[0] - middle.block[0]).toBeLessThan(-14.9);
  });

  it('of the other side moves it as far to lateral: what is fixed in metal does not mirror', () => {
    expect(seatLateralMm(seat.seats.find((s) => s.id === 'left')!, 'left')).toBe(-15);
    expect(seatLateralMm(seat.seats.find((s) => s.id === 'right')!, 'right')).toBe(-15);
    expect(seatLateralMm(seat.seats.find((s) => s.id === 'left')!, 'right')).toBe(15);
    expect(at('right').block[0] - at('middle').block[0]).toBeGreaterThan(14.9);
  });

  /** Source: trade notes, row 29 [G]: a mast dragged 15 mm off centre over 350 mm is 2.45 deg. */
  it('whose mast is then dragged 15 mm off centre over 350 mm tilts the cut by 2.45 deg', () => {
    const dragged = withLinks(mast, { mast: { topOffMm: { lateral: 15, anterior: 0 } } });
    const varus = (guide: typeof mast) => {
      const settings = neutralSettings(guide, demo.components, 'right');
      const leg0 = shin();
      return deg(outputsOf(walk(guide, leg0, settings, demo.components, nothingMade), leg0).tibiaVarus!);
    };
    expect(Math.abs(varus(dragged) - varus(mast))).toBeCloseTo(2.45, 2);
  });

  it('is called by its word and by where the block then hangs', () => {
    expect(callText(seat, { value: -15, seat: 'left' }, 'left')).toBe(
      'Seat LEFT: block 15 mm medial of the mast, toward the other leg',
    );
    expect(callText(seat, { value: 0, seat: 'middle' }, 'left')).toBe('Seat MIDDLE: block in line with the mast');
  });
});

describe('rows of holes', () => {
  it('are those of the seat', () => {
    expect(rowsFor(pins, 'left').map((r) => r.id)).toEqual(['left0', 'left2', 'left4']);
    expect(seatsFor(seat, 'left').map((s) => s.id)).toEqual(['middle', 'left']);
    expect(seatsFor(seat, 'right').map((s) => s.id)).toEqual(['middle', 'right']);
  });

  it('of another seat are refused with those that may be used', () => {
    const said = { guide: 'shin-mast', link: 'pins', value: 2, unit: 'mm', row: 'right2' } as const;
    const checked = checkSetting(demo, said, 'left', 'left');
    expect(checked).toMatchObject({ ok: false, error: { kind: 'wrong-row' } });
    if (!checked.ok) expect(checked.error.message).toContain('left0 (0 mm), left2 (2 mm), left4 (4 mm)');
    expect(checkSetting(demo, { ...said, row: 'left2' }, 'left', 'left')).toEqual({
      ok: true,
      value: { value: 2, row: 'left2' },
    });
  });

  it('of no such name, or at another depth than said, are refused', () => {
    const said = { guide: 'shin-mast', link: 'pins', value: 2, unit: 'mm' } as const;
    expect(checkSetting(demo, { ...said, row: 'm9' }, 'left', 'middle')).toMatchObject({
      error: { kind: 'unknown-row' },
    });
    expect(checkSetting(demo, { ...said, row: 'm4' }, 'left', 'middle')).toMatchObject({
      error: { kind: 'off-detent' },
    });
    expect(checkSetting(demo, said, 'left', 'middle')).toEqual({ ok: true, value: { value: 2, row: 'm2' } });
  });
});

describe('a seat chosen by hand', () => {
  const plan = (chosen: Parameters<typeof planLeg>[3]) =>
    planLeg(typedLeg('left', 'LDFA=88deg', 'MPTA=87deg', 'slope=6deg'), demo, philosophy('mechanical'), chosen);

  it('has its own rows called, at the same depth', () => {
    const [middle, left] = [plan({}), plan({ chosen: { 'shin-mast': { seat: { value: -15, seat: 'left' } } } })];
    const row = (p: typeof middle) => calledOf(p)['shin-mast']!.pins;
    expect(row(middle)).toEqual({ value: 0, row: 'm0' });
    expect(row(left)).toEqual({ value: 0, row: 'left0' });
    expect(rowsOfOtherSeats(demo, calledOf(left))).toEqual([]);
  });

  it('with the row of another is a fault that asks for the row again', () => {
    const set = { 'shin-mast': { seat: { value: -15, seat: 'left' }, pins: { value: 0, row: 'm0' } } };
    expect(rowsOfOtherSeats(demo, set)).toMatchObject([{ code: 'wrong-row', severity: 'error' }]);
  });
});

/** By hand: rows lie 2 and 4 mm deeper along the block, and the saw turns 1.4 mm of each slice to dust. */
describe('a recut through a deeper row', () => {
  const planned = (row: string, value: number) => {
    const called = {
      ...neutralSettings(mast, demo.components, 'right'),
      head: { value: 5 },
      feeler: { value: 9, site: 'plateauLateral' },
      pins: { value, row },
    };
    const problem = {
      guide: mast,
      leg: shin({ lateralUp: 3 }),
      components: demo.components,
      made: nothingMade,
      targets: [],
    };
    return { problem, exact: called, calledByPlan: called, called, sizes: [] };
  };

  it('takes what the rows lie apart, everywhere and without a turn', () => {
    expect(recuts(planned('m0', 0), 'right')).toMatchObject([
      { cut: 'tibia', deeperMm: expect.closeTo(2, 9), sliceMm: expect.closeTo(0.6, 9), setting: { row: 'm2' } },
      { cut: 'tibia', deeperMm: expect.closeTo(4, 9), sliceMm: expect.closeTo(2.6, 9), setting: { row: 'm4' } },
    ]);
    expect(recuts(planned('m0', 0), 'right')[0]!.text).toBe(
      'Pins in row +2: 2.0 mm more everywhere, a slice of 0.6 mm after the kerf',
    );
  });

  it('is never shallower, and there is none from the deepest row', () => {
    expect(recuts(planned('m2', 2), 'right')).toHaveLength(1);
    expect(recuts(planned('m4', 4), 'right')).toEqual([]);
  });
});
