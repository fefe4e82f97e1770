import { expectOk } from '@kerfline/geometry';
import { describe, expect, test } from 'vitest';
import { converted, isThere } from './film-checkers.fixture.ts';
import { type FilmHeader, readFilmHeader } from './film-header.ts';
import { inventedBytes } from './written-film.fixture.ts';

const bytes = inventedBytes({
  spacing: { rowMm: 0.13, columnMm: 0.12 },
  calibration: { type: 'GEOMETRY', description: 'assumed' },
  region: { bodyPart: 'LEG', value: '30021000', scheme: 'SCT', meaning: 'Lower leg' },
});
const header = (file: Uint8Array): FilmHeader => expectOk(readFilmHeader(file), 'a film');
const values = ({ data, pixels, littleEndian }: FilmHeader): readonly number[] => {
  if (pixels.kind !== 'native') throw new Error('compressed');
  const view = new DataView(data.buffer, data.byteOffset + pixels.offset, pixels.length);
  return Array.from({ length: pixels.length / 2 }, (_, i) => view.getUint16(2 * i, littleEndian));
};
/** Without where and how it was written. */
const gist = ({ data: _d, pixels: _p, transferSyntax: _t, littleEndian: _l, findings, ...rest }: FilmHeader) => ({
  ...rest,
  codes: findings.map(({ code }) => code),
});

// dcmtk from Debian writes the same film anew in other forms. Where it is not installed this is skipped and shown as skipped.
describe('a film that another program has written anew', () => {
  test.runIf(isThere('dcmconv')).each([
    { options: ['+te'], syntax: '1.2.840.10008.1.2.1' },
    { options: ['+te', '-e'], syntax: '1.2.840.10008.1.2.1' },
    { options: ['+ti'], syntax: '1.2.840.10008.1.2' },
    { options: ['+ti', '-e'], syntax: '1.2.840.10008.1.2' },
    { options: ['+tb'], syntax: '1.2.840.10008.1.2.2' },
    { options: ['+tb', '-e'], syntax: '1.2.840.10008.1.2.2' },
    { options: ['+td'], syntax: '1.2.840.10008.1.2.1.99' },
    { options: ['+te', '+g'], syntax: '1.2.840.10008.1.2.1' },
    { options: ['+te', '+p', '512', '64'], syntax: '1.2.840.10008.1.2.1' },
  ])('[IM30] says the same and has the same pixels: $options', ({ options, syntax }) => {
    const again = header(converted('dcmconv', bytes, options));
    expect(again.transferSyntax).toBe(syntax);
    expect(gist(again)).toEqual(gist(header(bytes)));
    expect(values(again)).toEqual(values(header(bytes)));
  });

  test.runIf(isThere('dcmconv'))('[IM30] as a bare data set without preamble and group 2', () => {
    const again = header(converted('dcmconv', bytes, ['-F', '+ti']));
    expect(again.transferSyntax).toBe('1.2.840.10008.1.2');
    expect(again.findings.map(({ code }) => code)).toEqual(['no-preamble', 'transfer-syntax-assumed']);
    expect(values(again)).toEqual(values(header(bytes)));
  });

  test.runIf(isThere('dcmcjpeg') && isThere('dcmcrle')).each([
    { program: 'dcmcjpeg', options: ['+e1'], syntax: '1.2.840.10008.1.2.4.70', first: [0xff, 0xd8] },
    { program: 'dcmcjpls', options: [], syntax: '1.2.840.10008.1.2.4.80', first: [0xff, 0xd8] },
    // PS3.5 annex G.5: the header begins with the number of segments, 2 for 16 bits.
    { program: 'dcmcrle', options: [], syntax: '1.2.840.10008.1.2.5', first: [2, 0, 0, 0] },
  ])('[IM31] compressed is found where its code begins: $program', ({ program, options, syntax, first }) => {
    const again = header(converted(program, bytes, options));
    expect(again.transferSyntax).toBe(syntax);
    if (again.pixels.kind !== 'encapsulated') throw new Error('native');
    const { offset } = again.pixels.fragments[0]!;
    expect([...again.data.subarray(offset, offset + first.length)]).toEqual(first);
    const { stitched: _s, ...rest } = gist(again);
    expect(rest).toMatchObject({ rows: 6, columns: 5, bitsStored: 12, length: { state: 'GEOMETRY' } });
  });
});
