import { doubt, err, type Finding, fitCircle, ok, type Result } from '@kerfline/geometry';
import { type ScalarDefault, workingDefault } from '../../defaults/clinical-default.ts';
import { type Refusal, refusal } from '../../refusal.ts';
import type { Pixel, PixelSpacing } from './film.ts';

/** What a film's own object of known size is worth where nobody measured it. */
export const calibrationDefaults = {
  sourceToObject: {
    name: 'Films: distance from the source to a calibration object, unknown',
    unit: 'mm',
    value: 1000,
    usedFor: 'what a calibration at one depth is worth at another',
    source: workingDefault,
  },
  sourceToObjectSd: {
    name: 'Films: how far that distance may be off, as a share of it',
    unit: 'share',
    value: 0.3,
    usedFor: 'spread of a calibration that is carried from one depth to another',
    source: workingDefault,
  },
  edgePointSd: {
    name: 'Films: how far a point on the edge of a calibration object may be off',
    unit: 'mm',
    value: 0.2,
    usedFor: 'spread of a calibration',
    source: workingDefault,
  },
  depthSd: {
    name: 'Films: how far the depth of a calibration object may be off where nobody says it',
    unit: 'mm',
    value: 15,
    usedFor: 'spread of a calibration',
    source: workingDefault,
  },
  confirmed: {
    name: 'Films: how far off lengths are where the file was calibrated and that was confirmed',
    unit: 'share',
    value: 0.02,
    usedFor: 'spread of lengths on the film: an object 20 mm from the bone at 1000 mm',
    source: workingDefault,
  },
  assumedDepth: {
    name: 'Films: how far off lengths are where a magnification was assumed',
    unit: 'share',
    value: 0.05,
    usedFor: 'spread of lengths on the film: a bone 50 mm from where it was assumed at 1000 mm',
    source: workingDefault,
  },
} as const satisfies Record<string, ScalarDefault>;

/** A calibration object's place beside the bone. */
export interface ObjectDepth {
  /** How far it lay from the bone towards the source, mm; behind the bone is negative. */
  readonly depthMm: number;
  /** How far that may be off. */
  readonly depthSdMm: number;
}

/** What the file says of the geometry of the exposure. */
export interface ExposureGeometry {
  /** Millimetres of a pixel at the detector. */
  readonly detector?: PixelSpacing | undefined;
  readonly sourceToDetectorMm?: number | undefined;
}

/** Millimetres of a pixel in the plane of the bone. */
export interface FilmCalibration {
  readonly spacing: PixelSpacing;
  /** How far it may be off, as a share. */
  readonly sd: number;
  readonly method: string;
  readonly findings: readonly Finding[];
}

/** A length on the film in units of `aspect`, how far it may be off in the same units, and what was seen. */
interface Measured {
  readonly length: number;
  readonly sd: (edgePointSd: number) => number;
  readonly words: string;
  readonly findings: readonly Finding[];
}

/**
 * From a length on the film to the bone's millimetres.
 *
 * In the plane of the object a pixel is `size / length`. The bone lies `depth` farther from the source, where a pixel is larger
 * by `1 + depth / (source to object)`. The distance follows from the detector's spacing and its distance where the file tells both.
 *
 * @source A calibration is true at one depth, d/SOD (open-standards A1); mm of a pixel = true size / size on the film.
 */
function fromMeasured(
  sizeMm: number,
  measured: Measured,
  aspect: PixelSpacing,
  { depthMm, depthSdMm }: ObjectDepth,
  { detector, sourceToDetectorMm }: ExposureGeometry,
): FilmCalibration {
  const perUnit = sizeMm / measured.length;
  const known = detector !== undefined && sourceToDetectorMm !== undefined && sourceToDetectorMm > 0;
  const sourceMm = known
    ? (sourceToDetectorMm * perUnit * aspect.columnMm) / detector.columnMm
    : calibrationDefaults.sourceToObject.value;
  const factor = perUnit * (1 + depthMm / sourceMm);
  const sd = Math.hypot(
    measured.sd(calibrationDefaults.edgePointSd.value / perUnit) / measured.length,
    depthSdMm / sourceMm,
    known ? 0 : (depthMm / sourceMm) * calibrationDefaults.sourceToObjectSd.value,
  );
  const where =
    depthMm === 0
      ? 'at the depth of the bone'
      : `${Math.abs(depthMm)} mm ${depthMm > 0 ? 'nearer to' : 'farther from'} the source than the bone and ${Math.round(sourceMm)} mm from the source${known ? '' : ' (assumed)'}`;
  return {
    spacing: { rowMm: aspect.rowMm * factor, columnMm: aspect.columnMm * factor },
    sd,
    method: `calibrated on ${measured.words}, ${where}`,
    findings: measured.findings,
  };
}

const tooSmall = (what: string, sizeMm: number): Result<never, Refusal> =>
  err(refusal('bad-size', `The ${what} is said to be ${sizeMm} mm large; a size above 0 mm is needed.`));

const badDepth = ({ depthMm, depthSdMm }: ObjectDepth): Result<never, Refusal> | undefined => {
  const { value: most } = calibrationDefaults.sourceToObject;
  if (!(Math.abs(depthMm) < most / 2)) {
    return err(
      refusal(
        'bad-depth',
        `The object is said to lie ${depthMm} mm from the bone; less than ${most / 2} mm is needed.`,
      ),
    );
  }
  return depthSdMm >= 0
    ? undefined
    : err(refusal('bad-depth', `The depth is said to be off by ${depthSdMm} mm; 0 or more is needed.`));
};

