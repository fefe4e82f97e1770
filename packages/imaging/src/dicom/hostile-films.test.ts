import { env, memoryUsage } from 'node:process';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { byteEdits, type Edit, place, replaced } from '../byte-edits.fixture.ts';
import { joined, textBytes } from '../cube.fixture.ts';
import { deidentified } from './deidentified.ts';
import { codedItem, dicomFile, type FixtureForm, smallFilm } from './dicom-file.fixture.ts';
import { filmFileErrorText } from './film-file-error.ts';
import { type FilmHeader, readFilmHeader } from './film-header.ts';
import { filmLengthStates, filmLengthText } from './film-length.ts';
import { filmLimits } from './film-limits.ts';

/** Mutations of each file: 2,000, or 100,000 with KERFLINE_FULL=1. */
const mutations = env.KERFLINE_FULL === '1' ? 100_000 : 2_000;
/** A file of a few hundred bytes is read in well under a millisecond; a pause of the machine must not fail the test. */
const longestRead = 1000;
/** What one array may take for a file of a few hundred bytes: a deflated one grows a thousandfold at most. */
const largestArray = 2_000_000;
/** The whole run may leave so much more memory in use. */
const mostMegabytes = 400;

const film = smallFilm({
  '00081140': ['SQ', { items: [{ '00081150': ['UI', '1.2'], '00081155': ['UI', '1.3'] }] }],
  '00082218': ['SQ', { items: [codedItem('30021000', 'SCT', 'part')] }],
  '00181110': ['DS', '1800'],
  '00181111': ['DS', '1600'],
  '00181114': ['DS', '1.125'],
  '00181164': ['DS', '0.150\\0.140'],
  '00200062': ['CS', 'L'],
  '00280030': ['DS', '0.1333\\0.1244'],
  '00280a04': ['LO', 'sphere'],
  '00281050': ['DS', '2000'],
  '00281051': ['DS', '4000'],
  '00283010': ['SQ', { items: [{ '00283002': ['US', [2, 0, 16]], '00283006': ['US', [1, 0xffff]] }] }],
});
const pieces = [new Uint8Array(4), Uint8Array.of(1, 2, 3, 4, 5, 6), Uint8Array.of(7, 8)];
const compressed = smallFilm({ '7fe00010': ['OB', { pieces }] });
const forms: readonly { readonly name: string; readonly bytes: Uint8Array }[] = (
  [
    { name: 'explicit little endian', form: {} },
    { name: 'implicit little endian', form: { transferSyntax: '1.2.840.10008.1.2' } },
    { name: 'explicit big endian', form: { transferSyntax: '1.2.840.10008.1.2.2' } },
    { name: 'deflated', form: { transferSyntax: '1.2.840.10008.1.2.1.99' } },
    { name: 'with end marks', form: { marks: true } },
    { name: 'implicit with end marks', form: { transferSyntax: '1.2.840.10008.1.2', marks: true } },
    { name: 'without preamble', form: { preamble: false, meta: false, explicit: false } },
  ] satisfies readonly { readonly name: string; readonly form: FixtureForm }[]
)
  .map(({ name, form }) => ({ name, bytes: dicomFile(film, form) }))
  .concat({ name: 'compressed', bytes: dicomFile(compressed, { transferSyntax: '1.2.840.10008.1.2.4.70' }) });

/** The preamble holds nothing, so places lie behind it where there is one. */
const { offset, flippedBit, shortened, withInsertion, withDeletion, withRepetition } = byteEdits((bytes) =>
  bytes.length > 132 && bytes[128] === 0x44 ? 132 : 0,
);
/** What readers stumble over: marks of items and sequences, lengths without end, pixel data, VRs, nothing. */
const stones = fc.constantFrom(
  [0xfe, 0xff, 0x00, 0xe0],
  [0xfe, 0xff, 0x0d, 0xe0],
  [0xfe, 0xff, 0xdd, 0xe0],
  [0xfe, 0xff, 0x00, 0xe0, 255, 255, 255, 255],
  [0xff, 0xfe, 0xe0, 0x00, 255, 255, 255, 255],
  [255, 255, 255, 255],
  [255, 255, 255, 127],
  [0, 0, 0, 128],
  [0, 0, 0, 0],
  [1, 0],
  [0xe0, 0x7f, 0x10, 0x00],
  [...textBytes('SQ\0\0')],
  [...textBytes('UN\0\0')],
  [...textBytes('OB')],
  [...textBytes('OV\0\0')],
  [...textBytes('??')],
);
const withStone = fc.tuple(place, stones).map(
  ([share, stone]): Edit =>
    (bytes) => {
      const at = offset(share, bytes);
      return replaced(bytes, at, Math.min(bytes.length, at + stone.length), Uint8Array.from(stone));
    },
);
const numbers = fc.oneof(
  fc.constantFrom(
    'nan',
    'inf',
    '-1',
    '0',
    '1e999',
    '1e-999',
    '1,5',
    '0x7f',
    '1e',
    '--1',
    '\\',
    '',
    '\0\0',
    '4294967296',
  ),
  fc.constantFrom('1.23456789012345678', '-999999999999999.5', '1e300', '99999999999999999999'),
  fc.integer().map(String),
  fc.double().map(String),
);
/** One of the written numbers becomes another; padded or cut so that lengths stay right half the time. */
const withNumber = fc.tuple(place, numbers, fc.boolean()).map(
  ([share, number, sameLength]): Edit =>
    (bytes) => {
      const text = String.fromCharCode(...bytes);
      const found = [...text.matchAll(/-?\d+\.?\d*/g)];
      const one = found[Math.min(found.length - 1, Math.floor(share * found.length))];
      if (one === undefined) return bytes;
      const by = sameLength ? number.padEnd(one[0].length).slice(0, one[0].length) : number;
      return replaced(bytes, one.index, one.index + one[0].length, textBytes(by));
    },
);
const anyEdit = fc.oneof(
  { arbitrary: flippedBit, weight: 5 },
  { arbitrary: withNumber, weight: 4 },
  { arbitrary: withStone, weight: 5 },
  { arbitrary: fc.oneof(shortened, withInsertion, withDeletion, withRepetition), weight: 4 },
);
const anyEdits = fc.oneof(fc.tuple(anyEdit), fc.array(anyEdit, { minLength: 2, maxLength: 4 }));

