import { Buffer } from 'node:buffer';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { base64Of, bytesOfBase64 } from './base64.ts';

describe('base64', () => {
  /** Source: RFC 4648, section 10. */
  it.each([
    ['', ''],
    ['f', 'Zg=='],
    ['fo', 'Zm8='],
    ['foo', 'Zm9v'],
    ['foob', 'Zm9vYg=='],
    ['fooba', 'Zm9vYmE='],
    ['foobar', 'Zm9vYmFy'],
  ])('of "%s" is "%s", and back', (text, coded) => {
    const bytes = new TextEncoder().encode(text);
    expect(base64Of(bytes)).toBe(coded);
    expect(bytesOfBase64(coded)).toEqual(bytes);
  });

  it('of any bytes is what the platform makes, also beyond one piece of 24 kB', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), (bytes) => {
        expect(base64Of(bytes)).toBe(Buffer.from(bytes).toString('base64'));
        expect(bytesOfBase64(base64Of(bytes))).toEqual(bytes);
      }),
    );
    const long = Uint8Array.from({ length: 100_001 }, (_, i) => (i * 31) % 251);
    expect(base64Of(long)).toBe(Buffer.from(long).toString('base64'));
    expect(bytesOfBase64(base64Of(long))).toEqual(long);
  });

  it.each(['Zg', 'Zg=', 'Z===', 'Zm9v!', 'Zm9 ', '####', 'Zm-_', 'Zg==Zg=='])('"%s" is none', (text) => {
    expect(bytesOfBase64(text)).toBeUndefined();
  });
});
