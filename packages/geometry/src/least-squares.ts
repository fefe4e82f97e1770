import { Matrix, solve } from 'ml-matrix';
import { err, ok, type Result } from './result.ts';

export interface LeastSquaresOptions {
  /** Largest accepted change of any unknown in the last step, in the unknown's own unit. */
  readonly stepTolerance: number;
  readonly maxIterations: number;
  /** Step for the numerical derivative, one for each unknown. */
  readonly differenceSteps: readonly number[];
  /** Least and greatest value of each unknown; without them all are free. The start must lie within. */
  readonly bounds?: readonly (readonly [number, number])[] | undefined;
}

export interface LeastSquaresFit {
  readonly x: readonly number[];
  readonly residuals: readonly number[];
  readonly sumOfSquares: number;
  readonly iterations: number;
}

export interface NotConverged {
  readonly kind: 'not-converged';
  /** The best that was found. */
  readonly x: readonly number[];
  readonly iterations: number;
  readonly lastStep: number;
  readonly allowedStep: number;
}

/** A step that lowers the sum of squares by less than this share has found the lowest that rounding lets it see. */
const flat = 1e-14;

const sumSquares = (r: readonly number[]): number => r.reduce((sum, v) => sum + v * v, 0);

/**
 * Unknowns that make the sum of squared residuals smallest near a start (Levenberg 1944, Marquardt 1963), with
 * derivatives by central differences. It ends when no unknown moves by more than the tolerance, or when the sum of squares
 * is flat to rounding, which is where a fit that leaves residuals can go no further. An unknown at a bound that the sum would
 * fall beyond stays there while it would, and is free again when it would not (gradient projection, Bertsekas 1982).
 *
 * @returns the fit, or `not-converged` with the last step and the step that was asked for
 */
export function leastSquares(
  residuals: (x: readonly number[]) => readonly number[],
  start: readonly number[],
  options: LeastSquaresOptions,
): Result<LeastSquaresFit, NotConverged> {
  let x = [...start];
  let r = residuals(x);
  let cost = sumSquares(r);
  let damping = 1e-6;
  let lastStep = Infinity;
  let settled = false;
  for (let iteration = 1; iteration <= options.maxIterations; iteration += 1) {
    const jacobian = Matrix.zeros(r.length, x.length);
    for (let k = 0; k < x.length; k += 1) {
      const h = options.differenceSteps[k]!;
      const plus = residuals(x.map((v, i) => (i === k ? v + h : v)));
      const minus = residuals(x.map((v, i) => (i === k ? v - h : v)));
      for (let j = 0; j < r.length; j += 1) jacobian.set(j, k, (plus[j]! - minus[j]!) / (2 * h));
    }
    const jt = jacobian.transpose();
    const normal = jt.mmul(jacobian);
    const gradient = jt.mmul(Matrix.columnVector([...r]));
    const free = x.flatMap((v, k) => {
      const [low, high] = options.bounds?.[k] ?? [-Infinity, Infinity];
      const pull = gradient.get(k, 0);
      return (v <= low && pull > 0) || (v >= high && pull < 0) ? [] : [k];
    });
    if (free.length === 0) return ok({ x, residuals: [...r], sumOfSquares: cost, iterations: iteration });
    for (;;) {
      const damped = normal.selection(free, free);
      for (let k = 0; k < free.length; k += 1) damped.set(k, k, damped.get(k, k) * (1 + damping) + 1e-300);
      const freeStep = solve(damped, gradient.selection(free, [0])).to1DArray();
      const candidate = [...x];
      free.forEach((k, i) => {
        const [low, high] = options.bounds?.[k] ?? [-Infinity, Infinity];
        candidate[k] = Math.min(high, Math.max(low, x[k]! - freeStep[i]!));
      });
      const step = candidate.map((v, k) => v - x[k]!);
      const candidateResiduals = residuals(candidate);
      const candidateCost = sumSquares(candidateResiduals);
      lastStep = Math.max(...step.map(Math.abs));
      if (candidateCost <= cost) {
        settled = cost - candidateCost <= flat * cost;
        x = candidate;
        r = candidateResiduals;
        cost = candidateCost;
        damping = Math.max(damping / 10, 1e-12);
        break;
      }
      if (lastStep <= options.stepTolerance || damping > 1e12) break;
      damping *= 10;
    }
    if (settled || lastStep <= options.stepTolerance) {
      return ok({ x, residuals: [...r], sumOfSquares: cost, iterations: iteration });
    }
  }
  return err({
    kind: 'not-converged',
    x,
    iterations: options.maxIterations,
    lastStep,
    allowedStep: options.stepTolerance,
  });
}
