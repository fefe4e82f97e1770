import { describe, expect, it } from 'vitest';
import { expectOk, type LeastSquaresOptions, leastSquares } from './index.ts';

const options = (steps: readonly number[], more: Partial<LeastSquaresOptions> = {}): LeastSquaresOptions => ({
  stepTolerance: 1e-10,
  maxIterations: 500,
  differenceSteps: steps,
  ...more,
});

const { exp, hypot, sqrt } = Math;
const ofData =
  (x: readonly number[], y: readonly number[], model: (b: readonly number[], x: number) => number) =>
  (b: readonly number[]): readonly number[] =>
    y.map((v, i) => model(b, x[i]!) - v);

/**
 * Source: NIST Statistical Reference Datasets, nonlinear regression: data, starts, certified unknowns and residual sum of
 * squares of Misra1a (lower difficulty), Rat42, BoxBOD and MGH09 (higher), read from public copies of the StRD files.
 * The near start of each, and the far one of Rat42: this is a search from a start near the answer.
 */
const strd = [
  {
    set: 'Misra1a',
    residuals: ofData(
      [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0],
      [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78],
      ([b1, b2], x) => b1! * (1 - exp(-b2! * x)),
    ),
    starts: [
      [500, 0.0001],
      [250, 0.0005],
    ],
    steps: [1e-3, 1e-9],
    certified: [2.3894212918e2, 5.5015643181e-4],
    sumOfSquares: 1.2455138894e-1,
  },
  {
    set: 'Rat42',
    residuals: ofData(
      [9, 14, 21, 28, 42, 57, 63, 70, 79],
      [8.93, 10.8, 18.59, 22.33, 39.35, 56.11, 61.73, 64.62, 67.08],
      ([b1, b2, b3], x) => b1! / (1 + exp(b2! - b3! * x)),
    ),
    starts: [
      [100, 1, 0.1],
      [75, 2.5, 0.07],
    ],
    steps: [1e-4, 1e-5, 1e-7],
    certified: [7.2462237576e1, 2.6180768402, 6.7359200066e-2],
    sumOfSquares: 8.0565229338,
  },
  {
    set: 'BoxBOD',
    residuals: ofData([1, 2, 3, 5, 7, 10], [109, 149, 149, 191, 213, 224], ([b1, b2], x) => b1! * (1 - exp(-b2! * x))),
    starts: [[100, 0.75]],
    steps: [1e-3, 1e-6],
    certified: [2.1380940889e2, 5.4723748542e-1],
    sumOfSquares: 1.1680088766e3,
  },
  {
    set: 'MGH09',
    residuals: ofData(
      [4, 2, 1, 0.5, 0.25, 0.167, 0.125, 0.1, 0.0833, 0.0714, 0.0625],
      [0.1957, 0.1947, 0.1735, 0.16, 0.0844, 0.0627, 0.0456, 0.0342, 0.0323, 0.0235, 0.0246],
      ([b1, b2, b3, b4], x) => (b1! * (x * x + x * b2!)) / (x * x + x * b3! + b4!),
    ),
    starts: [[0.25, 0.39, 0.415, 0.39]],
    steps: [1e-6, 1e-6, 1e-6, 1e-6],
    certified: [1.9280693458e-1, 1.9128232873e-1, 1.2305650693e-1, 1.3606233068e-1],
    sumOfSquares: 3.0750560385e-4,
  },
].flatMap(({ starts, ...rest }) => starts.map((start) => ({ ...rest, start })));

describe('least squares of NIST', () => {
  it.each(strd)('$set from $start has the certified unknowns and sum of squares', (problem) => {
    const fit = expectOk(leastSquares(problem.residuals, problem.start, options(problem.steps)), problem.set);
    problem.certified.forEach((value, k) => {
      expect(Math.abs(fit.x[k]! / value - 1)).toBeLessThan(1e-6);
    });
    expect(Math.abs(fit.sumOfSquares / problem.sumOfSquares - 1)).toBeLessThan(1e-9);
    expect(fit.residuals).toEqual(problem.residuals(fit.x));
  });
});

