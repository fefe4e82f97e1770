import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { textBytes } from './cube.fixture.ts';
import { decimalNumber } from './decimal-number.ts';

const read = (text: string): number | undefined => decimalNumber(textBytes(text), 0, text.length);

describe('a written number', () => {
  it('[IM11] is the same as the language reads it, for any digits, point and exponent', () => {
    const digits = fc.stringMatching(/^\d{0,25}$/);
    const written = fc
      .tuple(
        fc.constantFrom('', '-', '+'),
        digits,
        fc.constantFrom('', '.'),
        digits,
        fc.constantFrom('', 'e', 'E'),
        fc.integer({ min: -40, max: 40 }),
      )
      .filter(([, whole, , part]) => whole + part !== '')
      .map(([sign, whole, point, part, e, power]) => sign + whole + point + part + (e === '' ? '' : e + power));
    fc.assert(
      fc.property(written, (text) => {
        expect(Object.is(read(text), Number(text))).toBe(true);
      }),
      { numRuns: 5000 },
    );
  });

  it('[IM11] printed from any 64-bit value gives that value again', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        expect(read(`${value}`)).toBe(value === 0 ? 0 : value);
      }),
      { numRuns: 5000 },
    );
  });

  test.each([
    ['1.', 1],
    ['.5', 0.5],
    ['-.5e1', -5],
    ['+1e+03', 1000],
    ['0.1', 0.1],
    ['123456789012345678', 123456789012345680],
    ['1e23', 1e23],
    ['1e-400', 0],
    ['1e400', Number.POSITIVE_INFINITY],
    ['000000000000000000001.5', 1.5],
  ])('[IM11] %s is %d', (text, value) => {
    expect(read(text)).toBe(value);
  });

  test.each(['nan', 'NaN', '-nan', 'nan(ind)', '1.#QNAN', '-1.#IND', '1.#IND00'])(
    '[IM11] %s is a way to print that there is no number',
    (text) => {
      expect(read(text)).toBeNaN();
    },
  );

  test.each([
    ['inf', Number.POSITIVE_INFINITY],
    ['-Inf', Number.NEGATIVE_INFINITY],
    ['+INFINITY', Number.POSITIVE_INFINITY],
    ['-1.#INF', Number.NEGATIVE_INFINITY],
  ])('[IM11] %s is infinity with its sign', (text, value) => {
    expect(read(text)).toBe(value);
  });

  test.each(['', '-', '.', 'e5', '1e', '1e+', '1,5', '0x10', '1_000', '1.2.3', '--1', '1-', '٣', 'nano', 'one', '1d3'])(
    '[IM11] "%s" is none',
    (text) => {
      expect(decimalNumber(textBytes(text), 0, textBytes(text).length)).toBeUndefined();
    },
  );

  it('[IM2] longer than any writer prints is none, and takes no longer than its bytes', () => {
    expect(read('1'.repeat(5_000_000))).toBeUndefined();
  });
});
