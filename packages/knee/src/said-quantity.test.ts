import { describe, expect, it } from 'vitest';
import { inside, outside, type Positive } from './quantity.ts';
import { saidQuantity, signWords } from './said-quantity.ts';

const q = (value: number | null, positive?: Positive, sd: number | null = 0.7) => ({
  value,
  unit: 'deg' as const,
  sd,
  method: 'any',
  ...(positive ? { positive } : {}),
  ...(value === null ? { unknown: 'not stated' } : {}),
});

/** Source: design 3: outside, a number has a word for its direction and never a bare sign. */
describe('a quantity as people say it', () => {
  it.each([
    { positive: 'varus', up: 'varus', down: 'valgus' },
    { positive: 'valgus', up: 'valgus', down: 'varus' },
    { positive: 'posteriorSlope', up: 'posterior slope', down: 'anterior slope' },
    { positive: 'flexion', up: 'flexed', down: 'extended' },
    { positive: 'external', up: 'external', down: 'internal' },
    { positive: 'lateral', up: 'lateral', down: 'medial' },
    { positive: 'medial', up: 'medial', down: 'lateral' },
    { positive: 'anterior', up: 'anterior', down: 'posterior' },
    { positive: 'proximal', up: 'proximal', down: 'distal' },
    { positive: 'opensLaterally', up: 'opens laterally', down: 'opens medially' },
  ] as const)('positive $positive: 2.34 is 2.3 $up, -2.34 is 2.3 $down', ({ positive, up, down }) => {
    expect(saidQuantity(q(2.34, positive))).toEqual({ value: '2.3', spread: '0.7', word: up });
    expect(saidQuantity(q(-2.34, positive))).toEqual({ value: '2.3', spread: '0.7', word: down });
    expect(signWords(positive)).toEqual([up, down]);
  });

  it('that rounds to nothing has no direction', () => {
    expect(saidQuantity(q(-0.04, 'varus'))).toEqual({ value: '0.0', spread: '0.7', word: '' });
    expect(saidQuantity(q(-0.04, 'varus'), 2)).toEqual({ value: '0.04', spread: '0.70', word: 'valgus' });
  });

  it('that is unknown says why, and one that is exact says no spread', () => {
    expect(saidQuantity(q(null, 'varus', null))).toEqual({ value: 'not known', spread: '', word: 'not stated' });
    expect(saidQuantity(q(88, undefined, 0))).toEqual({ value: '88.0', spread: '', word: '' });
  });
});

describe('units at the edge', () => {
  it('a straight angle is 180 deg outside and pi inside; millimetres stay', () => {
    expect(outside(Math.PI, 'deg')).toBe(180);
    expect(inside(180, 'deg')).toBe(Math.PI);
    expect([outside(3.5, 'mm'), inside(3.5, 'mm')]).toEqual([3.5, 3.5]);
  });
});
