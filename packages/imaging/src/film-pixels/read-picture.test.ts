import { encode } from 'fast-png';
import { zlibSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { codecsNode } from './codecs-node.ts';
import { passedThrough, toolsHere } from './dicom-tools.fixture.ts';
import { filmFile, filmLike, sourceIn } from './film-file.fixture.ts';
import { unpackLzw } from './lzw.ts';
import { pictureFormat, readPicture } from './read-picture.ts';

const film = async (bytes: Uint8Array) => {
  const result = await readPicture(bytes, codecsNode);
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
};
const error = async (bytes: Uint8Array) => {
  const result = await readPicture(bytes, codecsNode);
  return result.ok ? undefined : result.error;
};

const eight = filmLike(37, 29, 8) as Uint8Array;
const sixteen = filmLike(37, 29, 16) as Uint16Array;
const coloured = (grey: Uint8Array | Uint16Array, channels: number) => {
  const out =
    grey instanceof Uint8Array ? new Uint8Array(grey.length * channels) : new Uint16Array(grey.length * channels);
  for (const [i, value] of grey.entries()) out.fill(value, channels * i, channels * (i + 1));
  return out;
};

describe('PNG', () => {
  // Written by the library fast-png, whose code is not ours.
  it.each([
    { name: '8-bit grey', grey: eight, channels: 1, depth: 8 },
    { name: '16-bit grey', grey: sixteen, channels: 1, depth: 16 },
    { name: '8-bit grey with opacity', grey: eight, channels: 2, depth: 8 },
    { name: '8-bit colours', grey: eight, channels: 3, depth: 8 },
    { name: '16-bit colours', grey: sixteen, channels: 3, depth: 16 },
    { name: '8-bit colours with opacity', grey: eight, channels: 4, depth: 8 },
  ] as const)('[FP13] $name gives the numbers that were written', async ({ grey, channels, depth }) => {
    const data = channels === 1 ? grey : coloured(grey, channels);
    const read = await film(encode({ width: 29, height: 37, data, depth, channels }));
    expect([read.columns, read.rows, read.inverted]).toEqual([29, 37, false]);
    expect(read.data).toEqual(grey);
  });

  it('[FP13] every filter of the standard is undone (PNG 9.2), by hand', async () => {
    // Row 1 plain; row 2 differences to the left; row 3 to above; row 4 to the mean; row 5 by the Paeth rule.
    const rows = [
      [0, 10, 20, 30],
      [1, 5, 5, 5], // 5 10 15
      [2, 1, 1, 1], // 6 11 16
      [3, 1, 1, 1], // 1+3=4, 1+floor((4+11)/2)=8, 1+floor((8+16)/2)=13
      [4, 1, 1, 1], // a=0 b=4 c=0: 4+1=5; a=5 b=8 c=4: p=9 nearest 8: 9; a=9 b=13 c=8: p=14 nearest 13: 14
    ];
    const read = await film(pngOf(3, 5, 8, 0, Uint8Array.from(rows.flat())));
    expect([...read.data]).toEqual([10, 20, 30, 5, 10, 15, 6, 11, 16, 4, 8, 13, 5, 9, 14]);
  });

  it('[FP13] numbers of fewer than 8 bits stand from the left of each byte', async () => {
    expect((await film(pngOf(3, 1, 4, 0, Uint8Array.of(0, 0x12, 0x30)))).data).toEqual(Uint8Array.of(1, 2, 3));
  });

  it('[FP7] a picture cut off, changed or blown up is an error', async () => {
    const whole = encode({ width: 29, height: 37, data: eight, depth: 8, channels: 1 });
    for (const length of [8, 20, 40, whole.length - 1])
      expect((await error(whole.slice(0, length)))?.kind).toBe('truncated');
    const changed = whole.slice();
    changed[60]! ^= 1;
    expect((await error(changed))?.kind).toBe('corrupt');
    expect((await error(pngOf(3, 4, 8, 0, Uint8Array.of(0, 1, 2, 3))))?.kind).toBe('truncated');
    // A thousand times more inside than the header says: what is beyond is never made.
    expect((await film(pngOf(3, 1, 8, 0, new Uint8Array(10_000_000)))).data).toEqual(new Uint8Array(3));
    expect((await error(pngOf(60_000, 60_000, 8, 0, new Uint8Array(10))))?.kind).toBe('too-large');
    expect((await error(pngOf(10_000, 10_000, 8, 0, new Uint8Array(10))))?.kind).toBe('truncated');
  });

  it('[FP10] a colour picture is refused', async () => {
    const data = coloured(eight, 3);
    data[300]! ^= 64;
    expect(await error(encode({ width: 29, height: 37, data, depth: 8, channels: 3 }))).toEqual({
      kind: 'colour',
      apart: 64,
      allowed: 8,
    });
  });
});

/** A PNG file from its filtered rows. */
function pngOf(width: number, height: number, depth: number, colour: number, rows: Uint8Array): Uint8Array {
  const size = new DataView(new ArrayBuffer(8));
  size.setUint32(0, width);
  size.setUint32(4, height);
  const chunk = (kind: string, content: Uint8Array) => {
    const body = Uint8Array.of(...new TextEncoder().encode(kind), ...content);
    const ends = new DataView(new ArrayBuffer(8));
    ends.setUint32(0, content.length);
    ends.setUint32(4, crc(body));
    return [...new Uint8Array(ends.buffer, 0, 4), ...body, ...new Uint8Array(ends.buffer, 4, 4)];
  };
  return Uint8Array.of(
    137,
    80,
    78,
    71,
    13,
    10,
    26,
    10,
    ...chunk('IHDR', Uint8Array.of(...new Uint8Array(size.buffer), depth, colour, 0, 0, 0)),
    ...chunk('IDAT', zlibSync(rows)),
    ...chunk('IEND', new Uint8Array(0)),
  );
}

/** The check number bit by bit, as PNG 5.5 words it. */
function crc(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes)
    for (let bit = 0; bit < 8; bit++) c = ((c ^ (byte >> bit)) & 1 ? 0xedb88320 : 0) ^ (c >>> 1);
  return ~c >>> 0;
}

