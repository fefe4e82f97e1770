import { describe, expect, it } from 'vitest';
import { stateables } from './stateable.ts';
import { checkStated, parseStated } from './stated-value.ts';

describe('a value stated as text', () => {
  it.each([
    { text: 'LDFA=88deg', value: { name: 'LDFA', value: 88, unit: 'deg', sd: 0.7, sdFrom: 'default' } },
    { text: 'LDFA=88deg+-1', value: { name: 'LDFA', value: 88, unit: 'deg', sd: 1, sdFrom: 'stated' } },
    { text: 'LDFA=88deg+/-1.5', value: { name: 'LDFA', value: 88, unit: 'deg', sd: 1.5, sdFrom: 'stated' } },
    { text: 'LDFA=88deg±0,5deg', value: { name: 'LDFA', value: 88, unit: 'deg', sd: 0.5, sdFrom: 'stated' } },
    {
      text: 'wearDistalMedial=2,5mm',
      value: { name: 'wearDistalMedial', value: 2.5, unit: 'mm', sd: 0.7, sdFrom: 'default' },
    },
    { text: ' tibiaSpan = 330 mm ', value: { name: 'tibiaSpan', value: 330, unit: 'mm', sd: 3, sdFrom: 'default' } },
    { text: 'JLCA=-1.25deg', value: { name: 'JLCA', value: -1.25, unit: 'deg', sd: 0.7, sdFrom: 'default' } },
    { text: 'fixedFlexion=+8deg+-0', value: { name: 'fixedFlexion', value: 8, unit: 'deg', sd: 0, sdFrom: 'stated' } },
  ])('"$text" is taken', ({ text, value }) => {
    expect(parseStated(text)).toEqual({ ok: true, value });
  });

  it.each([
    { text: 'LDFA=88', kind: 'no-unit', says: 'LDFA=88deg' },
    { text: 'tibiaSpan=330', kind: 'no-unit', says: 'tibiaSpan=330mm' },
    { text: 'LDFA=88mm', kind: 'wrong-unit', says: 'deg' },
    { text: 'tibiaSpan=33deg', kind: 'wrong-unit', says: 'mm' },
    { text: 'tibiaSpan=33cm', kind: 'unknown-unit', says: 'only mm and deg' },
    { text: 'LDFA=88rad', kind: 'unknown-unit', says: '"rad"' },
    { text: 'LDFA=88°', kind: 'unknown-unit', says: '°' },
    { text: 'tibiaSpan=40mm', kind: 'out-of-range', says: '200 to 480 mm' },
    { text: 'tibiaLength=3300mm', kind: 'out-of-range', says: '240 to 480 mm' },
    // A decimal comma lost: 2,5 read as 25.
    { text: 'wearDistalMedial=26mm', kind: 'out-of-range', says: '0 to 25 mm' },
    { text: 'LDFA=8.8deg', kind: 'out-of-range', says: '70 to 110 deg' },
    { text: 'LDFE=88deg', kind: 'unknown-name', says: 'LDFA' },
    { text: 'ldfa=88deg', kind: 'unknown-name', says: 'Did you mean LDFA?' },
    { text: 'tibia=330mm', kind: 'unknown-name', says: 'tibiaLength' },
    { text: 'LDFA=88deg+-1mm', kind: 'two-units', says: 'mm' },
    { text: 'LDFA 88deg', kind: 'not-a-value', says: 'LDFA=88deg+-1' },
    { text: 'LDFA=', kind: 'not-a-value', says: 'NAME=VALUE' },
    { text: 'LDFA=88deg+-', kind: 'not-a-value', says: 'NAME=VALUE' },
    { text: 'LDFA=88deg+--1', kind: 'not-a-value', says: 'NAME=VALUE' },
    { text: 'LDFA=NaNdeg', kind: 'not-a-value', says: 'NAME=VALUE' },
    { text: 'LDFA=8,8,0deg', kind: 'not-a-value', says: 'NAME=VALUE' },
    { text: 'LDFA=0x58deg', kind: 'not-a-value', says: 'NAME=VALUE' },
    { text: '', kind: 'not-a-value', says: 'NAME=VALUE' },
  ])('"$text" is refused as $kind', ({ text, kind, says }) => {
    const parsed = parseStated(text);
    expect(parsed).toMatchObject({ ok: false, error: { kind } });
    if (!parsed.ok) expect(parsed.error.message).toContain(says);
  });

  it('is taken at both ends of its range and refused a hundredth beyond, for every name', () => {
    for (const { name, unit, range } of stateables) {
      for (const [value, taken] of [
        [range[0], true],
        [range[1], true],
        [range[0] - 0.01, false],
        [range[1] + 0.01, false],
      ] as const) {
        expect(checkStated({ name, value, unit }).ok, `${name} ${value}`).toBe(taken);
      }
      expect(checkStated({ name, value: range[0], unit: unit === 'mm' ? 'deg' : 'mm' }).ok, name).toBe(false);
    }
  });

  it('without a number, or with a spread that is none, is refused', () => {
    expect(checkStated({ name: 'LDFA', value: Number.NaN, unit: 'deg' }).ok).toBe(false);
    for (const sd of [-1, Number.NaN, Infinity]) {
      expect(checkStated({ name: 'LDFA', value: 88, unit: 'deg', sd })).toMatchObject({
        ok: false,
        error: { kind: 'bad-spread' },
      });
    }
  });
});
