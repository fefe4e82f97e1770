import { describe, expect, it } from 'vitest';
import { smoothMax, smoothMin, smoothStep } from './smooth-blend.ts';

describe('a smooth blend', () => {
  it('[PH15] is the plain minimum or maximum where the two differ by the width or more', () => {
    expect(smoothMin(1, 5, 4)).toBe(1);
    expect(smoothMin(9, 2, 4)).toBe(2);
    expect(smoothMax(1, 5, 4)).toBe(5);
  });

  it('[PH15] adds a sixth of the width where the two are equal', () => {
    expect(smoothMin(3, 3, 6)).toBeCloseTo(2, 12);
    expect(smoothMax(3, 3, 6)).toBeCloseTo(4, 12);
  });

  it('[PH15] has no kink where the two are equal nor where the blend begins', () => {
    const slope = (t: number): number => (smoothMin(t + 1e-5, 0, 4) - smoothMin(t - 1e-5, 0, 4)) / 2e-5;
    for (const t of [-4, 0, 4]) expect(slope(t + 1e-4)).toBeCloseTo(slope(t - 1e-4), 3);
    expect(slope(0)).toBeCloseTo(0.5, 6);
  });

  it('[PH15] steps from 0 to 1 with level ends', () => {
    expect(smoothStep(2, 6, 2)).toBe(0);
    expect(smoothStep(2, 6, 4)).toBeCloseTo(0.5, 12);
    expect(smoothStep(2, 6, 7)).toBe(1);
    expect(smoothStep(2, 6, 2.01)).toBeLessThan(1e-6);
  });
});
