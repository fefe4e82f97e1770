import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { covarianceFault } from './covariance-fault.ts';

describe('a covariance', () => {
  it.each([
    { why: 'independent', covariance: [1, 0, 0, 4] },
    { why: 'known exactly', covariance: [0, 0, 0, 0] },
    { why: 'fully correlated', covariance: [1, 2, 2, 4] },
  ])('that is $why has no fault', ({ covariance }) => {
    expect(covarianceFault(covariance, 2)).toBeUndefined();
  });

  it.each([
    { covariance: [Number.NaN, 0, 0, 1], says: 'not finite' },
    { covariance: [1, 0, 0, Infinity], says: 'not finite' },
    { covariance: [-1, 0, 0, 1], says: 'negative variance (-1)' },
    { covariance: [1, 0.5, -0.5, 1], says: '-0.5 on one side of the diagonal and 0.5 on the other' },
    { covariance: [1, 2.01, 2.01, 4], says: 'more correlation than 1' },
  ])('$covariance has: $says', ({ covariance, says }) => {
    expect(covarianceFault(covariance, 2)).toContain(says);
  });

  it('made as A A-transposed never has a fault', () => {
    const entry = fc.double({ min: -1e3, max: 1e3, noNaN: true });
    fc.assert(
      fc.property(fc.array(entry, { minLength: 9, maxLength: 9 }), (a) => {
        const product = [0, 1, 2].flatMap((r) =>
          [0, 1, 2].map((c) => [0, 1, 2].reduce((sum, k) => sum + a[3 * r + k]! * a[3 * c + k]!, 0)),
        );
        expect(covarianceFault(product, 3)).toBeUndefined();
      }),
    );
  });
});
