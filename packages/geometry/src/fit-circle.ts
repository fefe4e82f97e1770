import { Matrix, solve } from 'ml-matrix';
import { leastSquares, type NotConverged } from './least-squares.ts';
import type { Result } from './result.ts';

export interface Circle {
  readonly centre: readonly [number, number];
  readonly radius: number;
  /** Sum of squared distances of the points from the circle, mm2. */
  readonly sumOfSquares: number;
}

type Points = readonly (readonly [number, number])[];

const sumOfSquares = (points: Points, cx: number, cy: number, r: number): number =>
  points.reduce((sum, [x, y]) => sum + (Math.hypot(x - cx, y - cy) - r) ** 2, 0);

/** The circle that makes the sum of (distance squared - radius squared) squared smallest: linear, used as a start. */
export function fitCircleLinear(points: Points): Circle {
  const rows = points.map(([x, y]) => [2 * x, 2 * y, 1]);
  const right = points.map(([x, y]) => [x * x + y * y]);
  const [cx, cy, c] = solve(new Matrix(rows), new Matrix(right), true).to1DArray() as [number, number, number];
  const radius = Math.sqrt(c + cx * cx + cy * cy);
  return { centre: [cx, cy], radius, sumOfSquares: sumOfSquares(points, cx, cy, radius) };
}

/** The circle with the least squared distance from at least three points (geometric fit; Gander, Golub, Strebel 1994). */
export function fitCircle(points: Points): Result<Circle, NotConverged> {
  const start = fitCircleLinear(points);
  const fit = leastSquares(
    ([cx, cy, r]) => points.map(([x, y]) => Math.hypot(x - cx!, y - cy!) - r!),
    [...start.centre, start.radius],
    { stepTolerance: 1e-10 * start.radius, maxIterations: 200, differenceSteps: Array(3).fill(1e-5 * start.radius) },
  );
  if (!fit.ok) return fit;
  const [cx, cy, radius] = fit.value.x as [number, number, number];
  return { ok: true, value: { centre: [cx, cy], radius, sumOfSquares: fit.value.sumOfSquares } };
}
