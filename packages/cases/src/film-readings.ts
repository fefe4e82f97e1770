import { doubt, type Finding } from '@kerfline/geometry';
import {
  ballCalibration,
  calibrationDefaults,
  type FilmCalibration,
  type FilmReading,
  type FilmScale,
  type PixelSpacing,
  rulerCalibration,
} from '@kerfline/knee';
import type { CaseFilm, CaseView } from './case-view.ts';
import type { FactsByBlob, FilmFacts } from './film-facts.ts';

const bone = (spacing: PixelSpacing, sd: number, method: string): FilmScale => ({ kind: 'bone', spacing, sd, method });

/**
 * What a millimetre is on a film: the file's length state with what was calibrated in the case.
 *
 * @source open-standards A1: only what was calibrated at the depth of the bone is a length of the bone.
 */
export function filmScale(
  film: Pick<CaseFilm, 'calibration' | 'fileName'>,
  facts: FilmFacts,
): { readonly scale: FilmScale; readonly findings: readonly Finding[] } {
  const { length } = facts;
  const fromFile = (): FilmScale =>
    length.spacing && length.state !== 'UNKNOWN'
      ? { kind: 'detector', spacing: length.spacing }
      : { kind: 'none', aspect: facts.aspect };
  const without = (...findings: readonly Finding[]) => ({ scale: fromFile(), findings });
  const made = film.calibration?.body;
  const who = [film.calibration?.by, film.calibration?.at.slice(0, 10)].filter(Boolean).join(', ');
  switch (made?.kind) {
    case 'ball':
    case 'ruler': {
      const calibrated = calibration(film, facts);
      if (!calibrated) break;
      const { spacing, sd, method, findings } = calibrated;
      return { scale: bone(spacing, sd, `${method}; by ${who}`), findings };
    }
    case 'confirmed':
      if (!length.spacing || (length.state !== 'FIDUCIAL' && length.state !== 'GEOMETRY')) break;
      return {
        scale: bone(
          length.spacing,
          calibrationDefaults.confirmed.value,
          `${length.description ?? 'calibrated in the file'}; confirmed at the depth of the bone by ${who}`,
        ),
        findings: [],
      };
    case 'offered':
      if (!length.offered) break;
      return {
        scale: bone(
          length.offered.spacing,
          calibrationDefaults.assumedDepth.value,
          `magnification ${length.offered.factor.toFixed(3)} from ${length.offered.from}, taken by ${who}`,
        ),
        findings: [],
      };
    case undefined:
      break;
  }
  switch (length.state) {
    case 'GEOMETRY':
      return length.spacing
        ? {
            scale: bone(
              length.spacing,
              calibrationDefaults.assumedDepth.value,
              length.description ?? 'corrected in the file for an assumed magnification',
            ),
            findings: [
              doubt(
                'assumed-magnification',
                `${film.fileName}: lengths are corrected for a magnification that was assumed, not seen; they may be off by ${100 * calibrationDefaults.assumedDepth.value} %. Calibrate the film on an object of known size.`,
              ),
            ],
          }
        : without();
    case 'FIDUCIAL':
      return without(
        doubt(
          'calibration-not-confirmed',
          `${film.fileName}: the file was calibrated on an object at an unknown depth. Confirm that it lay at the depth of the bone; until then lengths are not taken.`,
        ),
      );
    case 'CORRECTED_UNKNOWN':
      return without(
        doubt(
          'correction-not-stated',
          `${film.fileName}: lengths were corrected in a way that is not stated. Calibrate the film; until then lengths are not taken.`,
        ),
      );
    case 'DETECTOR':
    case 'UNKNOWN':
      return without();
  }
}

/** The calibration on a ball or a ruler that stands for a film; `undefined` where there is none that holds. */
function calibration(film: Pick<CaseFilm, 'calibration'>, facts: FilmFacts): FilmCalibration | undefined {
  const found = film.calibration && calibrated(film.calibration.body, facts);
  return found?.ok ? found.value : undefined;
}

/** What a calibration comes to on a film; of one that only confirms what the file says, nothing. */
export function calibrated(
  body: NonNullable<CaseFilm['calibration']>['body'],
  { length, aspect, sourceToDetectorMm }: FilmFacts,
): ReturnType<typeof ballCalibration> | undefined {
  const exposure = length.state === 'DETECTOR' ? { detector: aspect, sourceToDetectorMm } : {};
  return body.kind === 'ball'
    ? ballCalibration(body, aspect, exposure)
    : body.kind === 'ruler'
      ? rulerCalibration(body, aspect, exposure)
      : undefined;
}

/** Films whose files are known, as the leg takes them. */
export const filmReadings = (view: CaseView, facts: FactsByBlob): readonly FilmReading[] =>
  view.films.flatMap((film) => {
    const known = facts.get(film.blob);
    if (!known) return [];
    return [
      {
        id: film.id,
        view: film.view,
        posture: film.posture,
        side: film.side,
        columns: known.columns,
        rows: known.rows,
        scale: filmScale(film, known).scale,
        mirrored: film.mirrored,
        sourceMm: known.sourceToDetectorMm,
        marks: film.marks.map(({ name, pixel, covPx2, radiusPx }) => ({ name, pixel, covPx2, radiusPx })),
      },
    ];
  });

/** What should be known of the films of a case beside their marks: their files, and what a millimetre is on them. */
export const filmFindings = (view: CaseView, facts: FactsByBlob): readonly Finding[] =>
  view.films.flatMap((film) => {
    const known = facts.get(film.blob);
    return known ? [...known.findings, ...known.length.findings, ...filmScale(film, known).findings] : [];
  });
