/** A straight line or parabola y = a + b x (+ c x2) through points, with the covariance of its coefficients. */
export interface PolynomialFit {
  readonly coefficients: readonly number[];
  /** Covariance of the coefficients from the scatter of the points. */
  readonly covariance: readonly (readonly number[])[];
  /** Sd of the points about the curve. */
  readonly sd: number;
  /** Points less coefficients. */
  readonly freedom: number;
}

/** Least squares by the normal equations; x should be of the order of its own spread. Undefined when there are too few points. */
export function polynomialFit(
  points: readonly (readonly [number, number])[],
  degree: number,
): PolynomialFit | undefined {
  const size = degree + 1;
  const freedom = points.length - size;
  if (freedom < 1) return undefined;
  const scale = Math.max(...points.map(([x]) => Math.abs(x)), 1e-12);
  const normal = Array.from({ length: size }, () => new Array<number>(2 * size).fill(0));
  const right = new Array<number>(size).fill(0);
  for (const [x, y] of points) {
    const powers = Array.from({ length: size }, (_, k) => (x / scale) ** k);
    for (let i = 0; i < size; i++) {
      for (let j = 0; j < size; j++) normal[i]![j]! += powers[i]! * powers[j]!;
      right[i]! += powers[i]! * y;
    }
  }
  for (let i = 0; i < size; i++) normal[i]![size + i] = 1;
  for (let i = 0; i < size; i++) {
    const pivot = normal[i]![i]!;
    if (!(pivot > 1e-12)) return undefined;
    for (let j = 0; j < 2 * size; j++) normal[i]![j]! /= pivot;
    for (let k = 0; k < size; k++) {
      if (k === i) continue;
      const factor = normal[k]![i]!;
      for (let j = 0; j < 2 * size; j++) normal[k]![j]! -= factor * normal[i]![j]!;
    }
  }
  const inverse = normal.map((row) => row.slice(size));
  const scaled = inverse.map((row) => row.reduce((sum, value, j) => sum + value * right[j]!, 0));
  const squares = points.reduce(
    (sum, [x, y]) => sum + (y - scaled.reduce((value, c, k) => value + c * (x / scale) ** k, 0)) ** 2,
    0,
  );
  const variance = squares / freedom;
  return {
    coefficients: scaled.map((c, k) => c / scale ** k),
    covariance: inverse.map((row, i) => row.map((value, j) => (variance * value) / scale ** (i + j))),
    sd: Math.sqrt(variance),
    freedom,
  };
}

/** Makes a spread of few points as wide as it is: the sd of Student's t with that many degrees of freedom. */
export const fewPoints = (freedom: number): number => (freedom > 2 ? Math.sqrt(freedom / (freedom - 2)) : 2);
