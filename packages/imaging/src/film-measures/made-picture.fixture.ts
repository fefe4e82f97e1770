import type { FilmPixels } from '../film-pixels/pixel-source.ts';
import type { Place } from './brightness.ts';

/** Random numbers of a fixed stream: uniform, and normal by Box and Muller. */
export function stream(seed: number): { readonly uniform: () => number; readonly normal: () => number } {
  let state = seed >>> 0;
  const uniform = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return (((t ^ (t >>> 14)) >>> 0) + 0.5) / 4_294_967_296;
  };
  return { uniform, normal: () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform()) };
}

/** A step from 0 to 1 at 0, blurred by a normal curve of that width (error function after Abramowitz and Stegun 7.1.26, 1.5e-7). */
export function blurredStep(distance: number, blur: number): number {
  const x = Math.abs(distance) / (Math.SQRT2 * blur);
  const t = 1 / (1 + 0.3275911 * x);
  const erf =
    1 -
    t *
      (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) *
      Math.exp(-x * x);
  return distance >= 0 ? (1 + erf) / 2 : (1 - erf) / 2;
}

/** A picture whose value at each pixel centre is given by a formula, with noise; 12 bits. */
export function madePicture(
  columns: number,
  rows: number,
  brightness: (place: Place) => number,
  { noise = 0, seed = 1, inverted = false } = {},
): FilmPixels {
  const random = stream(seed);
  const data = new Uint16Array(columns * rows);
  let [low, high] = [4095, 0];
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const shown = brightness([c + 0.5, r + 0.5]);
      const value = Math.max(
        0,
        Math.min(4095, Math.round((inverted ? 4095 - shown : shown) + noise * random.normal())),
      );
      data[r * columns + c] = value;
      low = Math.min(low, value);
      high = Math.max(high, value);
    }
  }
  return { columns, rows, data, low, high, inverted, window: { centre: 2048, width: 4096 }, findings: [] };
}
