import { type Rotation, transform, type Vec3 } from '@kerfline/geometry';
import { randomStream } from '@kerfline/uncertainty';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Side } from '../side.ts';
import {
  type BoneFrame,
  boneFromScanMatrix,
  borderMirror,
  covarianceOutOfBone,
  intoBone,
  outOfBone,
} from './bone-frame.ts';
import { anyMotion } from './bones/research-bones.fixture.ts';

const frame = (side: Side, rotation: Rotation, at: Vec3): BoneFrame<'femur'> => ({
  mirror: borderMirror(side),
  boneFromRight: transform('femur', 'right', rotation, at),
});
const scan = (xyz: Vec3) => ({ frame: 'scan' as const, xyz });
const anyFrame = fc.tuple(fc.integer(), fc.constantFrom<Side>('left', 'right')).map(([seed, side]) => {
  const motion = anyMotion(randomStream(seed, 'frame'));
  return { side, frame: frame(side, motion.rotation, motion.by) };
});
const anyPoint = fc.tuple(
  ...([0, 1, 2] as const).map(() => fc.double({ min: -500, max: 500, noNaN: true })),
) as unknown as fc.Arbitrary<Vec3>;

/**
 * Source: axes of the trade notes, 0.1 and exercise 12. Patient frame: x to the patient's left, y to the back, z to the head;
 * L = -s x, A = -y, P = z with s = +1 for a right leg. After the border mirror a left leg takes the axes of a right one.
 */
describe('the border between a patient frame and L, A, P', () => {
  const toRightLeg: Rotation = [
    [-1, 0, 0],
    [0, -1, 0],
    [0, 0, 1],
  ];

  it.each([
    { side: 'left', lap: [30, 12, 5] },
    { side: 'right', lap: [-30, 12, 5] },
  ] as const)('takes (30, -12, 5) of a $side knee to $lap', ({ side, lap }) => {
    expect(intoBone(frame(side, toRightLeg, [0, 0, 0]), scan([30, -12, 5])).xyz).toEqual(lap);
  });

  it('gives every point back where it was, to 1e-9 mm, on either side', () => {
    fc.assert(
      fc.property(anyFrame, anyPoint, ({ frame: f }, p) => {
        const back = outOfBone(f, intoBone(f, scan(p))).xyz;
        for (const k of [0, 1, 2] as const) expect(Math.abs(back[k] - p[k])).toBeLessThan(1e-9);
      }),
    );
  });

  it('is one matrix of sixteen numbers, row by row, with a determinant of -1 for a left leg only', () => {
    fc.assert(
      fc.property(anyFrame, anyPoint, ({ side, frame: f }, p) => {
        const m = boneFromScanMatrix(f);
        const through = [0, 1, 2].map(
          (r) => m[4 * r]! * p[0] + m[4 * r + 1]! * p[1] + m[4 * r + 2]! * p[2] + m[4 * r + 3]!,
        );
        const direct = intoBone(f, scan(p)).xyz;
        for (const k of [0, 1, 2] as const) expect(Math.abs(through[k]! - direct[k])).toBeLessThan(1e-9);
        const [a, b, c, , d, e, g, , h, i, j] = m as readonly number[] as [
          number,
          number,
          number,
          number,
          number,
          number,
          number,
          number,
          number,
          number,
          number,
        ];
        expect(a * (e * j - g * i) - b * (d * j - g * h) + c * (d * i - e * h)).toBeCloseTo(
          side === 'left' ? -1 : 1,
          9,
        );
      }),
    );
  });

  /** By hand: the spread of a point along any scan direction is that of its move through the frame: u' C u. */
  it('turns a covariance so that the spread along any direction stays the spread of the point', () => {
    fc.assert(
      fc.property(anyFrame, anyPoint, anyPoint, anyPoint, ({ frame: f }, p, q, r) => {
        // A covariance from three directions of spread, p p' + q q' + r r', in the bone's frame.
        const parts = [p, q, r].map((v) => v.map((x) => x / 500));
        const covariance = [0, 1, 2].map((i) => [0, 1, 2].map((j) => parts.reduce((sum, v) => sum + v[i]! * v[j]!, 0)));
        const out = covarianceOutOfBone(f, covariance as unknown as Parameters<typeof covarianceOutOfBone>[1]);
        // The same three directions, each carried out as the difference of two points.
        const origin = outOfBone(f, { frame: 'femur', xyz: [0, 0, 0] }).xyz;
        const carried = parts.map((v) => {
          const end = outOfBone(f, { frame: 'femur', xyz: v as unknown as Vec3 }).xyz;
          return [end[0] - origin[0], end[1] - origin[1], end[2] - origin[2]];
        });
        for (const i of [0, 1, 2] as const)
          for (const j of [0, 1, 2] as const)
            expect(Math.abs(out[i][j] - carried.reduce((sum, v) => sum + v[i]! * v[j]!, 0))).toBeLessThan(1e-9);
      }),
    );
  });
});
