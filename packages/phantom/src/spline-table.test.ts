import { describe, expect, it } from 'vitest';
import { curveThrough, splineCurve, splineTable } from './spline-table.ts';

describe('a spline table', () => {
  it('[PH16] gives back a plane exactly', () => {
    const table = splineTable({ from: -3, to: 5, steps: 7 }, { from: 0, to: 2, steps: 5 }, (u, v) => 2 * u - 3 * v + 1);
    for (const [u, v] of [
      [-3, 0],
      [0.3, 1.7],
      [4.9, 0.01],
      [5, 2],
    ] as const)
      expect(table(u, v)).toBeCloseTo(2 * u - 3 * v + 1, 12);
  });

  it('[PH16] goes on level beyond an open end', () => {
    const curve = splineCurve({ from: 0, to: 4, steps: 8 }, (u) => u);
    expect(curve(9)).toBeCloseTo(4, 12);
    expect(curve(-9)).toBeCloseTo(0, 12);
  });

  it('[PH16] joins the end of a periodic axis to its beginning, in value and slope', () => {
    const curve = splineCurve({ from: -Math.PI, to: Math.PI, steps: 24, periodic: true }, Math.cos);
    expect(curve(Math.PI - 1e-9)).toBeCloseTo(curve(-Math.PI + 1e-9), 8);
    expect(curve(0.4 + 6 * Math.PI)).toBeCloseTo(curve(0.4), 10);
    // The smoothing of a wave sampled every h: 1 - h2 / 6 to first order.
    expect(curve(0)).toBeCloseTo(1 - ((2 * Math.PI) / 24) ** 2 / 6, 3);
  });
});

describe('a curve through points', () => {
  const points = [
    [0, 1],
    [2, 1],
    [3, 5],
    [7, 6],
  ] as const;
  const curve = curveThrough(points);

  it('[PH16] passes through each of them', () => {
    for (const [x, y] of points) expect(curve(x)).toBeCloseTo(y, 12);
  });

  it('[PH16] stays between neighbours and is level outside', () => {
    for (let x = 0; x <= 2; x += 0.1) expect(curve(x)).toBeCloseTo(1, 12);
    for (let x = 2; x < 7; x += 0.1) expect(curve(x + 0.1)).toBeGreaterThanOrEqual(curve(x) - 1e-12);
    expect(curve(-5)).toBe(1);
    expect(curve(50)).toBe(6);
  });
});
