import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { type FilmLength, type FilmSpacing, filmLength } from './film-length.ts';

interface Case {
  readonly id: number;
  readonly PixelSpacing?: readonly [number, number];
  readonly ImagerPixelSpacing?: readonly [number, number];
  readonly ERMF?: number;
  readonly SDD?: number;
  readonly SOD?: number;
  readonly PixelSpacingCalibrationType?: string;
  readonly mm_per_px?: readonly [number, number];
}

/** Source: fixtures/published/pixel-spacing-cases/SOURCE.md. */
const file = new URL('../../../../fixtures/published/pixel-spacing-cases/cases.json', import.meta.url);
const { cases } = JSON.parse(readFileSync(file, 'utf8')) as { readonly cases: readonly Case[] };

/**
 * State of each case by the table of PS3.3 10.7.1.1 to 10.7.1.2, worked out by hand. Case 11 claims a fiducial with the
 * spacing of the detector: the list takes its spacing undivided, and so is nothing offered.
 */
const states: Readonly<Record<number, { readonly state: FilmLength['state']; readonly codes: readonly string[] }>> = {
  1: { state: 'UNKNOWN', codes: [] },
  2: { state: 'UNKNOWN', codes: [] },
  3: { state: 'UNKNOWN', codes: ['pixels-not-square'] },
  4: { state: 'DETECTOR', codes: [] },
  5: { state: 'DETECTOR', codes: ['magnification-unlikely'] },
  6: { state: 'DETECTOR', codes: ['magnification-disagrees-with-distances', 'magnification-unlikely'] },
  7: { state: 'DETECTOR', codes: ['magnification-unlikely'] },
  8: { state: 'DETECTOR', codes: ['length-number-unusable'] },
  9: { state: 'CORRECTED_UNKNOWN', codes: ['both-spacings', 'magnification-unlikely'] },
  10: { state: 'DETECTOR', codes: [] },
  11: { state: 'DETECTOR', codes: ['calibrated-but-as-detector'] },
};

const pair = (spacing: readonly [number, number] | undefined): FilmSpacing | null =>
  spacing === undefined ? null : { rowMm: spacing[0], columnMm: spacing[1] };

describe('the published cases of spacing', () => {
  test.each(cases)(
    '[IM40] case $id: the spacing of the list is the file’s, or is offered where the list divides',
    (one) => {
      const length = filmLength({
        pixelSpacing: pair(one.PixelSpacing),
        imagerSpacing: pair(one.ImagerPixelSpacing),
        scannedSpacing: null,
        calibrationType: one.PixelSpacingCalibrationType ?? null,
        description: null,
        ermf: one.ERMF ?? null,
        sourceToDetectorMm: one.SDD ?? null,
        sourceToPatientMm: one.SOD ?? null,
      });
      const expected = states[one.id]!;
      expect(length.state).toBe(expected.state);
      expect(length.findings.map(({ code }) => code)).toEqual(expected.codes);

      // The list divides in cases 5, 6, 7 and 10. Here the state stays DETECTOR with the spacing as it is, and what the list
      // expects is offered, never applied silently.
      const divides = [5, 6, 7, 10].includes(one.id);
      expect(length.offered !== undefined).toBe(divides);
      const spacing = divides ? length.offered!.spacing : length.spacing;
      if (divides) expect(length.spacing).toEqual(pair(one.ImagerPixelSpacing));
      if (one.mm_per_px === undefined) expect(spacing).toBeNull();
      else {
        expect(spacing!.rowMm).toBeCloseTo(one.mm_per_px[0], 12);
        expect(spacing!.columnMm).toBeCloseTo(one.mm_per_px[1], 12);
      }
    },
  );
});
