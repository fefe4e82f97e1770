import { performance } from 'node:perf_hooks';
import { env } from 'node:process';
import fc from 'fast-check';
import { encode } from 'fast-png';
import { describe, expect, it } from 'vitest';
import { codecsNode } from './codecs-node.ts';
import { decodePixels } from './decode-pixels.ts';
import { passedThrough, toolsHere } from './dicom-tools.fixture.ts';
import { filmFile, filmLike, sourceIn } from './film-file.fixture.ts';
import { decodeJpegLossless } from './jpeg-lossless.ts';
import { pixelErrorText } from './pixel-error.ts';
import type { PixelSource } from './pixel-source.ts';
import { readPicture } from './read-picture.ts';

/** Mutations of each stream: few, or 100,000 with KERFLINE_FULL=1. Decoders that start anew each time are slower. */
const full = env.KERFLINE_FULL === '1';
const mutations = { own: full ? 100_000 : 1_000, compiled: full ? 100_000 : 60 };
/** A stream of a few thousand pixels is read in a few milliseconds; a pause of the machine must not fail the test. */
const longestRead = 3_000;

/** Bytes of a stream changed, cut, doubled or filled; `places` are shares of its length. */
const edits = fc.array(
  fc.record({
    at: fc.nat(65_535).map((n) => n / 65_536),
    kind: fc.constantFrom('flip', 'set', 'cut', 'drop', 'repeat', 'fill'),
    byte: fc.nat(255),
    run: fc.integer({ min: 1, max: 64 }),
  }),
  { minLength: 1, maxLength: 4 },
);
type Edits = typeof edits extends fc.Arbitrary<infer T> ? T : never;

function edited(bytes: Uint8Array, list: Edits): Uint8Array {
  let out = bytes.slice();
  for (const { at, kind, byte, run } of list) {
    const place = Math.floor(at * out.length);
    if (kind === 'flip' && place < out.length) out[place]! ^= 1 << (byte & 7);
    else if (kind === 'set' && place < out.length) out[place] = byte;
    else if (kind === 'cut') out = out.slice(0, place);
    else if (kind === 'fill') out.fill(byte, place, place + run);
    else if (kind === 'drop') out = Uint8Array.of(...out.subarray(0, place), ...out.subarray(place + run));
    else if (kind === 'repeat')
      out = Uint8Array.of(
        ...out.subarray(0, place + run),
        ...out.subarray(place, place + run),
        ...out.subarray(place + run),
      );
  }
  return out;
}

async function survives(read: () => Promise<{ readonly ok: boolean }>): Promise<void> {
  const before = performance.now();
  const result = (await read()) as Awaited<ReturnType<typeof decodePixels>>;
  expect(performance.now() - before).toBeLessThan(longestRead);
  if (!result.ok) expect(pixelErrorText(result.error).length).toBeGreaterThan(10);
  else expect(result.value.data.length).toBe(result.value.rows * result.value.columns);
}

const streamOf = (source: PixelSource): Uint8Array => {
  if (source.at.kind !== 'encapsulated') throw new Error('not compressed');
  const { offset, length } = source.at.fragments[0]!;
  return source.data.slice(offset, offset + length);
};

const rows = 23;
const columns = 31;
const fileOf = (bits: number) => filmFile({ rows, columns, samples: filmLike(rows, columns, bits), bitsStored: bits });

