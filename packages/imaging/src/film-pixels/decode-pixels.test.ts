import { describe, expect, it } from 'vitest';
import type { Codecs } from './codecs.ts';
import { codecsNode } from './codecs-node.ts';
import { decodePixels } from './decode-pixels.ts';
import { pixelErrorText } from './pixel-error.ts';
import type { PixelSource } from './pixel-source.ts';

const none: Codecs = {
  jpeg: () => Promise.reject(new Error('not asked for')),
  jpeg2000: () => Promise.reject(new Error('not asked for')),
};

/** Two rows of three pixels in 16 bits, little endian, behind two other bytes. */
const six = (over: Partial<PixelSource> = {}): PixelSource => ({
  data: Uint8Array.of(9, 9, 1, 0, 2, 0, 3, 0, 0, 1, 255, 3, 5, 0),
  rows: 2,
  columns: 3,
  bitsAllocated: 16,
  bitsStored: 16,
  highBit: 15,
  signed: false,
  samplesPerPixel: 1,
  photometric: 'MONOCHROME2',
  transferSyntax: '1.2.840.10008.1.2.1',
  at: { kind: 'native', offset: 2, length: 12 },
  ...over,
});

const film = async (source: PixelSource) => {
  const result = await decodePixels(source, none);
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
};
const error = async (source: PixelSource, codecs = none) => {
  const result = await decodePixels(source, codecs);
  return result.ok ? undefined : result.error;
};

describe('uncompressed pictures', () => {
  it('[FP4] 16-bit little-endian numbers are a view on the bytes of the file', async () => {
    const source = six();
    const { data, low, high, rows, columns } = await film(source);
    expect(data).toEqual(Uint16Array.of(1, 2, 3, 256, 1023, 5));
    expect(data.buffer).toBe(source.data.buffer);
    expect({ low, high, rows, columns }).toEqual({ low: 1, high: 1023, rows: 2, columns: 3 });
  });

  it('[FP4] numbers that begin at an odd byte are copied once, and are the same', async () => {
    const source = six();
    const odd = new Uint8Array(source.data.length + 1);
    odd.set(source.data, 1);
    const { data } = await film(six({ data: odd.subarray(1) }));
    expect(data).toEqual(Uint16Array.of(1, 2, 3, 256, 1023, 5));
  });

  it('[FP4] big-endian numbers are turned round', async () => {
    const { data } = await film(six({ transferSyntax: '1.2.840.10008.1.2.2' }));
    expect(data).toEqual(Uint16Array.of(256, 512, 768, 1, 0xff03, 0x500));
  });

  it('[FP5] bits beyond those stored are left out, with a finding', async () => {
    const { data, findings, high } = await film(six({ bitsStored: 8, highBit: 7 }));
    expect(data).toEqual(Uint16Array.of(1, 2, 3, 0, 255, 5));
    expect(high).toBe(255);
    expect(findings.map(({ code }) => code)).toEqual(['bits-outside-stored']);
  });

  it('[FP5] numbers that lie higher in their cell are brought down', async () => {
    const { data } = await film(six({ bitsStored: 12, highBit: 15 }));
    expect(data).toEqual(Uint16Array.of(0, 0, 0, 16, 63, 0));
  });

  it('[FP5] signed numbers of 12 bits are read as such, spread over their cell or not', async () => {
    // -1 is FFF in 12 bits and FFFF when spread over 16; both are seen in files.
    const bytes = Uint8Array.of(0xff, 0x0f, 0xff, 0xff, 1, 0);
    const source = six({
      data: bytes,
      rows: 1,
      bitsStored: 12,
      highBit: 11,
      signed: true,
      at: { kind: 'native', offset: 0, length: 6 },
    });
    expect((await film(source)).data).toEqual(Int16Array.of(-1, -1, 1));
    expect((await film({ ...source, data: Uint8Array.of(0xff, 0xff, 0xff, 0xff, 1, 0) })).data).toEqual(
      Int16Array.of(-1, -1, 1),
    );
  });

  it('[FP6] padding is not part of the range found', async () => {
    expect(await film(six({ padding: 1023 }))).toMatchObject({ low: 1, high: 256 });
    expect(await film(six({ padding: { from: 0, to: 2 } }))).toMatchObject({ low: 3, high: 1023 });
    expect(await film(six({ padding: { from: 2000, to: 256 } }))).toMatchObject({ low: 1, high: 5 });
  });

  it('[FP7] too few bytes are an error with both numbers, more are a finding', async () => {
    expect(await error(six({ at: { kind: 'native', offset: 2, length: 10 } }))).toEqual({
      kind: 'truncated',
      counted: 'bytes',
      found: 10,
      needed: 12,
    });
    expect(await error(six({ at: { kind: 'native', offset: 4, length: 12 } }))).toMatchObject({
      kind: 'truncated',
      found: 14,
      needed: 16,
    });
    const { findings } = await film(six({ rows: 1 }));
    expect(findings.map(({ code }) => code)).toEqual(['bytes-behind-picture']);
  });
});

