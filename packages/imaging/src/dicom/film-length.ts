import { doubt, type Finding, info, unreachable } from '@kerfline/geometry';

/** Millimetres of one pixel: down first, then across, as the standard orders them. */
export interface FilmSpacing {
  readonly rowMm: number;
  readonly columnMm: number;
}

/** What the file's millimetres are. A calibration made later belongs to the case and is no state of the file. */
export const filmLengthStates = ['FIDUCIAL', 'GEOMETRY', 'CORRECTED_UNKNOWN', 'DETECTOR', 'UNKNOWN'] as const;
export type FilmLengthState = (typeof filmLengthStates)[number];

/** What a reader could divide by to come from the detector to the object, and what that would give. Never applied here. */
export interface OfferedSpacing {
  readonly spacing: FilmSpacing;
  readonly factor: number;
  readonly from: 'ERMF' | 'SID/SOD';
}

export interface FilmLength {
  readonly state: FilmLengthState;
  /** Millimetres of a pixel as the file has them; what they are worth is said by `state`. */
  readonly spacing: FilmSpacing | null;
  readonly offered?: OfferedSpacing;
  /** Of the calibration, in the words of whoever made it. */
  readonly description: string | null;
  readonly findings: readonly Finding[];
}

/** What a file says about lengths; spacings are positive. */
export interface LengthTags {
  readonly pixelSpacing: FilmSpacing | null;
  readonly imagerSpacing: FilmSpacing | null;
  readonly scannedSpacing: FilmSpacing | null;
  readonly calibrationType: string | null;
  readonly description: string | null;
  /** Estimated Radiographic Magnification Factor. */
  readonly ermf: number | null;
  readonly sourceToDetectorMm: number | null;
  readonly sourceToPatientMm: number | null;
}

/** Two spacings count as one when they differ by less: files write the same number with 4 to 10 digits. @numerical */
const sameSpacing = 1e-5;
/**
 * Magnifications outside are doubted: an object between source and detector is never smaller than 1, and one more than
 * 1.35 lies a quarter of the way to the source. A choice of this project, not of the standard. @numerical
 */
const likelyMagnification = [1, 1.35] as const;
/** Two statements of one magnification that differ by more are doubted; a choice of this project. @numerical */
const sameMagnification = 0.01;

const close = (a: number, b: number, share: number): boolean => Math.abs(a - b) <= share * Math.abs(b);
const same = (a: FilmSpacing, b: FilmSpacing): boolean =>
  close(a.rowMm, b.rowMm, sameSpacing) && close(a.columnMm, b.columnMm, sameSpacing);
const divided = ({ rowMm, columnMm }: FilmSpacing, factor: number): FilmSpacing => ({
  rowMm: rowMm / factor,
  columnMm: columnMm / factor,
});

/**
 * What the millimetres of a film are, by the closed set of states.
 *
 * Pixel Spacing equal to the spacing at the detector is not corrected, whatever else the file claims; a different one is
 * corrected or calibrated; alone and without a type it cannot be known. A stated magnification is offered, never applied.
 * @source PS3.3 sections 10.7.1.1 to 10.7.1.3; limits of plausibility are this project's
 */
export function filmLength(tags: LengthTags): FilmLength {
  const findings: Finding[] = [];
  const detector = tags.imagerSpacing ?? tags.scannedSpacing;
  const { pixelSpacing, description } = tags;
  const type = calibrationType(tags, findings);
  const ermf = usable(tags.ermf, 'Estimated Radiographic Magnification Factor', findings);
  const ratio = distanceRatio(tags, findings);
  if (ermf !== null && ratio !== null && !close(ermf, ratio, sameMagnification)) {
    const message = `The file states a magnification of ${shown(ermf)}, but its distances give ${shown(ratio)}.`;
    findings.push(doubt('magnification-disagrees-with-distances', message));
  }
  if (detector !== null && tags.imagerSpacing === null) {
    const message = 'The image was scanned from a film; the spacing is that on the film, as at a detector.';
    findings.push(info('scanned-film', message));
  }
  const shownSpacing = pixelSpacing ?? detector;
  if (shownSpacing !== null && !close(shownSpacing.rowMm, shownSpacing.columnMm, sameSpacing)) {
    const message = `Pixels are not square: ${shown(shownSpacing.rowMm)} mm down and ${shown(shownSpacing.columnMm)} mm across.`;
    findings.push(info('pixels-not-square', message));
  }

  if (pixelSpacing === null && detector === null) {
    return { state: 'UNKNOWN', spacing: null, description, findings };
  }
  const uncorrected = [tags.imagerSpacing, tags.scannedSpacing].some(
    (s) => s !== null && pixelSpacing !== null && same(s, pixelSpacing),
  );
  const atDetector = detector !== null && (pixelSpacing === null || uncorrected);
  if (atDetector) {
    const claimed = pixelSpacing !== null && type !== null;
    if (claimed) {
      const message = `The file claims a calibration (${type}), but its spacing is that of the detector; it is taken as not calibrated.`;
      findings.push(doubt('calibrated-but-as-detector', message));
    }
    const offered = claimed ? null : offer(pixelSpacing ?? detector, ermf, ratio, findings);
    const length = { state: 'DETECTOR', spacing: pixelSpacing ?? detector, description, findings } as const;
    return offered === null ? length : { ...length, offered };
  }
  if (detector !== null && pixelSpacing !== null) impliedFindings(pixelSpacing, detector, ermf, findings);
  const state = type ?? (detector === null ? 'UNKNOWN' : 'CORRECTED_UNKNOWN');
  return { state, spacing: pixelSpacing, description, findings };
}