function mustBeSound(header: FilmHeader): void {
  const { rows, columns, samplesPerPixel, bitsAllocated, pixels, data, length } = header;
  const within = (place: { readonly offset: number; readonly length: number }) => {
    if (!(place.offset >= 0 && place.length >= 0 && place.offset + place.length <= data.length))
      throw new Error('outside');
  };
  if (!(rows * columns >= 1 && rows * columns <= filmLimits.mostPixels)) throw new Error('size');
  if (pixels.kind === 'encapsulated') pixels.fragments.forEach(within);
  else {
    within(pixels);
    if (8 * pixels.length !== rows * columns * samplesPerPixel * bitsAllocated) throw new Error('number of bytes');
  }
  if (!filmLengthStates.includes(length.state)) throw new Error('state');
  for (const spacing of [length.spacing, length.offered?.spacing]) {
    if (spacing && !(spacing.rowMm > 0 && spacing.columnMm > 0)) throw new Error('spacing');
  }
  if (filmLengthText(length).length === 0) throw new Error('no text');
}

/** The bytes of the largest array that is asked for. */
let largest = 0;
describe('a film file with anything in it', () => {
  beforeEach(() => {
    const original = Uint8Array;
    vi.stubGlobal(
      'Uint8Array',
      new Proxy(original, {
        construct(target, args, newTarget) {
          if (typeof args[0] === 'number') largest = Math.max(largest, args[0]);
          return Reflect.construct(target, args, newTarget);
        },
      }),
    );
  });
  afterEach(() => {
    vi.unstubAllGlobals();
  });

  /** Reads once; fails on a throw, a long read, a large array, or if what is read is not sound or cannot be de-identified. */
  const mustStayCalm = (bytes: Uint8Array): boolean => {
    largest = 0;
    const start = performance.now();
    const read = readFilmHeader(bytes);
    const clean = deidentified(bytes, { salt: '0123456789abcdef' });
    const time = performance.now() - start;
    if (time > longestRead) throw new Error(`took ${time} ms`);
    if (largest > largestArray) throw new Error(`an array of ${largest} bytes for a file of ${bytes.length}`);
    if (!read.ok) {
      if (clean.ok) throw new Error('no film, but de-identified');
      if (filmFileErrorText(read.error) === '') throw new Error('no text');
      return false;
    }
    mustBeSound(read.value);
    if (!clean.ok) throw new Error('a film, but not de-identified');
    const again = readFilmHeader(clean.value.bytes);
    if (!again.ok) throw new Error(`not read again: ${filmFileErrorText(again.error)}`);
    const gist = ({ rows, columns, sideTag, stitched, signed, padding, length }: FilmHeader) =>
      JSON.stringify([rows, columns, sideTag, stitched, signed, padding, length.state, length.offered?.from]);
    if (gist(again.value) !== gist(read.value)) throw new Error(`${gist(read.value)} became ${gist(again.value)}`);
    return true;
  };

  it.each(forms)(
    '[IM50] is refused or is sound, without a throw, a hang or a large array: $name',
    ({ bytes }) => {
      expect(mustStayCalm(bytes)).toBe(true);
      const before = memoryUsage().rss;
      let accepted = 0;
      fc.assert(
        fc.property(anyEdits, (edits) => {
          if (mustStayCalm(edits.reduce((changed, edit) => edit(changed), bytes))) accepted += 1;
        }),
        { numRuns: mutations },
      );
      // Neither all nor none: the edits reach beyond the first check, and do harm.
      expect(accepted).toBeGreaterThan(mutations / 100);
      expect(accepted).toBeLessThan(mutations);
      expect((memoryUsage().rss - before) / 1e6).toBeLessThan(mostMegabytes);
    },
    1_200_000,
  );

  it('[IM50] of noise alone, behind the mark or not, is refused', () => {
    const mark = joined(new Uint8Array(128), textBytes('DICM'));
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), fc.boolean(), (bytes, marked) => {
        expect(mustStayCalm(marked ? joined(mark, bytes) : bytes)).toBe(false);
      }),
      { numRuns: mutations },
    );
  });
});
