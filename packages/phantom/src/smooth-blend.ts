/**
 * The smaller of two distances, rounded where they are nearly equal: the union of two bodies with a fillet. Twice
 * continuously differentiable, and exactly the smaller one where they differ by `width` or more.
 *
 * @param width how near the two must be, mm, before they melt; the fillet adds at most a sixth of it
 */
export function smoothMin(a: number, b: number, width: number): number {
  const near = width - Math.abs(a - b);
  const least = Math.min(a, b);
  return near > 0 ? least - (near * near * near) / (6 * width * width) : least;
}

/** The larger of two distances, rounded where they are nearly equal: what two bodies share, with its edge broken. */
export function smoothMax(a: number, b: number, width: number): number {
  const near = width - Math.abs(a - b);
  const most = Math.max(a, b);
  return near > 0 ? most + (near * near * near) / (6 * width * width) : most;
}

/** 0 below `from`, 1 above `to`, and a smooth rise with flat ends between. */
export function smoothStep(from: number, to: number, x: number): number {
  const s = Math.min(1, Math.max(0, (x - from) / (to - from)));
  return s * s * s * (10 + s * (6 * s - 15));
}
