import { describe, expect, it } from 'vitest';
import { kneecapCut, remnantAfterSaw, tiltOf } from './kneecap.ts';

/** Source: patella vectors of the trade notes, 2.8, and exercise 9 of section 8. */
describe('a kneecap', () => {
  it.each([
    { native: 22, button: 9, keep: 13, change: 0 },
    { native: 19, button: 9, keep: 12, change: 2 },
    { native: 25, button: 10, keep: 15, change: 0 },
    { native: 21, button: 8, keep: 13, change: 0 },
  ])(
    'of $native mm under $button mm keeps $keep mm and becomes $change mm thicker',
    ({ native, button, keep, change }) => {
      expect(kneecapCut(native, button)).toEqual({
        remnantMm: keep,
        compositeMm: keep + button,
        changeMm: change,
      });
    },
  );

  it('keeps more when the stated least is more: 19 mm under 9 mm with 13 kept is 3 mm thicker', () => {
    expect(kneecapCut(19, 9, 13)).toEqual({ remnantMm: 13, compositeMm: 22, changeMm: 3 });
  });

  /** Source: worked example D of the trade notes, 3.7: the one field changes the result by the kerf, 1.4 mm. */
  it('stopped at 13 mm is left 13 or 11.6 mm thick, by which face the stop refers to', () => {
    expect(remnantAfterSaw(13, 1.4, 'retained')).toBe(13);
    expect(remnantAfterSaw(13, 1.4, 'piece')).toBeCloseTo(11.6, 12);
  });

  /** Source: trade notes, 2.8 line 56: 2 mm over 30 mm is 3.8 deg. */
  it('2 mm thicker on one side over 30 mm is tilted 3.8 deg', () => {
    expect((tiltOf(2, 30) * 180) / Math.PI).toBeCloseTo(3.8, 1);
  });
});
