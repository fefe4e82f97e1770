import { expectOk } from '@kerfline/geometry';
import { describe, expect, it, test } from 'vitest';
import { joined, textBytes } from '../cube.fixture.ts';
import {
  codedItem,
  dicomFile,
  type FixtureForm,
  type FixtureSet,
  nested,
  smallFilm,
  without,
} from './dicom-file.fixture.ts';
import { type FilmFileError, filmFileErrorText } from './film-file-error.ts';
import { type FilmHeader, readFilmHeader } from './film-header.ts';
import { filmLimits } from './film-limits.ts';

const headerOf = (set: FixtureSet, form: FixtureForm = {}): FilmHeader =>
  expectOk(readFilmHeader(dicomFile(set, form)), 'a film');
function refused(bytes: Uint8Array, limits = filmLimits): FilmFileError {
  const read = readFilmHeader(bytes, limits);
  if (read.ok) throw new Error('was read');
  expect(filmFileErrorText(read.error)).toMatch(/^[A-Z].*\.$/);
  return read.error;
}
const refusal = (set: FixtureSet, form: FixtureForm = {}): FilmFileError => refused(dicomFile(set, form));

/** The first sample of each row, to see that the place of the pixels is right. */
function samples(header: FilmHeader): readonly number[] {
  if (header.pixels.kind !== 'native') throw new Error('compressed');
  const { offset, length } = header.pixels;
  const view = new DataView(header.data.buffer, header.data.byteOffset + offset, length);
  return Array.from({ length: length / 2 }, (_, i) => view.getUint16(2 * i, header.littleEndian));
}

const view = { '00540220': ['SQ', { items: [codedItem('R-10206', 'SRT', 'front'), nested(2)] }] } as const;

describe('a film in any form of the standard', () => {
  // PS3.5 annex A and PS3.10 chapter 7: what may be there or not.
  test.each<{ why: string; form: FixtureForm }>([
    { why: 'explicit little endian', form: {} },
    { why: 'implicit little endian', form: { transferSyntax: '1.2.840.10008.1.2' } },
    { why: 'explicit big endian', form: { transferSyntax: '1.2.840.10008.1.2.2' } },
    { why: 'deflated', form: { transferSyntax: '1.2.840.10008.1.2.1.99' } },
    { why: 'explicit, end marks instead of lengths', form: { marks: true } },
    { why: 'implicit, end marks instead of lengths', form: { transferSyntax: '1.2.840.10008.1.2', marks: true } },
    { why: 'big endian, end marks instead of lengths', form: { transferSyntax: '1.2.840.10008.1.2.2', marks: true } },
    { why: 'beginning with group 2', form: { preamble: false } },
    {
      why: 'beginning with group 2 of a deflated file',
      form: { preamble: false, transferSyntax: '1.2.840.10008.1.2.1.99' },
    },
    { why: 'beginning with group 8, explicit', form: { preamble: false, meta: false } },
    { why: 'beginning with group 8, implicit', form: { preamble: false, meta: false, explicit: false } },
    { why: 'beginning with group 8, big endian', form: { preamble: false, meta: false, littleEndian: false } },
    { why: 'without group 2 behind the preamble', form: { meta: false } },
    { why: 'said to be explicit but is not', form: { explicit: false } },
    { why: 'said to be implicit but is not', form: { transferSyntax: '1.2.840.10008.1.2', explicit: true } },
  ])('[IM30] is read with the same shape and pixels: $why', ({ form }) => {
    const header = headerOf(smallFilm(view), form);
    expect([header.columns, header.rows, header.bitsStored, header.highBit]).toEqual([3, 4, 12, 11]);
    expect(samples(header)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 4095]);
  });

  it('[IM30] says in a finding what was not as it should be', () => {
    const codes = (form: FixtureForm) => headerOf(smallFilm(), form).findings.map(({ code }) => code);
    expect(codes({})).toEqual([]);
    expect(codes({ preamble: false })).toEqual(['no-preamble']);
    expect(codes({ preamble: false, meta: false })).toEqual(['no-preamble', 'transfer-syntax-assumed']);
    expect(codes({ explicit: false })).toEqual(['transfer-syntax-differs']);
  });

  it('[IM30] has its pixels before elements that need a length of four bytes, of a kind the library does not know', () => {
    const set = smallFilm({ '7fe00001': ['OV', new Uint8Array(16)] });
    expect(samples(headerOf(set))[11]).toBe(4095);
  });

  it('[IM30] may have anything behind the pixels', () => {
    const bytes = joined(dicomFile(smallFilm()), textBytes('anything'));
    expect(readFilmHeader(bytes).ok).toBe(true);
  });

  it('[IM31] tells where the pieces of compressed pixels lie', () => {
    const pieces = [new Uint8Array(0), Uint8Array.of(1, 2, 3, 4), Uint8Array.of(5, 6)];
    const header = headerOf(smallFilm({ '7fe00010': ['OB', { pieces }] }), {
      transferSyntax: '1.2.840.10008.1.2.4.70',
    });
    if (header.pixels.kind !== 'encapsulated') throw new Error('native');
    const found = header.pixels.fragments.map(({ offset, length }) => [
      ...header.data.subarray(offset, offset + length),
    ]);
    expect(found).toEqual([
      [1, 2, 3, 4],
      [5, 6],
    ]);
    expect(header.pixels.offsets).toEqual([]);
    expect(header.transferSyntax).toBe('1.2.840.10008.1.2.4.70');
  });

  it('[IM31] gives the table of offsets, and a finding where the end mark alone is missing', () => {
    const pieces = [Uint8Array.of(0, 0, 0, 0), Uint8Array.of(1, 2)];
    const bytes = dicomFile(smallFilm({ '7fe00010': ['OB', { pieces }] }), { transferSyntax: '1.2.840.10008.1.2.5' });
    const whole = expectOk(readFilmHeader(bytes), 'whole');
    const cut = expectOk(readFilmHeader(bytes.subarray(0, bytes.length - 8)), 'without mark');
    expect(whole.pixels).toMatchObject({ offsets: [0] });
    expect(cut.pixels).toEqual(whole.pixels);
    expect(cut.findings.map(({ code }) => code)).toEqual(['no-end-of-pixel-data']);
    expect(refused(bytes.subarray(0, bytes.length - 9))).toMatchObject({ kind: 'truncated', found: 1, needed: 2 });
  });
});

