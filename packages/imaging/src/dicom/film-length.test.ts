import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { filmLength, filmLengthStates, filmLengthText, type LengthTags } from './film-length.ts';

const square = (mm: number) => ({ rowMm: mm, columnMm: mm });
const nothing: LengthTags = {
  pixelSpacing: null,
  imagerSpacing: null,
  scannedSpacing: null,
  calibrationType: null,
  description: null,
  ermf: null,
  sourceToDetectorMm: null,
  sourceToPatientMm: null,
};
const of = (tags: Partial<LengthTags>) => filmLength({ ...nothing, ...tags });
const codes = (tags: Partial<LengthTags>) => of(tags).findings.map(({ code }) => code);
const corrected = { pixelSpacing: square(0.125), imagerSpacing: square(0.15) };

describe('the states of length', () => {
  // PS3.3 10.7.1.1 to 10.7.1.3: equal is not corrected; different is; alone cannot be known unless a type is given.
  test.each([
    { tags: { ...corrected, calibrationType: 'FIDUCIAL' }, state: 'FIDUCIAL' },
    { tags: { pixelSpacing: square(0.1), calibrationType: 'FIDUCIAL' }, state: 'FIDUCIAL' },
    { tags: { ...corrected, calibrationType: 'GEOMETRY' }, state: 'GEOMETRY' },
    { tags: { pixelSpacing: square(0.1), calibrationType: 'GEOMETRY' }, state: 'GEOMETRY' },
    { tags: corrected, state: 'CORRECTED_UNKNOWN' },
    { tags: { ...corrected, calibrationType: 'OTHER' }, state: 'CORRECTED_UNKNOWN' },
    { tags: { imagerSpacing: square(0.1) }, state: 'DETECTOR' },
    { tags: { pixelSpacing: square(0.1), imagerSpacing: square(0.1) }, state: 'DETECTOR' },
    { tags: { pixelSpacing: square(0.1), scannedSpacing: square(0.1) }, state: 'DETECTOR' },
    { tags: { scannedSpacing: square(0.1) }, state: 'DETECTOR' },
    { tags: { pixelSpacing: square(0.1) }, state: 'UNKNOWN' },
    { tags: { pixelSpacing: square(0.1), calibrationType: 'OTHER' }, state: 'UNKNOWN' },
    { tags: {}, state: 'UNKNOWN' },
  ])('[IM39] $tags is $state', ({ tags, state }) => {
    expect(of(tags).state).toBe(state);
  });

  it('[IM39] a spacing that differs in one direction only is corrected', () => {
    const tags = { pixelSpacing: { rowMm: 0.15, columnMm: 0.14 }, imagerSpacing: square(0.15) };
    expect(of(tags).state).toBe('CORRECTED_UNKNOWN');
    expect(codes(tags)).toContain('magnification-differs-by-direction');
  });

  it('[IM39] the same number in other digits is the same spacing', () => {
    expect(of({ pixelSpacing: square(0.1430001), imagerSpacing: square(0.143) }).state).toBe('DETECTOR');
  });

  it('[IM39] gives one of the states and never a spacing that is not in the file', () => {
    const spacing = fc.option(fc.constantFrom(square(0.1), square(0.15), { rowMm: 0.1, columnMm: 0.2 }));
    const number = fc.option(fc.double({ min: -10, max: 3000, noNaN: true }));
    const anyTags = fc.record({
      pixelSpacing: spacing,
      imagerSpacing: spacing,
      scannedSpacing: spacing,
      calibrationType: fc.option(fc.constantFrom('FIDUCIAL', 'GEOMETRY', 'X')),
      description: fc.option(fc.string()),
      ermf: number,
      sourceToDetectorMm: number,
      sourceToPatientMm: number,
    });
    fc.assert(
      fc.property(anyTags, (tags) => {
        const length = filmLength(tags);
        expect(filmLengthStates).toContain(length.state);
        expect([tags.pixelSpacing, tags.imagerSpacing, tags.scannedSpacing]).toContainEqual(length.spacing);
        if (length.offered !== undefined) {
          expect(length.state).toBe('DETECTOR');
          expect(length.offered.factor).toBeGreaterThanOrEqual(1);
          expect(length.offered.spacing.rowMm).toBeLessThanOrEqual(length.spacing!.rowMm);
        }
        expect(filmLengthText(length).every((sentence) => sentence.endsWith('.'))).toBe(true);
      }),
    );
  });
});

