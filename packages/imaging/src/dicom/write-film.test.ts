import { expectOk } from '@kerfline/geometry';
import dicomParser from 'dicom-parser';
import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { isThere, said } from './film-checkers.fixture.ts';
import { readFilmHeader } from './film-header.ts';
import { decimalText } from './write-part10.ts';
import { inventedBytes, inventedFilm } from './written-film.fixture.ts';

const films = [
  { why: 'DX', more: {} },
  { why: 'DX, smallest value white', more: { monochrome: 1 } },
  { why: 'DX of both sides, stitched', more: { side: 'both', stitched: true } },
  { why: 'CR', more: { modality: 'CR', side: 'right' } },
  { why: 'CR of both sides', more: { modality: 'CR', side: 'both' } },
  {
    why: 'DX, calibrated, with distances and a coded region',
    more: {
      spacing: { rowMm: 0.15 / 1.15, columnMm: 0.14 / 1.15 },
      calibration: { type: 'FIDUCIAL', description: 'sphere of 25 mm' },
      magnification: 1.15,
      sourceToDetectorMm: 1840,
      sourceToPatientMm: 1600,
      region: { bodyPart: 'LEG', value: '30021000', scheme: 'SCT', meaning: 'Lower leg' },
    },
  },
] as const;

describe('a film that was written', () => {
  it('[IM43] is read with everything that was put in', () => {
    const more = { spacing: { rowMm: 0.13, columnMm: 0.12 }, sourceToDetectorMm: 1800, monochrome: 1 } as const;
    const header = expectOk(readFilmHeader(inventedBytes(more)), 'film');
    expect(header).toMatchObject({
      sopClass: 'DX',
      transferSyntax: '1.2.840.10008.1.2.1',
      rows: 6,
      columns: 5,
      bitsAllocated: 16,
      bitsStored: 12,
      highBit: 11,
      photometric: 'MONOCHROME1',
      presentationShape: 'INVERSE',
      window: { centre: 1500, width: 3000 },
      rescale: { slope: 1, intercept: 0 },
      sideTag: 'left',
      viewPosition: 'AP',
      patientOrientation: ['L', 'F'],
      burnedIn: 'no',
      stitched: false,
      sourceToDetectorMm: 1800,
      length: { state: 'CORRECTED_UNKNOWN', spacing: { rowMm: 0.13, columnMm: 0.12 } },
    });
    const { pixels, data } = header;
    if (pixels.kind !== 'native') throw new Error('compressed');
    const values = new Uint16Array(data.slice(pixels.offset, pixels.offset + pixels.length).buffer);
    expect([...values]).toEqual([...inventedFilm().data]);
  });

  // A reader from outside the project, by the library's own way through the file.
  test.each(films)('[IM43] is read by an independent parser with its patient and identifiers: $why', ({ more }) => {
    const set = dicomParser.parseDicom(inventedBytes(more));
    expect(set.string('x00100010')).toBe('INVENTED^PERSON');
    expect(set.string('x00020003')).toBe('2.25.113');
    expect(set.string('x00080018')).toBe('2.25.113');
    expect(set.uint16('x00280010')).toBe(6);
    expect(set.elements.x7fe00010).toMatchObject({ vr: 'OW', length: 60 });
    expect(set.warnings).toEqual([]);
    // PS3.10 table 7.1-1: version 1, and the bytes from behind the group's length (at 144) to the data set.
    expect([...set.byteArray.subarray(156, 158)]).toEqual([0, 1]);
    expect(set.uint32('x00020000')).toBe(set.elements.x00080008!.dataOffset - 8 - 144);
  });

  it('[IM43] has numbers of at most 16 characters that are rounded, not cut', () => {
    // By hand: 1/7 = 0.142857142857142857...; 14 decimals fit behind "0.".
    expect(decimalText(1 / 7)).toBe('0.14285714285714');
    expect(decimalText(2 / 3)).toBe('0.66666666666667');
    expect(decimalText(-2 / 3)).toBe('-0.6666666666667');
    expect(decimalText(0.1)).toBe('0.1');
    fc.assert(
      fc.property(fc.double({ noNaN: true, min: -1e300, max: 1e300 }), (value) => {
        const text = decimalText(value);
        expect(text.length).toBeLessThanOrEqual(16);
        // Nine digits at least are left by "-", ".", and "e-308".
        expect(Math.abs(Number(text) - value)).toBeLessThanOrEqual(1e-8 * Math.abs(value));
      }),
    );
  });

  it('[IM43] with another number of values than pixels is a fault of the caller', () => {
    expect(() => inventedBytes({ rows: 7 })).toThrow('30 values for 7 rows of 5 columns');
  });

  // dicom3tools and dcmtk from Debian. Where they are not installed this is skipped and shown as skipped.
  const checkers = isThere('dciodvfy') && isThere('dcmftest');
  test.runIf(checkers).each(films)('[IM43] has no error by two validators from outside: $why', ({ more }) => {
    const bytes = inventedBytes(more);
    const { text } = said('dciodvfy', bytes);
    expect(text).toMatch(/^(DXImageForPresentation|CRImage)$/m);
    expect(text).not.toMatch(/^Error/m);
    expect(said('dcmftest', bytes)).toMatchObject({ status: 0, text: expect.stringMatching(/^yes/) });
  });
});
