import { expect, it } from 'vitest';
import { gradient } from './field.ts';

// By calculus: the gradient of x^2 + 3 y - z x is (2 x - z, 3, -x).
it('the gradient of a field is that of calculus', () => {
  const [gx, gy, gz] = gradient((x, y, z) => x * x + 3 * y - z * x, [2, -5, 7], 1);
  expect(gx).toBeCloseTo(-3, 9);
  expect(gy).toBeCloseTo(3, 9);
  expect(gz).toBeCloseTo(-2, 9);
});
