import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom, linkOf, withGuide } from '../kits/kit.fixture.ts';
import { thigh } from './bone-by-hand.fixture.ts';
import { checkSetting } from './check-setting.ts';
import { neutralSettings } from './choices.ts';
import { checkUse } from './guides-in-use.ts';
import { outputsOf } from './outputs.ts';
import { nothingMade } from './placement.ts';
import { walk } from './walker.ts';

/** Hazards 14 and 28 of the trade notes, section 7: a collar flipped, a part of the other side. */
const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const core = guideOf(demo, 'canal-core');
const sides = ['left', 'right'] as const;
const other = { left: 'right', right: 'left' } as const;
const deg = (value: number): number => (value * 180) / Math.PI;

describe('a collar that is turned over', () => {
  /** Source: trade notes, 3.5 and hazard 14: with the wrong face up valgus is -6 - 6. */
  it.each(sides)('cuts 12 varus instead of 0 with a collar of 6 on a canal of 6 deg, on a %s knee', (side) => {
    const leg = { ...thigh({ alpha: 6 }), side };
    const valgus = (flipped: boolean): number => {
      const collar = { value: 6, ...(flipped ? { flipped: true as const } : {}) };
      const settings = { ...neutralSettings(core, demo.components, side), collar };
      return deg(outputsOf(walk(core, leg, settings, demo.components, nothingMade), leg).femurValgus!);
    };
    expect(valgus(false)).toBeCloseTo(0, 9);
    expect(valgus(true)).toBeCloseTo(-12, 9);
  });

  it('is refused when it is read back with the other face up, at every number and on either side', () => {
    const collar = linkOf(core, 'collar');
    if (collar.kind !== 'ring') throw new Error('the collar is a ring');
    for (const side of sides) {
      for (const value of collar.values) {
        const read = (face: string) =>
          checkSetting(demo, { guide: 'canal-core', link: 'collar', value, unit: 'deg', face }, side);
        expect(read(other[side].toUpperCase())).toMatchObject({ ok: false, error: { kind: 'wrong-face' } });
        expect(read(side.toUpperCase())).toEqual({ ok: true, value: { value } });
      }
    }
  });
});

describe('a part of the other side', () => {
  it.each(sides)('is refused on a %s knee when the whole guide is made for the other', (side) => {
    let checks = 0;
    for (const guide of demo.guides) {
      const settable = guide.links.find((link) => link.kind === 'dial' || link.kind === 'thread');
      if (!settable) continue;
      const setting = {
        guide: guide.id,
        link: settable.id,
        value: settable.kind === 'dial' ? settable.values[0]! : 0,
        unit: 'mm' as const,
      };
      const checked = (made: 'left' | 'right') =>
        checkSetting(withGuide(demo, { ...guide, side: made }), setting, side);
      expect(checked(other[side]), guide.id).toMatchObject({ ok: false, error: { kind: 'wrong-side' } });
      expect(checked(side).ok, guide.id).toBe(true);
      checks += 1;
    }
    expect(checks).toBeGreaterThan(2);
  });

  it.each(sides)('is refused on a %s knee when it is asked for in place of another', (side) => {
    const kitFor = (made: 'left' | 'right') => withGuide(demo, { ...guideOf(demo, 'tibia-core'), side: made });
    expect(checkUse(kitFor(other[side]), 'tibia-core', side)).toMatchObject({ kind: 'wrong-side' });
    expect(checkUse(kitFor(side), 'tibia-core', side)).toBeUndefined();
  });

  it.each(sides)('is refused on a %s knee when it is a seat, and so is a row of holes of the other seat', (side) => {
    const seat = (id: string) =>
      checkSetting(demo, { guide: 'shin-mast', link: 'seat', value: 15, unit: 'mm', sense: 'lateral', seat: id }, side);
    expect(seat(other[side])).toMatchObject({ ok: false, error: { kind: 'wrong-side' } });
    expect(seat(side).ok).toBe(true);
    const row = (id: string) =>
      checkSetting(demo, { guide: 'shin-mast', link: 'pins', value: 2, unit: 'mm', row: id }, side, side);
    expect(row(`${other[side]}2`)).toMatchObject({ ok: false, error: { kind: 'wrong-row' } });
    expect(row(`${side}2`).ok).toBe(true);
  });

  it('mirrors where the leg mirrors and not where metal does: either seat stands 15 mm medial on its own side', () => {
    for (const side of sides) {
      const read = checkSetting(
        demo,
        { guide: 'shin-mast', link: 'seat', value: 15, unit: 'mm', sense: 'lateral', seat: side },
        side,
      );
      // By hand: LEFT stands 15 mm toward the patient's right, which is medial on a left knee.
      expect(read).toMatchObject({ ok: true, value: { value: -15 } });
    }
  });
});