describe('how a picture is to be shown', () => {
  it.each([
    { over: {}, inverted: false, why: 'MONOCHROME2: low is dark' },
    { over: { photometric: 'MONOCHROME1' }, inverted: true, why: 'MONOCHROME1: high is dark' },
    { over: { presentationInverse: true }, inverted: true, why: 'inverse shape' },
    {
      over: { photometric: 'MONOCHROME1', presentationInverse: true },
      inverted: true,
      why: 'PS3.3 C.8.11.3: MONOCHROME1 goes with the inverse shape, they do not cancel',
    },
    { over: { rescale: { slope: -1, intercept: 0 } }, inverted: true, why: 'a falling rescale turns dark and bright' },
  ] as const)('[FP8] $why', async ({ over, inverted }) => {
    expect((await film(six(over))).inverted).toBe(inverted);
  });

  it('[FP9] the window of the file is given in stored values', async () => {
    // By hand: shown = 2 stored - 100, so shown 300 is stored 200, and a width of 500 is 250.
    const { window } = await film(six({ rescale: { slope: 2, intercept: -100 }, window: { centre: 300, width: 500 } }));
    expect(window).toEqual({ centre: 200, width: 250 });
  });

  it('[FP9] without a usable window, the lowest number found is black and the highest white (PS3.3 C.11.2.1.2.1)', async () => {
    const expected = { centre: 512.5, width: 1023 };
    expect((await film(six())).window).toEqual(expected);
    expect((await film(six({ window: { centre: 100, width: 0 } }))).window).toEqual(expected);
    // The standard: black up to centre - 0.5 - (width - 1) / 2, white above centre - 0.5 + (width - 1) / 2.
    expect(expected.centre - 0.5 - (expected.width - 1) / 2).toBe(1);
    expect(expected.centre - 0.5 + (expected.width - 1) / 2).toBe(1023);
  });
});

describe('three samples a pixel', () => {
  const rgb = (bytes: number[], over: Partial<PixelSource> = {}): PixelSource =>
    six({
      data: Uint8Array.from(bytes),
      rows: 1,
      columns: 2,
      bitsAllocated: 8,
      bitsStored: 8,
      highBit: 7,
      samplesPerPixel: 3,
      photometric: 'RGB',
      at: { kind: 'native', offset: 0, length: 6 },
      ...over,
    });
  it('[FP10] equal colours are grey, together or in planes', async () => {
    expect((await film(rgb([7, 7, 7, 90, 91, 90]))).data).toEqual(Uint8Array.of(7, 91));
    expect((await film(rgb([7, 90, 7, 91, 7, 90], { planes: true }))).data).toEqual(Uint8Array.of(7, 91));
    expect((await film(rgb([7, 128, 128, 90, 127, 128], { photometric: 'YBR_FULL' }))).data).toEqual(
      Uint8Array.of(7, 90),
    );
  });
  it('[FP10] a colour picture is refused with how far its colours are apart', async () => {
    expect(await error(rgb([7, 7, 7, 90, 50, 90]))).toEqual({ kind: 'colour', apart: 40, allowed: 8 });
    expect(await error(rgb([7, 128, 128, 90, 60, 128], { photometric: 'YBR_FULL' }))).toMatchObject({
      kind: 'colour',
      apart: 68,
    });
  });
});