/** A TIFF file of one strip from its tags; values of 16 bits. */
function tiffOf(little: boolean, tags: Readonly<Record<number, number>>, strip: Uint8Array): Uint8Array {
  const all: Record<number, number> = { 258: 8, 259: 1, 262: 1, 277: 1, 279: strip.length, ...tags };
  const entries = Object.entries({ ...all, 273: 8 + 2 + 12 * (Object.keys(all).length + 1) + 4 }).sort(
    (a, b) => Number(a[0]) - Number(b[0]),
  );
  const head = new DataView(new ArrayBuffer(8 + 2 + 12 * entries.length + 4));
  head.setUint16(0, little ? 0x4949 : 0x4d4d);
  head.setUint16(2, 42, little);
  head.setUint32(4, 8, little);
  head.setUint16(8, entries.length, little);
  entries.forEach(([tag, value], i) => {
    const at = 10 + 12 * i;
    head.setUint16(at, Number(tag), little);
    head.setUint16(at + 2, 3, little);
    head.setUint32(at + 4, 1, little);
    head.setUint16(at + 8, value, little);
  });
  return Uint8Array.of(...new Uint8Array(head.buffer), ...strip);
}

describe('TIFF', () => {
  it('[FP14] 8 and 16 bits of either byte order, by hand', async () => {
    const size = { 256: 3, 257: 2, 278: 2 };
    expect((await film(tiffOf(true, size, Uint8Array.of(1, 2, 3, 4, 5, 6)))).data).toEqual(
      Uint8Array.of(1, 2, 3, 4, 5, 6),
    );
    const wide = Uint8Array.of(1, 0, 2, 0, 3, 0, 0, 1, 0, 2, 0, 3);
    expect((await film(tiffOf(true, { ...size, 258: 16 }, wide))).data).toEqual(Uint16Array.of(1, 2, 3, 256, 512, 768));
    expect((await film(tiffOf(false, { ...size, 258: 16 }, wide))).data).toEqual(
      Uint16Array.of(256, 512, 768, 1, 2, 3),
    );
  });
  it('[FP14] where white is zero, numbers stay and high is dark', async () => {
    const read = await film(tiffOf(true, { 256: 2, 257: 1, 262: 0 }, Uint8Array.of(1, 2)));
    expect([read.inverted, ...read.data]).toEqual([true, 1, 2]);
  });
  it('[FP14] PackBits: the worked example of its definition', async () => {
    // TIFF 6.0 section 9 names the coding; this example is the one of its author's technical note TN1023, from memory.
    const packed = Uint8Array.of(
      0xfe,
      0xaa,
      0x02,
      0x80,
      0x00,
      0x2a,
      0xfd,
      0xaa,
      0x03,
      0x80,
      0x00,
      0x2a,
      0x22,
      0xf7,
      0xaa,
    );
    const read = await film(tiffOf(true, { 256: 24, 257: 1, 259: 32_773 }, packed));
    expect(Buffer.from(read.data).toString('hex')).toBe('aaaaaa80002aaaaaaaaa80002a22aaaaaaaaaaaaaaaaaaaa');
  });
  it('[FP14] LZW: the worked example of TIFF 6.0 section 13', () => {
    // 7 7 7 8 8 7 7 6 6 is coded as Clear 7 258 8 8 258 6 6 End, in codes of 9 bits.
    const codes = [256, 7, 258, 8, 8, 258, 6, 6, 257].map((code) => code.toString(2).padStart(9, '0')).join('');
    const bytes = codes.match(/.{1,8}/g)!.map((byte) => Number.parseInt(byte.padEnd(8, '0'), 2));
    const out = new Uint8Array(9);
    expect(unpackLzw(Uint8Array.from(bytes), out)).toBe(9);
    expect([...out]).toEqual([7, 7, 7, 8, 8, 7, 7, 6, 6]);
  });
  it('[FP14] Deflate with differences to the left', async () => {
    const read = await film(
      tiffOf(true, { 256: 3, 257: 2, 259: 8, 317: 2 }, zlibSync(Uint8Array.of(10, 1, 255, 20, 2, 2))),
    );
    expect([...read.data]).toEqual([10, 11, 10, 20, 22, 24]);
  });
  it('[FP7] strips that are missing or too short are errors', async () => {
    expect((await error(tiffOf(true, { 256: 3, 257: 3 }, new Uint8Array(6))))?.kind).toBe('truncated');
    expect((await error(tiffOf(true, { 256: 3, 257: 2, 278: 1 }, new Uint8Array(6))))?.kind).toBe('truncated');
    expect((await error(tiffOf(true, { 256: 60_000, 257: 1500 }, new Uint8Array(6))))?.kind).toBe('truncated');
    expect((await error(tiffOf(true, { 256: 3, 257: 2, 259: 7 }, new Uint8Array(6))))?.kind).toBe('not-supported');
  });
});

