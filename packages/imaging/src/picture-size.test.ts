import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pictureSize } from './picture-size.ts';

const bytes = (...values: readonly (number | readonly number[])[]): Uint8Array => Uint8Array.from(values.flat());
const u16 = (n: number): readonly number[] => [n >> 8, n & 255];
const u32 = (n: number): readonly number[] => [(n >>> 24) & 255, (n >>> 16) & 255, (n >>> 8) & 255, n & 255];

/** Source: W3C PNG (second edition), 5.2 and 11.2.1. */
const png = (columns: number, rows: number): Uint8Array =>
  bytes(
    [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a],
    u32(13),
    [0x49, 0x48, 0x44, 0x52],
    u32(columns),
    u32(rows),
    [8, 0, 0, 0, 0],
    u32(0),
  );

/** Source: ITU-T T.81, B.2.2 and B.2.4: APP0, a comment, then a frame header; rows come before columns. */
const jpeg = (marker: number, columns: number, rows: number): Uint8Array =>
  bytes(
    [0xff, 0xd8],
    [0xff, 0xe0, 0, 4, 1, 2],
    [0xff, 0xff, 0xfe, 0, 3, 9],
    [0xff, 0xc4, 0, 2],
    [0xff, marker, 0, 11, 8],
    u16(rows),
    u16(columns),
    [1, 1, 0x11, 0],
  );

/** Source: TIFF 6.0, section 2: header, then a directory of two entries. */
function tiff(little: boolean, columns: number, rows: number): Uint8Array {
  const out = new Uint8Array(8 + 2 + 24 + 4);
  const view = new DataView(out.buffer);
  out.set(little ? [0x49, 0x49] : [0x4d, 0x4d]);
  view.setUint16(2, 42, little);
  view.setUint32(4, 8, little);
  view.setUint16(8, 2, little);
  const entry = (at: number, tag: number, type: number, value: number): void => {
    view.setUint16(at, tag, little);
    view.setUint16(at + 2, type, little);
    view.setUint32(at + 4, 1, little);
    if (type === 3) view.setUint16(at + 8, value, little);
    else view.setUint32(at + 8, value, little);
  };
  entry(10, 256, 3, columns);
  entry(22, 257, 4, rows);
  return out;
}

describe('the size of a picture', () => {
  it.each([
    { what: 'PNG', file: png(1433, 3263), format: 'png' },
    { what: 'baseline JPEG', file: jpeg(0xc0, 1433, 3263), format: 'jpeg' },
    { what: 'progressive JPEG', file: jpeg(0xc2, 1433, 3263), format: 'jpeg' },
    { what: 'lossless JPEG', file: jpeg(0xc3, 1433, 3263), format: 'jpeg' },
    { what: 'little-endian TIFF', file: tiff(true, 1433, 3263), format: 'tiff' },
    { what: 'big-endian TIFF', file: tiff(false, 1433, 3263), format: 'tiff' },
  ])('is read from the header of a $what', ({ file, format }) => {
    expect(pictureSize(file)).toEqual({ ok: true, value: { format, columns: 1433, rows: 3263 } });
  });

  it('is read where the bytes begin, also inside a longer piece of memory', () => {
    const held = new Uint8Array(100);
    const file = png(7, 9);
    held.set(file, 11);
    expect(pictureSize(held.subarray(11, 11 + file.length))).toMatchObject({
      ok: true,
      value: { columns: 7, rows: 9 },
    });
  });

  it('of a file cut short anywhere is an error and never a guess', () => {
    for (const file of [png(3, 4), jpeg(0xc0, 3, 4), tiff(true, 3, 4), tiff(false, 3, 4)]) {
      for (let length = 0; length < file.length - 4; length += 1) {
        const found = pictureSize(file.subarray(0, length));
        if (found.ok) expect(found.value).toMatchObject({ columns: 3, rows: 4 });
        else expect(found.error.message).toMatch(/cut short|begins like no/);
      }
    }
  });

  it.each([
    { what: 'no columns', file: png(0, 10), says: '0 columns' },
    { what: 'four thousand million rows', file: png(10, 0xffffffff), says: '4294967295 rows' },
    { what: 'a TIFF without rows', file: tiff(true, 10, 0), says: '0 rows' },
  ])('is refused with the numbers found: $what', ({ file, says }) => {
    expect(pictureSize(file)).toMatchObject({
      ok: false,
      error: { kind: 'bad-size', message: expect.stringContaining(says) },
    });
  });

  it('of changed bytes is a size or an error, whatever they are', () => {
    const files = [png(30, 40), jpeg(0xc0, 30, 40), tiff(true, 30, 40), tiff(false, 30, 40)];
    const change = fc.tuple(fc.nat({ max: 60 }), fc.nat({ max: 255 }));
    fc.assert(
      fc.property(fc.constantFrom(...files), fc.array(change, { maxLength: 6 }), (file, changes) => {
        const changed = file.slice();
        for (const [at, value] of changes) if (at < changed.length) changed[at] = value;
        const found = pictureSize(changed);
        if (found.ok) expect(Math.min(found.value.columns, found.value.rows)).toBeGreaterThan(0);
        else expect(found.error.message.length).toBeGreaterThan(10);
      }),
      { numRuns: 5000 },
    );
  });

  it('of anything else is none', () => {
    expect(pictureSize(new TextEncoder().encode('DICM or anything'))).toMatchObject({
      ok: false,
      error: { kind: 'not-a-picture' },
    });
  });
});
