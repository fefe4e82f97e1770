import { describe, expect, it, test } from 'vitest';
import { codecsNode } from './codecs-node.ts';
import { decodePixels } from './decode-pixels.ts';
import { passedThrough, toolsHere } from './dicom-tools.fixture.ts';
import { filmFile, filmLike, sourceIn } from './film-file.fixture.ts';
import type { FilmPixels } from './pixel-source.ts';

// The independent coders and decoders are DCMTK (dcmcjpeg, dcmdjpeg, dcmcjpls, dcmdjpls, dcmcrle, dcmconv) and GDCM (gdcmconv).
const dcmtk = toolsHere('dcmcjpeg', 'dcmdjpeg', 'dcmcjpls', 'dcmdjpls', 'dcmcrle', 'dcmconv');
const gdcm = toolsHere('gdcmconv');

async function decoded(file: Uint8Array): Promise<FilmPixels> {
  const result = await decodePixels(sourceIn(file), codecsNode);
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
}

const rows = 61;
const columns = 47;
const depths = [
  { bits: 8, signed: false },
  { bits: 10, signed: false },
  { bits: 12, signed: false },
  { bits: 16, signed: false },
  { bits: 12, signed: true },
  { bits: 16, signed: true },
];
const lossless = [
  { name: 'big endian', step: ['dcmconv', '+tb'] },
  { name: 'run-length', step: ['dcmcrle'] },
  ...[1, 2, 3, 4, 5, 6, 7].map((p) => ({
    name: `JPEG lossless .57, predictor ${p}`,
    step: ['dcmcjpeg', '+el', '+sv', `${p}`],
  })),
  { name: 'JPEG lossless .70', step: ['dcmcjpeg', '+e1'] },
  { name: 'JPEG-LS .80', step: ['dcmcjpls', '+el'] },
] as const;

test.skipIf(dcmtk && gdcm)(
  'SKIPPED in part, independent coders are not here: install dcmtk and libgdcm-tools to compare',
  () => {},
);

describe.skipIf(!gdcm)('pictures coded by GDCM', () => {
  for (const { bits, signed } of depths) {
    const samples = filmLike(rows, columns, bits, { signed });
    const file = filmFile({ rows, columns, samples, bitsStored: bits, signed });
    for (const [name, option] of [
      ['JPEG 2000 .90', '--j2k'],
      ['JPEG-LS .80', '--jpegls'],
      ['JPEG lossless .70', '--jpeg'],
    ] as const) {
      it(`[FP1] ${name}, ${bits} bits${signed ? ' signed' : ''}: every stored number comes back as it was`, async () => {
        const film = await decoded(passedThrough(file, ['gdcmconv', option]));
        expect(film.data.length).toBe(samples.length);
        expect(film.data.every((value, i) => value === samples[i])).toBe(true);
      });
    }
  }
});

describe.skipIf(!dcmtk || !gdcm)('grey pictures kept as equal colours', () => {
  const grey = filmLike(rows, columns, 8);
  const samples = Uint8Array.from({ length: 3 * grey.length }, (_, i) => grey[Math.floor(i / 3)]!);
  const file = filmFile({ rows, columns, samples, bitsStored: 8, samplesPerPixel: 3, photometric: 'RGB' });
  it.each([
    ['run-length', 'dcmcrle'],
    ['JPEG lossless .57', 'dcmcjpeg', '+el'],
    ['JPEG lossless .70', 'dcmcjpeg', '+e1'],
    ['JPEG-LS .80', 'dcmcjpls', '+el'],
    ['JPEG-LS .80, pixel by pixel', 'dcmcjpls', '+el', '+is'],
    ['JPEG-LS .80, row by row', 'dcmcjpls', '+el', '+il'],
    ['JPEG-LS .80, plane by plane', 'dcmcjpls', '+el', '+in'],
    ['JPEG 2000 .90', 'gdcmconv', '--j2k'],
  ] as const)('[FP10] %s: the grey that was put in', async (_, ...step) => {
    expect((await decoded(passedThrough(file, step as never))).data).toEqual(grey);
  });
});

/** Largest difference, in grey levels of the film. */
const apart = (a: FilmPixels, b: FilmPixels): number =>
  Array.from(a.data).reduce((most, value, i) => Math.max(most, Math.abs(value - b.data[i]!)), 0);

describe.skipIf(!dcmtk || !gdcm)('pictures coded with loss', () => {
  const eight = filmFile({ rows, columns, samples: filmLike(rows, columns, 8), bitsStored: 8 });
  const twelve = filmFile({ rows, columns, samples: filmLike(rows, columns, 12), bitsStored: 12 });
  it.each([
    { name: 'JPEG baseline .50', file: eight, code: ['dcmcjpeg', '+eb', '+q', '80'], decode: ['dcmdjpeg'] },
    { name: '8-bit JPEG extended .51', file: eight, code: ['dcmcjpeg', '+ee', '+q', '80'], decode: ['dcmdjpeg'] },
    { name: '12-bit JPEG extended .51', file: twelve, code: ['dcmcjpeg', '+ee', '+q', '80'], decode: ['dcmdjpeg'] },
    { name: '8-bit JPEG-LS .81', file: eight, code: ['dcmcjpls', '+en', '+md', '3'], decode: ['dcmdjpls'] },
    { name: '12-bit JPEG-LS .81', file: twelve, code: ['dcmcjpls', '+en', '+md', '3'], decode: ['dcmdjpls'] },
    {
      name: '8-bit JPEG 2000 .91',
      file: eight,
      code: ['gdcmconv', '--lossy', '--j2k', '--irreversible', '-q', '40'],
      decode: ['gdcmconv', '--raw'],
    },
    {
      name: '12-bit JPEG 2000 .91',
      file: twelve,
      code: ['gdcmconv', '--lossy', '--j2k', '--irreversible', '-q', '40'],
      decode: ['gdcmconv', '--raw'],
    },
  ] as const)('[FP2] $name: within one grey level of an independent decoder', async ({ file, code, decode }) => {
    const coded = passedThrough(file, code as never);
    const independent = await decoded(passedThrough(coded, decode as never));
    const film = await decoded(coded);
    expect(sourceIn(coded).transferSyntax).not.toBe('1.2.840.10008.1.2.1');
    expect(film.findings.map((f) => f.code)).toContain('lossy-coding');
    expect(apart(film, independent)).toBeLessThanOrEqual(1);
  });
});

describe.skipIf(!dcmtk)('pictures coded by DCMTK', () => {
  for (const { bits, signed } of depths) {
    const samples = filmLike(rows, columns, bits, { signed });
    const file = filmFile({ rows, columns, samples, bitsStored: bits, signed });
    for (const { name, step } of lossless) {
      it(`[FP1] ${name}, ${bits} bits${signed ? ' signed' : ''}: every stored number comes back as it was`, async () => {
        const film = await decoded(passedThrough(file, step as unknown as [string, ...string[]]));
        expect([film.rows, film.columns]).toEqual([rows, columns]);
        expect(film.data.length).toBe(samples.length);
        expect(film.data.every((value, i) => value === samples[i])).toBe(true);
      });
    }
  }
});
