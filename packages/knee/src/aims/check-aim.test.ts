import { describe, expect, it } from 'vitest';
import { checkAims, checkPhilosophyName, type SaidAim } from './check-aim.ts';
import { philosophy } from './philosophy.ts';

const restricted = philosophy('restricted-kinematic');
const said = (name: string, value: number, unit: 'mm' | 'deg', positive?: SaidAim['positive']): SaidAim => ({
  name,
  value,
  unit,
  positive,
});

describe('a wanted value', () => {
  it('is taken with its word, and the opposite word turns its sign', () => {
    expect(checkAims(restricted, [said('femurValgus', 2, 'deg', 'valgus')])).toEqual({
      ok: true,
      value: { femurValgus: 2 },
    });
    expect(checkAims(restricted, [said('femurValgus', 2, 'deg', 'varus')])).toEqual({
      ok: true,
      value: { femurValgus: -2 },
    });
    expect(checkAims(restricted, [said('tibiaVarus', 1.5, 'deg', 'valgus')])).toEqual({
      ok: true,
      value: { tibiaVarus: -1.5 },
    });
    expect(checkAims(restricted, [said('femurCutDepth', 9.5, 'mm')])).toEqual({
      ok: true,
      value: { femurCutDepth: 9.5 },
    });
  });

  it.each([
    { aim: said('hipWobble', 2, 'deg', 'valgus'), kind: 'unknown-aim', names: ['hipWobble', 'femurValgus'] },
    { aim: said('femurValgus', 2, 'mm', 'valgus'), kind: 'wrong-unit', names: ['femurValgus', 'deg', '2 mm'] },
    { aim: said('femurCutDepth', 9, 'deg'), kind: 'wrong-unit', names: ['femurCutDepth', 'mm'] },
    { aim: said('femurValgus', 2, 'deg'), kind: 'no-sense', names: ['femurValgus', 'valgus'] },
    { aim: said('tibiaSlope', 4, 'deg'), kind: 'no-sense', names: ['posteriorSlope'] },
    { aim: said('femurValgus', 2, 'deg', 'external'), kind: 'wrong-sense', names: ['valgus', 'external'] },
    { aim: said('femurValgus', 90, 'deg', 'valgus'), kind: 'out-of-range', names: ['90 deg', '-12', '12'] },
    { aim: said('tibiaCutDepth', Number.NaN, 'mm'), kind: 'out-of-range', names: ['NaN'] },
    // LDFA 85 to 95 is 5 valgus to 5 varus; by hand 90 - 84 = 6.
    {
      aim: said('femurValgus', 6, 'deg', 'valgus'),
      kind: 'outside-fence',
      names: ['LDFA 85 to 95', 'Front Surg 2021'],
    },
    { aim: said('tibiaVarus', 6, 'deg', 'varus'), kind: 'outside-fence', names: ['MPTA 85 to 95'] },
    { aim: said('tibiaSlope', 11, 'deg', 'posteriorSlope'), kind: 'outside-fence', names: ['slope 0 to 10'] },
  ])('is refused as $kind: $aim.name $aim.value $aim.unit $aim.positive', ({ aim, kind, names }) => {
    const checked = checkAims(restricted, [aim]);
    expect(checked).toMatchObject({ ok: false, error: { kind } });
    if (!checked.ok) for (const name of names) expect(checked.error.message).toContain(name);
  });

  it('at a fence is taken', () => {
    for (const aim of [said('femurValgus', 5, 'deg', 'valgus'), said('tibiaVarus', 5, 'deg', 'varus')]) {
      expect(checkAims(restricted, [aim]).ok).toBe(true);
    }
  });

  /** By hand: 4 valgus of the femur and 0 of the tibia make the limb 4 valgus, beyond 3. */
  it('together with another may break the fence of the limb, which is then named', () => {
    const checked = checkAims(restricted, [
      said('femurValgus', 4, 'deg', 'valgus'),
      said('tibiaVarus', 0, 'deg', 'varus'),
    ]);
    expect(checked).toMatchObject({ ok: false, error: { kind: 'outside-fence' } });
    if (!checked.ok) expect(checked.error.message).toContain('4.0 valgus');
  });

  /** Working limits of the code, beyond which a wish is a slip; both ends are taken. */
  it.each([
    { name: 'femurValgus', unit: 'deg', positive: 'valgus', low: -12, high: 12 },
    { name: 'tibiaVarus', unit: 'deg', positive: 'varus', low: -12, high: 12 },
    { name: 'tibiaSlope', unit: 'deg', positive: 'posteriorSlope', low: -5, high: 15 },
    { name: 'femurRotation', unit: 'deg', positive: 'external', low: -8, high: 12 },
    { name: 'femurCutDepth', unit: 'mm', positive: undefined, low: 4, high: 20 },
    { name: 'tibiaCutDepth', unit: 'mm', positive: undefined, low: 2, high: 25 },
  ] as const)('of $name is taken from $low to $high $unit and no further', ({ name, unit, positive, low, high }) => {
    const taken = (value: number): boolean =>
      checkAims(philosophy('kinematic'), [said(name, value, unit, positive)]).ok;
    expect([low, high, low - 0.1, high + 0.1].map(taken)).toEqual([true, true, false, false]);
  });

  it('outside every fence is taken where the philosophy has none', () => {
    expect(checkAims(philosophy('kinematic'), [said('femurValgus', 9, 'deg', 'valgus')]).ok).toBe(true);
  });
});

it('an unknown philosophy is told the names of those there are', () => {
  expect(checkPhilosophyName('kinematic')).toBeUndefined();
  expect(checkPhilosophyName('kinetic')?.message).toContain('restricted-kinematic');
});
