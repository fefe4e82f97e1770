/** A point of a film's plane, mm right and up. */
export type Flat = readonly [number, number];

/** A turn and a shift of the plane that lay points on points, and how badly they then lie. */
export interface Laying {
  /** Anticlockwise, radians. */
  readonly spin: number;
  readonly scale: number;
  readonly shift: Flat;
  /** Root of the mean squared distance, mm of the target. */
  readonly misfit: number;
}

const middle = (points: readonly Flat[]): Flat => [
  points.reduce((sum, p) => sum + p[0], 0) / points.length,
  points.reduce((sum, p) => sum + p[1], 0) / points.length,
];

/**
 * Lays points on others of the same plane by turning, scaling and shifting, least squares (the plane's case of Umeyama 1991,
 * without a mirror). One pair only shifts.
 */
export function laidOn(points: readonly Flat[], targets: readonly Flat[]): Laying {
  const from = middle(points);
  const to = middle(targets);
  let re = 0;
  let im = 0;
  let size = 0;
  points.forEach((p, i) => {
    const [x, y] = [p[0] - from[0], p[1] - from[1]];
    const [u, v] = [targets[i]![0] - to[0], targets[i]![1] - to[1]];
    re += x * u + y * v;
    im += x * v - y * u;
    size += x * x + y * y;
  });
  const spin = points.length > 1 ? Math.atan2(im, re) : 0;
  const scale = size > 0 ? Math.hypot(re, im) / size : 1;
  const c = scale * Math.cos(spin);
  const s = scale * Math.sin(spin);
  const shift: Flat = [to[0] - (c * from[0] - s * from[1]), to[1] - (s * from[0] + c * from[1])];
  const squares = points.reduce(
    (sum, p, i) =>
      sum +
      (c * p[0] - s * p[1] + shift[0] - targets[i]![0]) ** 2 +
      (s * p[0] + c * p[1] + shift[1] - targets[i]![1]) ** 2,
    0,
  );
  return { spin, scale, shift, misfit: Math.sqrt(squares / points.length) };
}
