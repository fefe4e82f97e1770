import { describe, expect, it } from 'vitest';
import { frontView, outwardScale } from './solid-plan.ts';

type Triple = readonly [number, number, number];
const cross = (a: Triple, b: Triple): Triple => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
const dot = (a: Triple, b: Triple): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const looking: Triple = [
  frontView.at[0] - frontView.from[0],
  frontView.at[1] - frontView.from[1],
  frontView.at[2] - frontView.from[2],
];
/** What a camera with this view has on its right: its direction of view x up. */
const readersRight = cross(looking, frontView.up);

describe('bones as solids', () => {
  it('are seen from the front: forward of the patient comes toward the reader', () => {
    expect(dot(looking, [0, 1, 0])).toBeLessThan(0);
  });

  // Whoever faces a patient has the patient's left on the right hand.
  it.each([
    { side: 'left', hand: 'right', sign: 1 },
    { side: 'right', hand: 'left', sign: -1 },
  ] as const)(
    'have the lateral side of a $side leg at the $hand hand of a reader who faces the patient',
    ({ side, sign }) => {
      const [sx, sy, sz] = outwardScale(side);
      const lateral: Triple = [sx * 1, sy * 0, sz * 0];
      expect(Math.sign(dot(lateral, readersRight))).toBe(sign);
    },
  );

  // Lateral, anterior, proximal turn like the right hand on a right leg and like the left hand on a left leg.
  it.each([
    { side: 'right', handedness: 1 },
    { side: 'left', handedness: -1 },
  ] as const)('are turned over for a left leg alone: $side', ({ side, handedness }) => {
    const [sx, sy, sz] = outwardScale(side);
    expect(sx * sy * sz).toBe(handedness);
  });
});
