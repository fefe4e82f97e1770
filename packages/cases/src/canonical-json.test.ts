import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { canonicalJson } from './canonical-json.ts';
import { sha256Of, sha256OfText } from './sha256.ts';

/** A double from its 64 bits in hexadecimal. */
function double(hex: string): number {
  const view = new DataView(new ArrayBuffer(8));
  view.setBigUint64(0, BigInt(`0x${hex}`));
  return view.getFloat64(0);
}

/** Source: RFC 8785, appendix B, table of number samples. */
describe('numbers of RFC 8785, appendix B', () => {
  it.each([
    ['0000000000000000', '0'],
    ['8000000000000000', '0'],
    ['0000000000000001', '5e-324'],
    ['8000000000000001', '-5e-324'],
    ['7fefffffffffffff', '1.7976931348623157e+308'],
    ['ffefffffffffffff', '-1.7976931348623157e+308'],
    ['4340000000000000', '9007199254740992'],
    ['c340000000000000', '-9007199254740992'],
    ['4430000000000000', '295147905179352830000'],
    ['44b52d02c7e14af5', '9.999999999999997e+22'],
    ['44b52d02c7e14af6', '1e+23'],
    ['44b52d02c7e14af7', '1.0000000000000001e+23'],
    ['444b1ae4d6e2ef4e', '999999999999999700000'],
    ['444b1ae4d6e2ef4f', '999999999999999900000'],
    ['444b1ae4d6e2ef50', '1e+21'],
    ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
    ['3eb0c6f7a0b5ed8d', '0.000001'],
    ['41b3de4355555553', '333333333.3333332'],
    ['41b3de4355555554', '333333333.33333325'],
    ['41b3de4355555555', '333333333.3333333'],
    ['41b3de4355555556', '333333333.3333334'],
    ['41b3de4355555557', '333333333.33333343'],
    ['becbf647612f3696', '-0.0000033333333333333333'],
    ['43143ff3c1cb0959', '1424953923781206.2'],
  ])('%s is %s', (hex, text) => {
    expect(canonicalJson(double(hex))).toBe(text);
  });

  it.each(['7fffffffffffffff', '7ff0000000000000', 'fff0000000000000'])('%s is no JSON number', (hex) => {
    expect(() => canonicalJson(double(hex))).toThrow('not a JSON number');
  });
});

describe('texts of RFC 8785', () => {
  /** Source: RFC 8785, 3.2.2, the sample and its canonical form. */
  it('the sample of 3.2.2', () => {
    const sample = JSON.parse(String.raw`{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }`);
    expect(canonicalJson(sample)).toBe(
      String.raw`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`,
    );
  });

  /** Source: RFC 8785, 3.2.3: keys by their UTF-16 code units. */
  it('the keys of 3.2.3 in their order', () => {
    const sample = JSON.parse(String.raw`{
      "\u20ac": "Euro Sign",
      "\r": "Carriage Return",
      "\ufb33": "Hebrew Letter Dalet With Dagesh",
      "1": "One",
      "\ud83d\ude00": "Emoji: Grinning Face",
      "\u0080": "Control",
      "\u00f6": "Latin Small Letter O With Diaeresis"
    }`);
    expect(
      Object.values(JSON.parse(`[${[...canonicalJson(sample).matchAll(/:("[^"]*")/g)].map((m) => m[1]).join()}]`)),
    ).toEqual([
      'Carriage Return',
      'One',
      'Control',
      'Latin Small Letter O With Diaeresis',
      'Euro Sign',
      'Emoji: Grinning Face',
      'Hebrew Letter Dalet With Dagesh',
    ]);
  });

  it('half a character is no JSON', () => {
    expect(() => canonicalJson('\ud83d')).toThrow('half a character');
    expect(() => canonicalJson({ '\ude00': 1 })).toThrow('half a character');
  });

  it.each([undefined, () => 1, Symbol('x'), 1n])('%s is no JSON', (value) => {
    expect(() => canonicalJson([value])).toThrow('not JSON');
  });
});

describe('canonical JSON', () => {
  it('reads back as the value, and its text does not depend on the order of keys', () => {
    fc.assert(
      fc.property(fc.jsonValue(), (value) => {
        const text = canonicalJson(value);
        expect(JSON.parse(text)).toEqual(JSON.parse(JSON.stringify(value)));
        expect(text).toBe(canonicalJson(reversed(value)));
        expect(canonicalJson(JSON.parse(text))).toBe(text);
      }),
    );
  });

  it('of two unlike values are unlike texts', () => {
    fc.assert(
      fc.property(fc.jsonValue(), fc.jsonValue(), (a, b) => {
        const same = JSON.stringify(sorted(a)) === JSON.stringify(sorted(b));
        expect(canonicalJson(a) === canonicalJson(b)).toBe(same);
      }),
    );
  });
});

/** The same value with its keys the other way round. */
function reversed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(reversed);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([k, v]) => [k, reversed(v)]),
  );
}
function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== 'object' || value === null) return value;
  const entries = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
  return { entries: entries.map(([k, v]) => [k, sorted(v)]) };
}

describe('SHA-256', () => {
  /** Source: FIPS 180-4 examples, and the platform's own implementation. */
  it('of "abc" and of nothing is as published', () => {
    expect(sha256OfText('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
    expect(sha256Of(new Uint8Array())).toBe('e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855');
  });

  it('agrees with the platform on any text and any bytes', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), fc.uint8Array({ maxLength: 300 }), (text, bytes) => {
        expect(sha256OfText(text)).toBe(createHash('sha256').update(text, 'utf8').digest('hex'));
        expect(sha256Of(bytes)).toBe(createHash('sha256').update(bytes).digest('hex'));
      }),
    );
  });
});
