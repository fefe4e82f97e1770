import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { kitFrom } from '../kits/kit.fixture.ts';
import { checkSetting, type SaidSetting } from './check-setting.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));

const said = (
  guide: string,
  link: string,
  value: number,
  unit: 'mm' | 'deg',
  more: Partial<SaidSetting> = {},
): SaidSetting => ({
  guide,
  link,
  value,
  unit,
  ...more,
});

/** Source: what the language must be able to refuse, trade notes 3.8: ranges, values not in the tray, points not touched. */
describe('a setting that cannot be made', () => {
  it.each([
    {
      why: 'the range of the ankle slide ends at 20',
      setting: said('shin-mast', 'ankleSlide', 21, 'mm', { sense: 'medial' }),
      kind: 'off-detent',
      says: ['-20 to 20 mm'],
    },
    {
      why: 'the front slide does not go back',
      setting: said('shin-mast', 'frontSlide', 1, 'mm', { sense: 'posterior' }),
      kind: 'off-detent',
      says: ['0 to 40 mm'],
    },
    {
      why: 'no collar of 10 is in the tray',
      setting: said('canal-core', 'collar', 10, 'deg'),
      kind: 'off-detent',
      says: ['3, 4, 5, 6, 7, 8, 9 deg'],
    },
    {
      why: 'no collar of 7.5 is in the tray',
      setting: said('canal-core', 'collar', 7.5, 'deg'),
      kind: 'off-detent',
      says: ['7.5'],
    },
    {
      why: 'the collar has its other face up',
      setting: said('canal-core', 'collar', 6, 'deg', { sense: 'varus' }),
      kind: 'off-detent',
      says: ['-6'],
    },
    {
      why: 'the turn clicks in whole degrees',
      setting: said('heel-frame', 'turn', 2.5, 'deg', { sense: 'external' }),
      kind: 'off-detent',
      says: ['0, 1, 2, 3'],
    },
    {
      why: 'the turn does not go internal',
      setting: said('heel-frame', 'turn', 2, 'deg', { sense: 'internal' }),
      kind: 'off-detent',
      says: ['-2'],
    },
    {
      why: 'no component of 61 is in the family',
      setting: said('heel-frame', 'size', 61, 'mm'),
      kind: 'off-detent',
      says: ['54, 57, 60, 63'],
    },
    { why: 'the dial begins at 6', setting: said('canal-core', 'dial', 5, 'mm'), kind: 'off-detent', says: ['6, 7'] },
    {
      why: 'the screw ends at 8',
      setting: said('shin-mast', 'fine', 8.1, 'mm', { sense: 'distal' }),
      kind: 'off-detent',
      says: ['-8 to 8 mm'],
    },
    {
      why: 'there is no row of 3',
      setting: said('canal-core', 'extra', 3, 'mm', { sense: 'proximal' }),
      kind: 'off-detent',
      says: ['-2, 0, 2, 4'],
    },
    {
      why: 'the feeler does not reach there',
      setting: said('shin-mast', 'feeler', 9, 'mm', { site: 'tubercle' }),
      kind: 'wrong-site',
      says: ['plateauLateral or plateauMedial', 'tubercle'],
    },
    {
      why: 'the unit is another',
      setting: said('canal-core', 'collar', 7, 'mm'),
      kind: 'wrong-unit',
      says: ['set in deg', '7 mm'],
    },
    {
      why: 'there is no such guide',
      setting: said('knee-mast', 'collar', 7, 'deg'),
      kind: 'unknown-guide',
      says: ['canal-core', 'shin-mast'],
    },
    {
      why: 'there is no such link',
      setting: said('canal-core', 'colar', 7, 'deg'),
      kind: 'unknown-link',
      says: ['collar', 'dial'],
    },
    {
      why: 'a slit has no setting',
      setting: said('canal-core', 'slit', 1, 'mm'),
      kind: 'unknown-link',
      says: ['slit'],
    },
    {
      why: 'a slide needs a word',
      setting: said('shin-mast', 'ankleSlide', 7, 'mm'),
      kind: 'wrong-sense',
      says: ['medial or lateral', 'no direction'],
    },
    {
      why: 'a slide goes its own way',
      setting: said('shin-mast', 'ankleSlide', 7, 'mm', { sense: 'anterior' }),
      kind: 'wrong-sense',
      says: ['medial or lateral', 'anterior'],
    },
    {
      why: 'a dial has no direction',
      setting: said('canal-core', 'dial', 9, 'mm', { sense: 'distal' }),
      kind: 'wrong-sense',
      says: ['no direction'],
    },
    {
      why: 'NaN is no number',
      setting: said('canal-core', 'dial', Number.NaN, 'mm'),
      kind: 'not-a-number',
      says: ['canal-core dial'],
    },
    {
      why: 'no shim of 5 mm is in the tray',
      setting: said('canal-core', 'foot', 0, 'mm', { shimsMm: { distalMedial: 5 } }),
      kind: 'wrong-shim',
      says: ['0, 1, 2, 3 mm', '5 mm under distalMedial'],
    },
    {
      why: 'a shim goes under a contact',
      setting: said('canal-core', 'foot', 0, 'mm', { shimsMm: { hipCentre: 2 } }),
      kind: 'wrong-shim',
      says: ['distalMedial or distalLateral'],
    },
  ])('because $why is refused as $kind, with what is allowed', ({ setting, kind, says }) => {
    const checked = checkSetting(demo, setting, 'right', 'middle');
    expect(checked).toMatchObject({ ok: false, error: { kind } });
    if (!checked.ok) for (const words of says) expect(checked.error.message).toContain(words);
  });
});

describe('a setting that can be made', () => {
  it.each([
    { setting: said('shin-mast', 'ankleSlide', 14, 'mm', { sense: 'lateral' }), value: { value: -14 } },
    { setting: said('shin-mast', 'ankleSlide', 20, 'mm', { sense: 'medial' }), value: { value: 20 } },
    { setting: said('shin-mast', 'frontSlide', 5.76, 'mm', { sense: 'anterior' }), value: { value: 5.76 } },
    { setting: said('canal-core', 'collar', 8, 'deg'), value: { value: 8 } },
    { setting: said('canal-core', 'collar', 8, 'deg', { sense: 'valgus' }), value: { value: 8 } },
    { setting: said('canal-core', 'extra', 2, 'mm', { sense: 'distal' }), value: { value: -2 } },
    {
      setting: said('heel-frame', 'turn', 3, 'deg', { sense: 'external', pivot: 'medial' }),
      value: { value: 3, pivot: 'medial' },
    },
    { setting: said('heel-frame', 'turn', 3, 'deg', { sense: 'external' }), value: { value: 3, pivot: 'middle' } },
    { setting: said('heel-frame', 'size', 63, 'mm', { keeps: 'front' }), value: { value: 63, keeps: 'front' } },
    {
      setting: said('shin-mast', 'feeler', 2, 'mm', { site: 'plateauMedial' }),
      value: { value: 2, site: 'plateauMedial' },
    },
    {
      setting: said('canal-core', 'foot', 0, 'mm', { shimsMm: { distalMedial: 2 } }),
      value: { value: 0, shimsMm: { distalMedial: 2 } },
    },
  ])('$setting.guide $setting.link $setting.value $setting.unit $setting.sense is taken', ({ setting, value }) => {
    expect(checkSetting(demo, setting, 'right', 'middle')).toEqual({ ok: true, value });
  });
});