describe.skipIf(!toolsHere('dcmcjpeg', 'dcmcjpls', 'dcmcrle', 'gdcmconv'))(
  'changed streams of compressed pictures',
  () => {
    it.each([
      { name: 'run-length', bits: 12, step: ['dcmcrle'], many: mutations.own },
      { name: 'JPEG lossless', bits: 12, step: ['dcmcjpeg', '+el', '+sv', '6'], many: mutations.own },
      { name: 'JPEG baseline', bits: 8, step: ['dcmcjpeg', '+eb'], many: mutations.compiled },
      { name: 'JPEG extended', bits: 12, step: ['dcmcjpeg', '+ee'], many: mutations.own },
      { name: 'JPEG-LS', bits: 12, step: ['dcmcjpls', '+el'], many: mutations.own },
      { name: 'JPEG 2000', bits: 12, step: ['gdcmconv', '--j2k'], many: mutations.compiled },
    ] as const)(
      '[FP17] $name: any bytes give a result, in time',
      async ({ bits, step, many }) => {
        const source = sourceIn(passedThrough(fileOf(bits), step as never));
        const stream = streamOf(source);
        await fc.assert(
          fc.asyncProperty(edits, async (list) => {
            const data = edited(stream, list);
            await survives(() =>
              decodePixels(
                { ...source, data, at: { kind: 'encapsulated', fragments: [{ offset: 0, length: data.length }] } },
                codecsNode,
              ),
            );
          }),
          { numRuns: many },
        );
      },
      3_600_000,
    );

    it.each([
      { name: 'run-length', step: ['dcmcrle'] },
      { name: 'JPEG lossless', step: ['dcmcjpeg', '+el'] },
      { name: 'JPEG baseline', step: ['dcmcjpeg', '+eb'] },
      { name: 'JPEG-LS', step: ['dcmcjpls', '+el'] },
      { name: 'JPEG 2000', step: ['gdcmconv', '--j2k'] },
    ] as const)('[FP7] $name: a stream cut off anywhere is an error', async ({ step }) => {
      const large = filmFile({ rows: 230, columns: 310, samples: filmLike(230, 310, 8), bitsStored: 8 });
      const source = sourceIn(passedThrough(large, step as never));
      const stream = streamOf(source);
      for (const share of [0, 0.001, 0.02, 0.2, 0.5, 0.8, 0.95, 0.995]) {
        const data = stream.slice(0, Math.floor(share * stream.length));
        const at = { kind: 'encapsulated', fragments: [{ offset: 0, length: data.length }] } as const;
        const result = await decodePixels({ ...source, data, at }, codecsNode);
        expect({ share, ok: result.ok }).toEqual({ share, ok: false });
      }
    });
  },
);

describe('changed picture files', () => {
  const png = encode({
    width: columns,
    height: rows,
    data: filmLike(rows, columns, 16) as Uint16Array,
    depth: 16,
    channels: 1,
  });
  it('[FP17] PNG: any bytes give a result, in time', async () => {
    await fc.assert(
      fc.asyncProperty(edits, (list) => survives(() => readPicture(edited(png, list), codecsNode))),
      { numRuns: mutations.own },
    );
  }, 3_600_000);

  describe.skipIf(!toolsHere('dcm2pnm'))('written by DCMTK', () => {
    it.each(['+Tl', '+Tr', '+Tn'])(
      '[FP17] TIFF %s: any bytes give a result, in time',
      async (option) => {
        const tiff = passedThrough(fileOf(8), ['dcm2pnm', '-W', '+ot', option]);
        await fc.assert(
          fc.asyncProperty(edits, (list) => survives(() => readPicture(edited(tiff, list), codecsNode))),
          { numRuns: mutations.own },
        );
      },
      3_600_000,
    );
  });
});

describe('long work', () => {
  it('[FP18] tells how far it is, and ends when asked', () => {
    // By hand: a table with one code, "0" for no difference; 200 rows of 16 pixels are 400 zero bytes.
    const header = [0xff, 0xd8, 0xff, 0xc3, 0, 11, 8, 0, 200, 0, 16, 1, 1, 0x11, 0];
    const table = [0xff, 0xc4, 0, 20, 0, 1, ...new Array(15).fill(0), 0];
    const scan = [0xff, 0xda, 0, 8, 1, 1, 0, 1, 0, 0];
    const stream = Uint8Array.of(...header, ...table, ...scan, ...new Array(400).fill(0), 0xff, 0xd9);
    const wanted = { rows: 200, columns: 16, components: 1, mostBits: 8 };
    const shares: number[] = [];
    const whole = decodeJpegLossless(stream, wanted, { progress: (share) => shares.push(share) });
    expect(whole.ok && whole.value.every((value) => value === 128)).toBe(true);
    expect(shares).toEqual([0.32, 0.64, 0.96]);
    expect(decodeJpegLossless(stream, wanted, { stop: () => true })).toEqual({ ok: false, error: { kind: 'stopped' } });
  });
});