describe('what a film says of itself', () => {
  it('[IM32] is given as it is', () => {
    const header = headerOf(
      smallFilm({
        '00080008': ['CS', 'DERIVED\\PRIMARY'],
        '00185101': ['CS', 'AP'],
        '00181110': ['DS', '1800'],
        '00181111': ['DS', '1650.5 '],
        '00181164': ['DS', '0.143\\0.144'],
        '00200020': ['CS', 'L\\F'],
        '00280004': ['CS', 'MONOCHROME1'],
        '00280103': ['US', [1]],
        '00280120': ['US', [0xffff]],
        '00280121': ['US', [0xfff0]],
        '00280301': ['CS', 'NO'],
        '00281050': ['DS', '2000\\1'],
        '00281051': ['DS', '4e3\\2'],
        '00281052': ['DS', '-5'],
        '00281053': ['DS', '2'],
        '20500020': ['CS', 'INVERSE'],
      }),
    );
    expect(header).toMatchObject({
      sopClass: 'DX',
      modality: 'DX',
      stitched: true,
      viewPosition: 'AP',
      patientOrientation: ['L', 'F'],
      sourceToDetectorMm: 1800,
      sourceToPatientMm: 1650.5,
      photometric: 'MONOCHROME1',
      signed: true,
      padding: { from: -16, to: -1 },
      burnedIn: 'no',
      window: { centre: 2000, width: 4000 },
      rescale: { slope: 2, intercept: -5 },
      presentationShape: 'INVERSE',
      samplesPerPixel: 1,
    });
    expect(header.length.spacing).toEqual({ rowMm: 0.143, columnMm: 0.144 });
  });

  it('[IM32] is null, none or not stated where the file is silent', () => {
    expect(headerOf(smallFilm())).toMatchObject({
      window: null,
      rescale: null,
      padding: null,
      sideTag: 'none',
      burnedIn: 'not-stated',
      viewPosition: null,
      patientOrientation: null,
      presentationShape: null,
      aspect: null,
      length: { state: 'UNKNOWN', spacing: null },
    });
  });

  it('[IM32] names no patient', () => {
    const { data: _, ...rest } = headerOf(smallFilm());
    expect(JSON.stringify(rest)).not.toMatch(/INVENTED|1234567|1950/);
  });

  // PS3.3 C.7.3.1 and C.8.11.1: R, L; in image laterality also U (unpaired) and B (both).
  test.each([
    { image: 'R', series: undefined, side: 'right' },
    { image: 'L', series: undefined, side: 'left' },
    { image: 'B', series: undefined, side: 'both' },
    { image: 'U', series: undefined, side: 'none' },
    { image: 'U', series: 'L', side: 'left' },
    { image: undefined, series: 'R', side: 'right' },
    { image: 'L', series: 'L', side: 'left' },
    { image: '', series: '', side: 'none' },
    { image: 'X', series: undefined, side: 'none' },
  ])('[IM33] the side of $image and $series is $side', ({ image, series, side }) => {
    const tags: Record<string, readonly ['CS', string]> = {};
    if (image !== undefined) tags['00200062'] = ['CS', image];
    if (series !== undefined) tags['00200060'] = ['CS', series];
    const header = headerOf(smallFilm(tags));
    expect(header.sideTag).toBe(side);
    expect(header.findings.map(({ code }) => code)).toEqual(image === 'X' ? ['side-tag-unknown'] : []);
  });

  test.each([
    { image: 'R', series: 'L' },
    { image: 'L', series: 'R' },
    { image: 'B', series: 'R' },
  ])('[IM33] sides $image and $series disagree and refuse the file', ({ image, series }) => {
    const error = refusal(smallFilm({ '00200060': ['CS', series], '00200062': ['CS', image] }));
    expect(error).toEqual({ kind: 'side-tags-disagree', imageLaterality: image, laterality: series });
  });
});