describe('doubts about length', () => {
  // Limits of plausibility are a choice of this project (docs/methods.md), not of the standard.
  test.each([
    { why: 'a magnification of 1.20', tags: corrected, codes: ['both-spacings'] },
    {
      why: '1.36',
      tags: { ...corrected, imagerSpacing: square(0.17) },
      codes: ['both-spacings', 'magnification-unlikely'],
    },
    {
      why: 'below 1',
      tags: { ...corrected, imagerSpacing: square(0.12) },
      codes: ['both-spacings', 'magnification-below-one'],
    },
    { why: 'ERMF 1.205 for 1.20', tags: { ...corrected, ermf: 1.205 }, codes: ['both-spacings'] },
    {
      why: 'ERMF 1.22 for 1.20',
      tags: { ...corrected, ermf: 1.22 },
      codes: ['both-spacings', 'magnification-disagrees'],
    },
    {
      why: 'ERMF 1.1 and distances of 1.2',
      tags: { imagerSpacing: square(0.15), ermf: 1.1, sourceToDetectorMm: 1200, sourceToPatientMm: 1000 },
      codes: ['magnification-disagrees-with-distances'],
    },
    { why: 'ERMF 0.9', tags: { imagerSpacing: square(0.15), ermf: 0.9 }, codes: ['magnification-below-one'] },
    { why: 'ERMF 0', tags: { imagerSpacing: square(0.15), ermf: 0 }, codes: ['length-number-unusable'] },
    {
      why: 'a negative distance',
      tags: { imagerSpacing: square(0.15), sourceToDetectorMm: -1, sourceToPatientMm: 1000 },
      codes: ['length-number-unusable'],
    },
    {
      why: 'an unknown type',
      tags: { ...corrected, calibrationType: 'X' },
      codes: ['calibration-type-unknown', 'both-spacings'],
    },
    { why: 'a scan', tags: { scannedSpacing: square(0.15) }, codes: ['scanned-film'] },
  ])('[IM41] $why: $codes', ({ tags, codes: expected }) => {
    expect(codes(tags)).toEqual(expected);
  });

  it('[IM41] nothing is offered below a magnification of 1', () => {
    expect(of({ imagerSpacing: square(0.15), ermf: 0.9 }).offered).toBeUndefined();
  });

  it('[IM41] a stated factor is offered before one from distances, and says where it is from', () => {
    const distances = { sourceToDetectorMm: 1200, sourceToPatientMm: 1000 };
    expect(of({ imagerSpacing: square(0.12), ...distances }).offered).toMatchObject({ factor: 1.2, from: 'SID/SOD' });
    expect(of({ imagerSpacing: square(0.12), ermf: 1.25, ...distances }).offered).toMatchObject({
      factor: 1.25,
      from: 'ERMF',
    });
  });
});

describe('what is said beside lengths', () => {
  it('[IM42] at the detector says that lengths are too large by an unknown amount, and what to do', () => {
    const text = filmLengthText(of({ imagerSpacing: square(0.12), ermf: 1.2 })).join(' ');
    expect(text).toContain('measured at the detector');
    expect(text).toContain('larger than the object by an unknown amount');
    expect(text).toContain('Mark an object of known size');
    expect(text).toContain('lengths would be 0.1 mm down and 0.1 mm across a pixel');
    expect(text).toContain('not applied unless you choose so');
  });

  it('[IM42] a calibrated film names what it was calibrated on', () => {
    const text = filmLengthText(of({ ...corrected, calibrationType: 'FIDUCIAL', description: 'sphere of 25 mm' }));
    expect(text[0]).toBe('Calibrated on: sphere of 25 mm.');
  });

  it('[IM42] tells pixels alone from millimetres that are not verified', () => {
    expect(filmLengthText(of({}))[0]).toContain('only pixels');
    expect(filmLengthText(of({ pixelSpacing: square(0.1) }))[0]).toContain('not verified');
  });
});