describe('what cannot be read', () => {
  it.each([
    { over: { rows: 0 }, kind: 'bad-number', what: 'number of rows' },
    { over: { columns: 70_000 }, kind: 'bad-number', what: 'number of columns' },
    { over: { rows: 65_535, columns: 65_535 }, kind: 'too-large', what: 'number of pixels' },
    { over: { bitsAllocated: 32 as never }, kind: 'bad-number', what: 'number of bits allocated' },
    { over: { bitsStored: 17 }, kind: 'bad-number', what: 'number of bits stored' },
    { over: { highBit: 3 }, kind: 'bad-number', what: 'high bit' },
    { over: { samplesPerPixel: 2 as never }, kind: 'bad-number', what: 'number of samples per pixel' },
    { over: { photometric: 'PALETTE COLOR' }, kind: 'not-supported', what: 'photometric interpretation' },
    { over: { transferSyntax: '1.2.840.10008.1.2.4.100' }, kind: 'not-supported', what: 'transfer syntax' },
    { over: { transferSyntax: '1.2.840.10008.1.2.4.70' }, kind: 'not-supported', what: 'transfer syntax' },
  ] as const)('[FP11] $what: $kind', async ({ over, kind, what }) => {
    expect(await error(six(over))).toMatchObject({ kind, what });
  });

  it('[FP3] the error names the transfer syntax, and those that are read', async () => {
    const mpeg = '1.2.840.10008.1.2.4.100';
    const found = await error(six({ transferSyntax: mpeg }));
    expect(found).toMatchObject({ kind: 'not-supported', what: 'transfer syntax', found: mpeg });
    expect(pixelErrorText(found!)).toContain('JPEG lossless (.57, .70)');
  });

  it('[FP11] fragments that overlap beyond the length of the file are refused', async () => {
    const fragment = { offset: 0, length: 14 };
    const source = six({
      transferSyntax: '1.2.840.10008.1.2.4.70',
      at: { kind: 'encapsulated', fragments: [fragment, fragment] },
    });
    expect(await error(source)).toMatchObject({ kind: 'truncated', found: 14, needed: 28 });
  });

  it('[FP12] a decoder that cannot be loaded is an error, not a throw', async () => {
    // SOI, SOF0 of 2 x 3 with 8 bits and one component, EOI.
    const stream = Uint8Array.of(0xff, 0xd8, 0xff, 0xc0, 0, 11, 8, 0, 2, 0, 3, 1, 1, 0x11, 0, 0xff, 0xd9);
    const source = six({
      data: stream,
      bitsAllocated: 8,
      bitsStored: 8,
      highBit: 7,
      transferSyntax: '1.2.840.10008.1.2.4.50',
      at: { kind: 'encapsulated', fragments: [{ offset: 0, length: stream.length }] },
    });
    expect(await error(source)).toEqual({ kind: 'decoder-failed', decoder: 'JPEG', said: 'not asked for' });
    expect((await error(source, codecsNode))?.kind).toBe('decoder-failed');
    expect(await error({ ...source, rows: 3 })).toEqual({ kind: 'disagrees', what: 'rows', found: 2, needed: 3 });
  });
});

describe('run-length coding', () => {
  /** By hand from PS3.5 Annex G: a plane of high bytes, then one of low bytes. */
  const runs = (planes: readonly (readonly number[])[]): PixelSource => {
    const header = new DataView(new ArrayBuffer(64));
    header.setUint32(0, planes.length, true);
    let at = 64;
    planes.forEach((plane, i) => {
      header.setUint32(4 + 4 * i, at, true);
      at += plane.length;
    });
    const data = Uint8Array.of(...new Uint8Array(header.buffer), ...planes.flat());
    return six({
      data,
      transferSyntax: '1.2.840.10008.1.2.5',
      at: { kind: 'encapsulated', fragments: [{ offset: 0, length: data.length }] },
    });
  };
  it('[FP1] runs and plain bytes make the two halves of each number; the byte 128 does nothing', async () => {
    // High bytes: five times 0 and a 1. Low bytes: 10 20 30 plain, then three times 7.
    const source = runs([
      [252, 0, 0, 1],
      [128, 2, 10, 20, 30, 254, 7],
    ]);
    expect((await film(source)).data).toEqual(Uint16Array.of(10, 20, 30, 7, 7, 263));
  });
  it('[FP7] a plane that ends early is an error with both numbers', async () => {
    expect(
      await error(
        runs([
          [252, 0, 0, 1],
          [2, 10, 20, 30],
        ]),
      ),
    ).toMatchObject({ kind: 'truncated', found: 3, needed: 6 });
    expect(await error(runs([[252, 0, 0, 1]]))).toMatchObject({ kind: 'disagrees', found: 1, needed: 2 });
  });
});
