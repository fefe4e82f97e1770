import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lightSaid, litBy, saidLight } from './film-light.ts';

const best = { black: 400, white: 3400, inverted: false };

describe('the light of a film', () => {
  it('is said back by its two sliders as they were set', () => {
    const slider = fc.integer({ min: -100, max: 100 });
    fc.assert(
      fc.property(slider, slider, (brightness, contrast) => {
        expect(saidLight(lightSaid({ brightness, contrast }, false, best), best)).toEqual({ brightness, contrast });
      }),
    );
  });

  it('is best with both sliders in the middle', () => {
    expect(lightSaid({ brightness: 0, contrast: 0 }, false, best)).toEqual(best);
  });

  it('gets darker without changing contrast when the span moves up, and flatter when it widens', () => {
    const darker = litBy(best, 0, 0.1);
    expect(darker.white - darker.black).toBeCloseTo(3000, 9);
    expect(darker.black).toBeCloseTo(700, 9);
    const flatter = litBy(best, 0.5, 0);
    expect(flatter.white - flatter.black).toBeGreaterThan(3000);
    expect((flatter.white + flatter.black) / 2).toBeCloseTo(1900, 9);
  });
});