/** @numerical A circle has a centre and a radius: three numbers. */
const leastRimPoints = 3;
/** @numerical A share is said in per cent: hundredths. */
const perCent = 100;

/** @numerical A rim farther from a circle than this share of its radius (root mean square) is no ball seen sharply. */
const roundEnough = 0.03;

/**
 * Calibration on a ball of known diameter: a circle through points on its rim.
 *
 * @param rim at least 3 points, pixels
 * @param aspect millimetres of a pixel in any unit: only their ratio matters
 */
export function ballCalibration(
  ball: { readonly sizeMm: number; readonly rim: readonly Pixel[] } & ObjectDepth,
  aspect: PixelSpacing,
  exposure: ExposureGeometry = {},
): Result<FilmCalibration, Refusal> {
  const { sizeMm, rim } = ball;
  if (!(sizeMm > 0)) return tooSmall('calibration ball', sizeMm);
  const depth = badDepth(ball);
  if (depth) return depth;
  if (rim.length < leastRimPoints) {
    return err(
      refusal('few-rim-points', `The rim of the ball has ${rim.length} points; at least ${leastRimPoints} are needed.`),
    );
  }
  const points = rim.map(([column, row]) => [column * aspect.columnMm, row * aspect.rowMm] as const);
  const fit = thin(points) ? undefined : fitCircle(points);
  const sdOfRadius = fit?.ok ? unitSdOfRadius(points, fit.value.centre) : Number.NaN;
  if (!(fit?.ok && Number.isFinite(sdOfRadius))) {
    return err(
      refusal(
        'no-circle',
        `The ${rim.length} points on the rim of the ball lie on a line or on one spot; points well around the ball are needed.`,
      ),
    );
  }
  const { radius, sumOfSquares } = fit.value;
  const spread = Math.sqrt(sumOfSquares / Math.max(1, rim.length - leastRimPoints));
  const share = spread / radius;
  return ok(
    fromMeasured(
      sizeMm,
      {
        length: 2 * radius,
        sd: (edge) => 2 * Math.max(edge, spread) * sdOfRadius,
        words: `a ball of ${sizeMm} mm by ${rim.length} points on its rim`,
        findings:
          share > roundEnough
            ? [
                doubt(
                  'rim-not-round',
                  `The points on the rim of the ball lie ${(perCent * share).toFixed(1)} % of its radius off a circle; ${perCent * roundEnough} % is usual at most.`,
                ),
              ]
            : [],
      },
      aspect,
      ball,
      exposure,
    ),
  );
}

/** @numerical Points whose extent across is less than this share of that along lie on a line. */
const leastBreadth = 0.02;

/** Whether points lie on a line or on one spot. */
function thin(points: readonly (readonly [number, number])[]): boolean {
  const n = points.length;
  const mean = (k: 0 | 1): number => points.reduce((sum, p) => sum + p[k], 0) / n;
  const [mx, my] = [mean(0), mean(1)];
  let [xx, xy, yy] = [0, 0, 0];
  for (const [x, y] of points) {
    xx += (x - mx) ** 2;
    xy += (x - mx) * (y - my);
    yy += (y - my) ** 2;
  }
  const half = (xx + yy) / 2;
  const apart = Math.hypot((xx - yy) / 2, xy);
  return !(half - apart > leastBreadth ** 2 * (half + apart));
}

/** Sd of a fitted radius where every point is off by 1: from the normal matrix of (centre, radius); not finite if they cannot be told apart. */
function unitSdOfRadius(points: readonly (readonly [number, number])[], centre: readonly [number, number]): number {
  let [cc, cs, ss, c1, s1] = [0, 0, 0, 0, 0];
  for (const [x, y] of points) {
    const d = Math.hypot(x - centre[0], y - centre[1]);
    const [c, s] = [(x - centre[0]) / d, (y - centre[1]) / d];
    cc += c * c;
    cs += c * s;
    ss += s * s;
    c1 += c;
    s1 += s;
  }
  const n = points.length;
  const minor = cc * ss - cs * cs;
  const determinant = n * minor - (c1 * (c1 * ss - s1 * cs) - s1 * (c1 * cs - s1 * cc));
  return determinant > 1e-9 ? Math.sqrt(minor / determinant) : Number.NaN;
}

/** @numerical Two ends nearer than this many pixels are one place. */
const leastRulerPx = 2;

/** Calibration on a length of known size, by its two ends. */
export function rulerCalibration(
  ruler: { readonly sizeMm: number; readonly ends: readonly [Pixel, Pixel] } & ObjectDepth,
  aspect: PixelSpacing,
  exposure: ExposureGeometry = {},
): Result<FilmCalibration, Refusal> {
  const { sizeMm, ends } = ruler;
  if (!(sizeMm > 0)) return tooSmall('ruler', sizeMm);
  const depth = badDepth(ruler);
  if (depth) return depth;
  const [[c0, r0], [c1, r1]] = ends;
  const pixels = Math.hypot(c1 - c0, r1 - r0);
  if (!(pixels >= leastRulerPx)) {
    return err(
      refusal(
        'ends-together',
        `The two ends of the ruler lie ${pixels.toFixed(1)} pixels apart; at least ${leastRulerPx} are needed.`,
      ),
    );
  }
  return ok(
    fromMeasured(
      sizeMm,
      {
        length: Math.hypot((c1 - c0) * aspect.columnMm, (r1 - r0) * aspect.rowMm),
        sd: (edge) => Math.SQRT2 * edge,
        words: `a length of ${sizeMm} mm by its two ends`,
        findings: [],
      },
      aspect,
      ruler,
      exposure,
    ),
  );
}