/** Source: More, Garbow, Hillstrom, ACM Trans Math Softw 1981;7:17, problems 1, 7 and 13 (from memory). */
describe('least squares of problems whose answer is known', () => {
  it('goes down the curved valley of Rosenbrock from (-1.2, 1) to (1, 1)', () => {
    const fit = expectOk(
      leastSquares(([x, y]) => [10 * (y! - x! * x!), 1 - x!], [-1.2, 1], options([1e-6, 1e-6])),
      'Rosenbrock',
    );
    expect(fit.x[0]).toBeCloseTo(1, 8);
    expect(fit.x[1]).toBeCloseTo(1, 8);
    expect(fit.sumOfSquares).toBeLessThan(1e-18);
  });

  it('winds along the helical valley of Fletcher and Powell from (-1, 0, 0) to (1, 0, 0)', () => {
    const fit = expectOk(
      leastSquares(
        ([x, y, z]) => [10 * (z! - (10 * Math.atan2(y!, x!)) / (2 * Math.PI)), 10 * (hypot(x!, y!) - 1), z!],
        [-1, 1e-3, 0],
        options([1e-6, 1e-6, 1e-6]),
      ),
      'helical valley',
    );
    [1, 0, 0].forEach((value, k) => {
      expect(fit.x[k]).toBeCloseTo(value, 7);
    });
  });

  it("comes to rest at Powell's singular point, where the derivatives have rank 2 of 4", () => {
    const fit = expectOk(
      leastSquares(
        ([a, b, c, d]) => [a! + 10 * b!, sqrt(5) * (c! - d!), (b! - 2 * c!) ** 2, sqrt(10) * (a! - d!) ** 2],
        [3, -1, 0, 1],
        options([1e-6, 1e-6, 1e-6, 1e-6], { stepTolerance: 1e-8 }),
      ),
      'Powell singular',
    );
    for (const value of fit.x) expect(Math.abs(value)).toBeLessThan(1e-3);
    expect(fit.sumOfSquares).toBeLessThan(1e-12);
  });

  // By hand: the mean of the readings, and the sum of squares about it.
  it('of a number against 1, 2 and 6 is 3, and leaves 4 + 1 + 9', () => {
    const fit = expectOk(
      leastSquares(([a]) => [a! - 1, a! - 2, a! - 6], [100], options([1e-4])),
      'mean',
    );
    expect(fit.x[0]).toBeCloseTo(3, 8);
    expect(fit.sumOfSquares).toBeCloseTo(14, 10);
  });
});

describe('unknowns that the residuals cannot tell apart', () => {
  it('end in some answer of the least sum of squares: of a + b against 3 and 5, one with a + b = 4', () => {
    const fit = expectOk(
      leastSquares(([a, b]) => [a! + b! - 3, a! + b! - 5], [10, -20], options([1e-4, 1e-4])),
      'sum',
    );
    expect(fit.x[0]! + fit.x[1]!).toBeCloseTo(4, 8);
    expect(fit.sumOfSquares).toBeCloseTo(2, 10);
    // The difference of a and b, of which nothing is told, stays as it was.
    expect(fit.x[0]! - fit.x[1]!).toBeCloseTo(30, 4);
  });

  it('stay where they were when no residual knows of them', () => {
    const fit = expectOk(
      leastSquares(([a]) => [a! - 3], [0, 7], options([1e-4, 1e-4])),
      'idle unknown',
    );
    expect(fit.x[0]).toBeCloseTo(3, 8);
    expect(fit.x[1]).toBe(7);
  });

  it('may be more than the residuals: three against one sum', () => {
    const fit = expectOk(
      leastSquares(([a, b, c]) => [a! + 2 * b! + 3 * c! - 14], [0, 0, 0], options([1e-4, 1e-4, 1e-4])),
      'one sum',
    );
    expect(fit.x[0]! + 2 * fit.x[1]! + 3 * fit.x[2]!).toBeCloseTo(14, 8);
  });
});

describe('the end of a fit', () => {
  const misra = strd[0]!;

  it('comes where the sum of squares is flat to rounding, though a last step of zero was asked for', () => {
    const fit = expectOk(
      leastSquares(misra.residuals, misra.start, options(misra.steps, { stepTolerance: 0, maxIterations: 100 })),
      'flat end',
    );
    expect(Math.abs(fit.sumOfSquares / misra.sumOfSquares - 1)).toBeLessThan(1e-9);
    expect(Math.abs(fit.x[0]! / misra.certified[0]! - 1)).toBeLessThan(1e-6);
  });

  it('comes at once where the start is the answer', () => {
    const fit = expectOk(
      leastSquares(([a]) => [a! - 3, 2 * (a! - 3)], [3], options([1e-4])),
      'at rest',
    );
    expect(fit.x).toEqual([3]);
    expect(fit.iterations).toBe(1);
    expect(fit.sumOfSquares).toBe(0);
  });

  it('that has not come after as many steps as were allowed is said, with the last step and the one asked for', () => {
    const stopped = leastSquares(misra.residuals, misra.start, options(misra.steps, { maxIterations: 2 }));
    expect(stopped).toMatchObject({
      ok: false,
      error: { kind: 'not-converged', iterations: 2, allowedStep: 1e-10 },
    });
    expect(!stopped.ok && stopped.error.lastStep).toBeGreaterThan(1e-10);
  });

  it('does not come where the residuals are no numbers', () => {
    const lost = leastSquares(([a]) => [Math.log(a!)], [-1], options([1e-4], { maxIterations: 20 }));
    expect(lost).toMatchObject({ ok: false, error: { kind: 'not-converged' } });
  });

  it('is reached over a place where the residuals are no numbers: the step there is not taken', () => {
    // From 5, the first step for log x = 0 leads to 5 - 5 log 5 = -3, where there is no logarithm.
    const fit = expectOk(
      leastSquares(([a]) => [Math.log(a!)], [5], options([1e-4])),
      'logarithm',
    );
    expect(fit.x[0]).toBeCloseTo(1, 8);
  });

  it('does not change the start it was given', () => {
    const start = Object.freeze([10, -20]);
    leastSquares(([a, b]) => [a! - 3, b! - 4], start, options([1e-4, 1e-4]));
    expect(start).toEqual([10, -20]);
  });
});