function calibrationType(tags: LengthTags, findings: Finding[]): 'FIDUCIAL' | 'GEOMETRY' | null {
  const type = tags.calibrationType;
  if (type === null || type === 'FIDUCIAL' || type === 'GEOMETRY') return type;
  findings.push(
    doubt('calibration-type-unknown', 'The file names a kind of calibration that the standard does not know.'),
  );
  return null;
}

/** A stated number that can be used: positive. */
function usable(value: number | null, name: string, findings: Finding[]): number | null {
  if (value === null || value > 0) return value;
  findings.push(doubt('length-number-unusable', `${name} is ${shown(value)}, which cannot be used.`));
  return null;
}

/** Distance to the detector over distance to the object; the latter is often that to the table, so this is only a check. */
function distanceRatio(tags: LengthTags, findings: Finding[]): number | null {
  const sid = usable(tags.sourceToDetectorMm, 'Distance Source to Detector', findings);
  const sod = usable(tags.sourceToPatientMm, 'Distance Source to Patient', findings);
  return sid === null || sod === null ? null : sid / sod;
}

/** What a stated magnification would make of the spacing at the detector; none below 1, which no object can have. */
function offer(
  detector: FilmSpacing,
  ermf: number | null,
  ratio: number | null,
  findings: Finding[],
): OfferedSpacing | null {
  const factor = ermf ?? ratio;
  if (factor === null) return null;
  const from = ermf === null ? 'SID/SOD' : 'ERMF';
  unlikelyFindings(factor, 'states', findings);
  return factor < 1 ? null : { spacing: divided(detector, factor), factor, from };
}

function impliedFindings(pixel: FilmSpacing, detector: FilmSpacing, ermf: number | null, findings: Finding[]): void {
  const down = detector.rowMm / pixel.rowMm;
  const across = detector.columnMm / pixel.columnMm;
  const both = `Spacing is ${shown(pixel.rowMm)} mm down and ${shown(pixel.columnMm)} mm across, and ${shown(detector.rowMm)} and ${shown(detector.columnMm)} mm at the detector; the first is used.`;
  findings.push(info('both-spacings', both));
  if (!close(down, across, sameMagnification)) {
    const message = `The spacings imply a magnification of ${shown(down)} down and ${shown(across)} across.`;
    findings.push(doubt('magnification-differs-by-direction', message));
  }
  const factor = Math.sqrt(down * across);
  unlikelyFindings(factor, 'implies', findings);
  if (ermf !== null && !close(factor, ermf, sameMagnification)) {
    const message = `The spacings imply a magnification of ${shown(factor)}, but the file states ${shown(ermf)}.`;
    findings.push(doubt('magnification-disagrees', message));
  }
}

function unlikelyFindings(factor: number, verb: string, findings: Finding[]): void {
  const [least, most] = likelyMagnification;
  if (factor < least) {
    const message = `The file ${verb} a magnification of ${shown(factor)}: below 1, as if the object lay behind the detector.`;
    findings.push(doubt('magnification-below-one', message));
  } else if (!(factor <= most)) {
    const message = `The file ${verb} a magnification of ${shown(factor)}; between ${least.toFixed(2)} and ${most.toFixed(2)} is usual.`;
    findings.push(doubt('magnification-unlikely', message));
  }
}

/** At most four decimals, for messages. */
const shown = (value: number): string => `${Number(value.toFixed(4))}`;

/** What to say beside lengths on the film: what its millimetres are, and what must be done before they are used. */
export function filmLengthText(length: FilmLength): readonly string[] {
  const said = stateText(length);
  if (length.offered === undefined) return said;
  const { spacing, factor, from } = length.offered;
  const source = from === 'ERMF' ? 'The file states a magnification' : 'The distances in the file give a magnification';
  const to = `${shown(spacing.rowMm)} mm down and ${shown(spacing.columnMm)} mm across a pixel`;
  return [
    ...said,
    `${source} of ${shown(factor)}; with it lengths would be ${to}. It is not applied unless you choose so.`,
  ];
}

function stateText({ state, spacing, description }: FilmLength): readonly string[] {
  switch (state) {
    case 'FIDUCIAL':
      return [
        `Calibrated on: ${description ?? 'an object that is not described'}.`,
        'Lengths hold at the depth of that object. Confirm that it lay where you measure before choosing a size.',
      ];
    case 'GEOMETRY':
      return [
        'Lengths are corrected for an assumed magnification.',
        'They hold at one depth, which the file does not state. Compare them with an object of known size where you can.',
      ];
    case 'CORRECTED_UNKNOWN':
      return [
        'Lengths are corrected, but the file does not say how.',
        'Mark an object of known size before choosing a size.',
      ];
    case 'DETECTOR':
      return [
        'Lengths on this image are measured at the detector. They are larger than the object by an unknown amount.',
        'Mark an object of known size before choosing a size.',
      ];
    case 'UNKNOWN':
      return [
        spacing === null
          ? 'This image has no millimetres, only pixels.'
          : 'Lengths are not verified: the file does not say whether they hold at the detector or in the object.',
        'Mark an object of known size before choosing a size.',
      ];
    default:
      return unreachable(state);
  }
}