describe('what is no film', () => {
  const cls = (uid: string, modality = 'OT'): FixtureSet =>
    smallFilm({ '00080016': ['UI', `1.2.840.10008.5.1.4.1.1.${uid}`], '00080060': ['CS', modality] });
  // SOP classes: PS3.4 table B.5-1.
  test.each([
    { set: cls('2', 'CT'), found: 'a CT slice' },
    { set: cls('2.1', 'CT'), found: 'a CT slice' },
    { set: cls('4', 'MR'), found: 'an MR slice' },
    { set: cls('77.1.4', 'XC'), found: 'a colour photograph' },
    { set: cls('88.33', 'SR'), found: 'a report' },
    { set: cls('9.1.1', 'ECG'), found: 'another kind of object' },
    { set: smallFilm({ '00280008': ['IS', '2'] }), found: 'a run of 2 frames' },
    { set: without(smallFilm(), '7fe00010'), found: 'an object without pixels, or cut off before them' },
    {
      set: smallFilm({ '00280002': ['US', [3]], '00280004': ['CS', 'RGB'], '7fe00010': ['OW', new Uint8Array(72)] }),
      found: 'a colour image',
    },
  ])('[IM34] is refused and called what it is: $found', ({ set, found }) => {
    expect(refusal(set)).toEqual({ kind: 'not-a-film', found });
  });

  it('[IM34] a secondary capture may have three samples; whether it is grey is seen in its pixels', () => {
    const header = headerOf({
      ...cls('7'),
      '00280002': ['US', [3]],
      '00280004': ['CS', 'RGB'],
      '00280006': ['US', [1]],
      '00280100': ['US', [8]],
      '00280101': ['US', [8]],
      '00280102': ['US', [7]],
      '7fe00010': ['OB', new Uint8Array(36)],
    });
    expect(header).toMatchObject({ sopClass: 'SC', samplesPerPixel: 3, planar: true });
  });

  it('[IM34] another projection image is a film of another kind', () => {
    expect(headerOf(cls('12.1', 'XA'))).toMatchObject({ sopClass: 'other', modality: 'XA' });
  });

  it('[IM35] more pixels than the limit are refused by the numbers of the header alone', () => {
    const size = (rows: number, columns: number) =>
      refusal(smallFilm({ '00280010': ['US', [rows]], '00280011': ['US', [columns]] }));
    expect(size(12_001, 10)).toMatchObject({ kind: 'too-many-pixels', rows: 12_001, columns: 10 });
    expect(size(12_000, 4_001)).toMatchObject({ kind: 'too-many-pixels' });
    // 12,000 x 4,000 is allowed, and then the bytes are missing.
    expect(size(12_000, 4_000)).toMatchObject({ kind: 'truncated', found: 24, needed: 96_000_000 });
  });

  test.each([
    { key: '00280010', value: [0], needed: 'a number of at least 1' },
    { key: '00280100', value: [32], needed: '8 or 16' },
    { key: '00280101', value: [17], needed: '1 to 16' },
    { key: '00280102', value: [10], needed: '11 to 15' },
    { key: '00280103', value: [2], needed: '0 or 1' },
    { key: '00280002', value: [2], needed: '1 or 3' },
  ])('[IM35] $key of $value is refused: $needed', ({ key, value, needed }) => {
    expect(refusal(smallFilm({ [key]: ['US', value] }))).toMatchObject({
      kind: 'bad-value',
      found: `${value[0]}`,
      needed,
    });
  });

  it('[IM35] a missing number is named', () => {
    expect(refusal(without(smallFilm(), '00280010'))).toEqual({
      kind: 'missing-tag',
      tag: '(0028,0010)',
      name: 'Rows',
    });
  });

  it('[IM35] a palette is refused', () => {
    expect(refusal(smallFilm({ '00280004': ['CS', 'PALETTE COLOR'] }))).toMatchObject({
      kind: 'bad-value',
      found: 'PALETTE COLOR',
    });
  });
});

