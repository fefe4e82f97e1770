import { describe, expect, it, test } from 'vitest';
import { likelyUnit } from './likely-unit.ts';

describe('the likely unit', () => {
  test.each([
    { extent: 450, unit: 'mm', why: 'it fits as it stands' },
    { extent: 45, unit: 'cm', why: '450 mm fits; as inches it would be 1143 mm' },
    { extent: 0.45, unit: 'm', why: '450 mm fits; as any other unit it would be at most 11.4 mm' },
    { extent: 17.7, unit: 'inch', why: '449.6 mm fits; as centimetres it would be 177 mm' },
    { extent: 300, unit: 'mm', why: 'the least extent is included' },
    { extent: 600, unit: 'mm', why: 'the greatest extent is included' },
    { extent: 4500, unit: undefined, why: 'no unit is smaller than a millimetre' },
    { extent: 0.001, unit: undefined, why: '1 mm even as metres' },
    { extent: 0, unit: undefined, why: 'a point has no size' },
    { extent: Number.NaN, unit: undefined, why: 'nothing is known' },
  ] as const)('[IM20] of $extent where 300 to 600 mm are expected is $unit: $why', ({ extent, unit }) => {
    expect(likelyUnit(extent, [300, 600])).toBe(unit);
  });

  it('[IM20] is the one nearest the middle where the range leaves room for two', () => {
    // 20 is 200 mm as centimetres and 508 mm as inches; half way between them lies 354 mm.
    expect(likelyUnit(20, [200, 520])).toBe('inch');
    expect(likelyUnit(20, [100, 520])).toBe('cm');
  });
});
