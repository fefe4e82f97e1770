import type { FilmPixels } from '../film-pixels/pixel-source.ts';

/** How a film was exposed, with the figures that say so. */
export interface Exposure {
  readonly state: 'over' | 'under' | 'good';
  /** Share of pixels at the dark end of the values found: burnt out. */
  readonly atDarkEnd: number;
  /** Share of pixels at the bright end: nothing came through. */
  readonly atBrightEnd: number;
  /** Values between which 90 % of the pixels lie, of the whole range found: 0 to 1. */
  readonly contrast: number;
  /** Sd of the noise, stored values. */
  readonly noise: number;
  /** The same 90 % over the noise. */
  readonly contrastToNoise: number;
}

/** More of a film dark than this leaves too little to see: air around an object takes up to three quarters. Project choice, no source. */
export const mostAtDarkEnd = 0.92;
/** More of a film blank than this hides what should be seen. Project choice, no source. */
export const mostAtBrightEnd = 0.25;
/** Below so many times the noise, edges are lost in it. Project choice, no source. */
export const leastContrastToNoise = 10;
/** Values so near an end of the range found count as at that end: clipped values keep some noise. Project choice, no source. */
export const endWidth = 0.01;
/** @numerical Pixels looked at, spread over the film. */
const looked = 1_000_000;

/**
 * How a film was exposed.
 *
 * `over` when too much of it lies at the dark end, `under` when too much lies at the bright end or little stands out of
 * the noise. Noise after Immerkaer 1996 (Fast noise variance estimation, Computer Vision and Image Understanding 64),
 * with the middle instead of the mean of the sizes, so that edges do not count.
 */
export function exposure(pixels: FilmPixels): Exposure {
  const { data, columns, rows, low, high, inverted } = pixels;
  const every = Math.max(1, Math.floor(Math.sqrt(data.length / looked)));
  const counts = new Uint32Array(high - low + 1);
  let total = 0;
  const bends: number[] = [];
  for (let r = 0; r < rows; r += every) {
    for (let c = 0; c < columns; c += every) {
      const at = r * columns + c;
      const value = data[at]!;
      if (!(value >= low && value <= high)) continue;
      counts[value - low]! += 1;
      total += 1;
      if (r > 0 && c > 0 && r + 1 < rows && c + 1 < columns && value > low && value < high)
        bends.push(Math.abs(bendAt(data, at, columns)));
    }
  }
  const end = Math.floor(endWidth * (high - low));
  const share = (from: number, to: number) =>
    counts.subarray(from, to).reduce((sum, n) => sum + n, 0) / Math.max(1, total);
  const [atLow, atHigh] = high > low ? [share(0, end + 1), share(high - low - end, counts.length)] : [1, 1];
  const [atDarkEnd, atBrightEnd] = inverted ? [atHigh, atLow] : [atLow, atHigh];
  const spread = quantile(counts, 0.95 * total) - quantile(counts, 0.05 * total);
  bends.sort((a, b) => a - b);
  // The mask has a norm of 6: 1.4826 / 6 makes an sd of the middle size.
  const noise = (1.4826 / 6) * (bends[bends.length >> 1] ?? 0);
  const contrastToNoise = noise > 0 ? spread / noise : Number.POSITIVE_INFINITY;
  const state =
    atDarkEnd > mostAtDarkEnd
      ? 'over'
      : atBrightEnd > mostAtBrightEnd || !(contrastToNoise >= leastContrastToNoise)
        ? 'under'
        : 'good';
  return { state, atDarkEnd, atBrightEnd, contrast: high > low ? spread / (high - low) : 0, noise, contrastToNoise };
}

/** What an exposure that is not good does to what is measured, in sentences; nothing for a good one. */
export function exposureText({ state, atDarkEnd, atBrightEnd, contrastToNoise }: Exposure): string | undefined {
  if (state === 'good') return undefined;
  const share = (part: number): string => `${Math.round(100 * part)} %`;
  const what =
    state === 'over'
      ? `The film is overexposed: ${share(atDarkEnd)} of it is at its dark end.`
      : atBrightEnd > mostAtBrightEnd
        ? `The film is underexposed: ${share(atBrightEnd)} of it is blank.`
        : `The film is underexposed: what it shows stands out of its noise only ${contrastToNoise.toFixed(1)} times.`;
  return `${what} Edges there are lost or vague: marks on them may be off by more than the listed spreads. Mark it twice to learn by how much.`;
}

/** Immerkaer's mask: blind to planes, edges along rows and edges along columns. */
const bendAt = (d: FilmPixels['data'], at: number, w: number): number =>
  d[at - w - 1]! -
  2 * d[at - w]! +
  d[at - w + 1]! -
  2 * d[at - 1]! +
  4 * d[at]! -
  2 * d[at + 1]! +
  d[at + w - 1]! -
  2 * d[at + w]! +
  d[at + w + 1]!;

function quantile(counts: Uint32Array, rank: number): number {
  let sum = 0;
  for (let i = 0; i < counts.length; i++) {
    sum += counts[i]!;
    if (sum >= rank) return i;
  }
  return counts.length - 1;
}