describe('numbers written as text', () => {
  test.each([
    { value: '0,143\\0,143', needed: 'a number with a decimal point instead of a comma' },
    { value: '0\\0', needed: 'two positive numbers' },
    { value: '-0.1\\0.1', needed: 'two positive numbers' },
    { value: '0.1', needed: 'two positive numbers' },
    { value: '0.1\\0.1\\0.1', needed: 'two positive numbers' },
    { value: 'NaN\\NaN', needed: 'a number' },
    { value: 'inf\\0.1', needed: 'a number' },
    { value: '1e999\\0.1', needed: 'a number' },
    { value: '0x1\\0.1', needed: 'a number' },
    { value: '0.1 mm\\0.1', needed: 'a number' },
    { value: '0.1\\', needed: 'a number' },
  ])('[IM36] $value is no spacing: $needed', ({ value, needed }) => {
    for (const key of ['00280030', '00181164', '00182010']) {
      expect(refusal(smallFilm({ [key]: ['DS', value] }))).toMatchObject({ kind: 'bad-value', found: value, needed });
    }
  });

  it('[IM36] the first is down, the second across; exponents, signs and blanks are allowed', () => {
    const header = headerOf(smallFilm({ '00280030': ['DS', ' +2.0E-1 \\.1'] }));
    expect(header.length.spacing).toEqual({ rowMm: 0.2, columnMm: 0.1 });
  });

  it('[IM36] a window that cannot be used is a finding, as the picture can be shown without', () => {
    const header = headerOf(smallFilm({ '00281050': ['DS', '10'], '00281051': ['DS', '0'] }));
    expect(header.window).toBeNull();
    expect(header.findings.map(({ code }) => code)).toEqual(['window-unusable']);
  });
});