describe.skipIf(!toolsHere('dcm2pnm'))('pictures written by DCMTK', () => {
  const file = filmFile({ rows: 37, columns: 29, samples: eight, bitsStored: 8 });
  const large = filmLike(300, 250, 8, { noise: 200 });
  const largeFile = filmFile({ rows: 300, columns: 250, samples: large, bitsStored: 8 });
  it.each([
    ['interlaced PNG', '+on'],
    ['PNG', '-il', '+on'],
    ['TIFF with LZW', '+ot', '+Tl'],
    ['TIFF with PackBits', '+ot', '+Tr'],
    ['TIFF, uncompressed', '+ot', '+Tn'],
  ] as const)('[FP13] [FP14] %s: the numbers that were written', async (_, ...options) => {
    expect((await film(passedThrough(file, ['dcm2pnm', '-W', ...options]))).data).toEqual(eight);
    expect((await film(passedThrough(largeFile, ['dcm2pnm', '-W', ...options]))).data).toEqual(large);
  });
});

describe.skipIf(!toolsHere('dcmcjpeg', 'dcmdjpeg'))('JPEG written by DCMTK', () => {
  it.each([
    { name: 'grey', samples: eight, samplesPerPixel: 1, photometric: 'MONOCHROME2' },
    { name: 'equal colours', samples: coloured(eight, 3), samplesPerPixel: 3, photometric: 'RGB' },
  ] as const)(
    '[FP15] $name: within one grey level of DCMTK reading the same picture',
    async ({ samples, samplesPerPixel, photometric }) => {
      const file = filmFile({ rows: 37, columns: 29, samples, bitsStored: 8, samplesPerPixel, photometric });
      const coded = passedThrough(file, ['dcmcjpeg', '+eb', '+q', '80']);
      const source = sourceIn(coded);
      const { offset, length } = source.at.kind === 'encapsulated' ? source.at.fragments[0]! : { offset: 0, length: 0 };
      const read = await film(coded.slice(offset, offset + length));
      const other = sourceIn(passedThrough(coded, ['dcmdjpeg']));
      const there = other.at.kind === 'native' ? other.at.offset : -1;
      const worst = Array.from(read.data).reduce(
        (most, value, i) => Math.max(most, Math.abs(value - other.data[there + i * samplesPerPixel]!)),
        0,
      );
      expect(read.findings.map(({ code }) => code)).toEqual(['lossy-coding']);
      expect(worst).toBeLessThanOrEqual(1);
    },
  );
});

describe('the first bytes', () => {
  it('[FP16] tell the format; others are named', async () => {
    expect(pictureFormat(Uint8Array.of(0x4d, 0x4d, 0, 42))).toBe('tiff');
    expect(pictureFormat(new Uint8Array(200))).toBeUndefined();
    expect(await error(new TextEncoder().encode('solid cube'))).toEqual({
      kind: 'unknown-format',
      found: 'solid cu',
      needed: 'PNG, JPEG or TIFF',
    });
    expect((await error(new Uint8Array(0)))?.kind).toBe('unknown-format');
  });
});
