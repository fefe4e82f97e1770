import { type Picture, type Place, valueAt } from './brightness.ts';

/** @numerical Distance between samples of a profile, px: fine enough that a parabola finds the top between them. */
const step = 0.25;
/** @numerical Width (sd, px) of the smoothing along a profile: that of a film's own blur, which a matched filter takes. */
const smoothing = 1.5;
const arm = Math.ceil((3 * smoothing) / step);

/** Slope of a smoothed profile: each weight is that of the sample so many steps away (first derivative of a Gaussian). */
const weights = Array.from({ length: 2 * arm + 1 }, (_, i) => {
  const x = (i - arm) * step;
  return (x * Math.exp(-(x * x) / (2 * smoothing * smoothing)) * step) / (Math.sqrt(2 * Math.PI) * smoothing ** 3);
});

/** Noise of the slope for independent noise of 1 in each pixel: 1 / (2 pi^(1/4) s^(3/2)), the norm of the weights. */
const slopeNoise = 1 / (2 * Math.PI ** 0.25 * smoothing ** 1.5);

/** @numerical Slopes below so many times their noise are noise. Of a hundred places, none reaches it by chance. */
const clearlyAbove = 4;

/** A place on a profile where brightness changes most. */
export interface Edge {
  /** Distance from the start of the profile, px. */
  readonly at: number;
  /** Change of stored value per px; positive where it rises. */
  readonly slope: number;
}

/** All clear edges along a straight line. */
export interface Profile {
  readonly edges: readonly Edge[];
  /** Slopes smaller than this are not told from noise. */
  readonly threshold: number;
}

/**
 * The edges along a line: places where the slope of the smoothed brightness is greatest, found between samples by a
 * parabola.
 *
 * @param from start of the line; `at` of an edge counts from here
 * @param along unit direction
 * @param length px; edges up to here are found, and what lies behind either end by the width of the filter is looked at
 * @returns undefined where the line leaves the film
 */
export function profileAlong(picture: Picture, from: Place, along: Place, length: number): Profile | undefined {
  const count = Math.floor(length / step) + 1 + 2 * arm;
  const values = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const t = (i - arm) * step;
    const value = valueAt(picture, from[0] + t * along[0], from[1] + t * along[1]);
    if (Number.isNaN(value)) return undefined;
    values[i] = value;
  }
  const slopes = new Float64Array(count - 2 * arm);
  for (let i = 0; i < slopes.length; i++) {
    let sum = 0;
    for (let k = 0; k < weights.length; k++) sum += weights[k]! * values[i + k]!;
    slopes[i] = sum;
  }
  const threshold = Math.max(clearlyAbove * slopeNoise * noiseAlong(values), 1e-9);
  const edges: Edge[] = [];
  for (let i = 1; i + 1 < slopes.length; i++) {
    const [a, b, c] = [Math.abs(slopes[i - 1]!), Math.abs(slopes[i]!), Math.abs(slopes[i + 1]!)];
    if (!(b > threshold && b >= a && b > c)) continue;
    const bend = a - 2 * b + c;
    const shift = bend < 0 ? (0.5 * (a - c)) / bend : 0;
    edges.push({ at: (i + shift) * step, slope: slopes[i]! });
  }
  return { edges, threshold };
}

/** Noise (sd) of the pixels along a line: from the middle size of second differences one pixel apart. */
function noiseAlong(values: Float64Array): number {
  const apart = Math.round(1 / step);
  const bends: number[] = [];
  for (let i = apart; i + apart < values.length; i += 2)
    bends.push(Math.abs(values[i - apart]! - 2 * values[i]! + values[i + apart]!));
  bends.sort((a, b) => a - b);
  // 1.4826 turns a middle absolute deviation into an sd; a second difference has 6 times the variance of one value.
  return (1.4826 * (bends[bends.length >> 1] ?? 0)) / Math.sqrt(6);
}