describe('a damaged file', () => {
  it('[IM37] that ends early says how much is there and how much is needed', () => {
    const bytes = dicomFile(smallFilm());
    expect(refused(bytes.subarray(0, bytes.length - 5))).toMatchObject({
      kind: 'truncated',
      counted: 'bytes of pixel data',
      found: 19,
      needed: 24,
    });
    expect(refusal(smallFilm({ '7fe00010': ['OW', [1, 2, 3]] }))).toMatchObject({
      kind: 'truncated',
      found: 6,
      needed: 24,
    });
    expect(refused(bytes.subarray(0, bytes.length - 24 - 12 - 1))).toMatchObject({
      kind: 'truncated',
      found: 1,
      needed: 2,
    });
  });

  it('[IM37] every beginning of a film is refused, never taken for a whole one', () => {
    for (const form of [
      {},
      { transferSyntax: '1.2.840.10008.1.2' },
      { transferSyntax: '1.2.840.10008.1.2.1.99' },
      { marks: true },
    ]) {
      const bytes = dicomFile(smallFilm(view), form);
      for (let length = 0; length < bytes.length; length += 1) refused(bytes.subarray(0, length));
    }
  });

  it('[IM37] with more pixel data than the image takes is read, with a finding', () => {
    const header = headerOf(smallFilm({ '7fe00010': ['OW', new Uint8Array(30)] }));
    expect(header.findings.map(({ code }) => code)).toEqual(['more-pixel-data']);
    expect(header.pixels).toMatchObject({ length: 24 });
  });

  it('[IM37] that ends within a sequence without an end mark is cut off, not complete', () => {
    const bytes = dicomFile(without(smallFilm(view), '7fe00010'), { marks: true });
    // The sequence is the last element; its own end mark is the last 8 bytes.
    const error = refused(bytes.subarray(0, bytes.length - 8));
    expect(error).toMatchObject({ kind: 'truncated', found: bytes.length - 8, needed: bytes.length });
  });

  it('[IM37] with an element twice is refused', () => {
    const bytes = dicomFile(smallFilm());
    const end = bytes.length - 36;
    const again = joined(bytes.subarray(0, end), bytes.subarray(end - 10, end), bytes.subarray(end));
    expect(refused(again)).toMatchObject({ kind: 'bad-element', tag: '(0028,0103)', needed: 'each element once' });
  });

  it('[IM37] empty, or of another kind, is not DICOM', () => {
    expect(refused(new Uint8Array(0))).toEqual({ kind: 'empty-file' });
    expect(refused(textBytes('solid cube\nfacet normal')).kind).toBe('not-dicom');
    expect(refused(new Uint8Array(200)).kind).toBe('not-dicom');
  });

  it('[IM38] whose deflated part grows without end stops at the limit and names it', () => {
    // 60 MB of zeros are 60 kB deflated.
    const set = smallFilm({ '00204000': ['UT', new Uint8Array(60_000_000)] });
    const bytes = dicomFile(set, { transferSyntax: '1.2.840.10008.1.2.1.99' });
    expect(bytes.length).toBeLessThan(100_000);
    expect(refused(bytes, { ...filmLimits, mostBytes: 10_000_000 })).toEqual({
      kind: 'inflates-too-far',
      allowed: 10_000_000,
    });
    expect(readFilmHeader(bytes).ok).toBe(true);
  });

  it('[IM38] whose deflated part is damaged is refused', () => {
    const transferSyntax = '1.2.840.10008.1.2.1.99';
    const bytes = dicomFile(smallFilm(), { transferSyntax });
    // The stream begins behind group 2. RFC 1951, 3.2.3: the third kind of block does not exist.
    expect(refused(bytes.subarray(0, bytes.length - 5))).toMatchObject({ kind: 'bad-deflate' });
    const start = String.fromCharCode(...bytes).indexOf('1.2.3.4\0') + 8;
    expect(refused(bytes.subarray(0, start))).toMatchObject({ kind: 'bad-deflate', byte: start });
    bytes[start] = 7;
    expect(refused(bytes)).toMatchObject({ kind: 'bad-deflate' });
  });

  test.each([{ marks: true }, { marks: false }])(
    '[IM38] with sequences deeper than the limit is refused: $marks',
    ({ marks }) => {
      const at = (depth: number, transferSyntax: string) =>
        readFilmHeader(dicomFile(smallFilm(nested(depth)), { marks, transferSyntax }));
      for (const syntax of ['1.2.840.10008.1.2', '1.2.840.10008.1.2.1', '1.2.840.10008.1.2.2']) {
        expect(at(filmLimits.mostDepth, syntax).ok).toBe(true);
        expect(at(filmLimits.mostDepth + 1, syntax)).toMatchObject({
          error: { kind: 'too-deep', allowed: filmLimits.mostDepth },
        });
      }
    },
  );

  it('[IM38] with items side by side is not deep', () => {
    const items = Array.from({ length: 100 }, () => codedItem('1', 'DCM', 'x'));
    for (const marks of [true, false]) {
      expect(readFilmHeader(dicomFile(smallFilm({ '00081140': ['SQ', { items }] }), { marks })).ok).toBe(true);
    }
  });

  test.each([
    // An item of no length is 8 bytes: a large file could hold ten million.
    { why: 'empty items', body: [0xfe, 0xff, 0x00, 0xe0, 0, 0, 0, 0], from: 'SQ' },
    {
      why: 'sequences that never end',
      body: [...textBytes('\x08\x00\x40\x11SQ\0\0'), 255, 255, 255, 255, 0xfe, 0xff, 0, 0xe0, 255, 255, 255, 255],
      from: '',
    },
    { why: 'half marks in data without a type', body: [0xfe, 0xff, 1, 0], from: 'UN' },
    { why: 'data without an end mark', body: [0, 0, 0, 0], from: 'OB' },
  ])('[IM38] with endless $why is refused within two seconds', ({ body, from }) => {
    const head = from === '' ? [] : [...textBytes(`\x08\x00\x40\x11${from}\0\0`), 255, 255, 255, 255];
    const most = 20_000_000 / body.length;
    const much = new Uint8Array(most * body.length);
    for (let i = 0; i < most; i += 1) much.set(body, i * body.length);
    const bytes = joined(new Uint8Array(128), textBytes('DICM'), Uint8Array.from(head), much);
    const start = performance.now();
    const error = refused(bytes);
    expect(performance.now() - start).toBeLessThan(2000);
    expect(['too-many-elements', 'too-deep', 'bad-element']).toContain(error.kind);
  });

  it('[IM38] written in a way that is not known is refused with its name', () => {
    expect(refusal(smallFilm(), { transferSyntax: '1.2.840.113619.5.2' })).toEqual({
      kind: 'unknown-transfer-syntax',
      found: '1.2.840.113619.5.2',
    });
  });
});
