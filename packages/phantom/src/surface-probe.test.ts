import { unit, type Vec3 } from '@kerfline/geometry';
import { describe, expect, it } from 'vitest';
import { ellipsoid, sphere, taperedRod } from './primitives.ts';
import {
  axesFrom,
  coordinates,
  depthSeen,
  peak,
  peakAlong,
  place,
  sectionMoments,
  type View,
} from './surface-probe.ts';
import { entry } from './surface-ray.ts';

describe('a ray', () => {
  it('[PH17] enters a sphere where the closed form says', () => {
    const towards = unit([0.1, -0.2, -1]);
    // |start + t towards| = 10 from (3, 5, 40): the smaller root of t2 + 2 (start . towards) t + |start|2 - 100.
    const b = 3 * towards[0] + 5 * towards[1] + 40 * towards[2];
    const t = -b - Math.sqrt(b * b - (9 + 25 + 1600 - 100));
    expect(entry(sphere([0, 0, 0], 10), [3, 5, 40], towards, 100, 2)).toBeCloseTo(t, 7);
  });

  it('[PH17] that misses, or ends before the body, enters nothing', () => {
    expect(entry(sphere([0, 0, 0], 10), [11, 0, 40], [0, 0, -1], 100, 2)).toBeUndefined();
    expect(entry(sphere([0, 0, 0], 10), [0, 0, 40], [0, 0, -1], 29, 2)).toBeUndefined();
  });

  it('[PH17] finds the side of a tapered rod', () => {
    const rod = taperedRod([0, 0, 0], [0, 0, 10], 4, 2);
    // The side is tangent to both end spheres: it leans by asin(0.2), and half-way the radius is 3 / cos of that.
    expect(entry(rod, [20, 0, 5], [-1, 0, 0], 40, 2)).toBeCloseTo(20 - 3 / Math.sqrt(1 - 0.04), 7);
  });
});

describe('a view', () => {
  const view: View = { origin: [1, 2, 3], u: [0, 1, 0], v: [0, 0, 1], toward: [1, 0, 0], eye: 50, end: -50 };

  it('[PH17] finds the peak of an ellipsoid to a thousandth of a millimetre', () => {
    const body = ellipsoid([1, 3.3, 1.1], [9, 14, 12]);
    const found = peak((u, v) => depthSeen(body, view, u, v), { u: [-20, 20], v: [-20, 20] }, 2);
    expect(found.value).toBeCloseTo(9, 6);
    expect(found.u).toBeCloseTo(1.3, 3);
    expect(found.v).toBeCloseTo(-1.9, 3);
  });

  it('[PH9] throws when what looks like a peak is the edge of the region', () => {
    const body = ellipsoid([1, 3.3, 1.1], [9, 14, 12]);
    const look = () => peak((u, v) => depthSeen(body, view, u, v), { u: [5, 20], v: [-20, 20] }, 2);
    expect(look).toThrow('no peak inside the region');
  });

  it('[PH17] finds a peak along a line', () => {
    expect(peakAlong((t) => 4 - (t - 1.234) ** 2, -10, 10, 2).at).toBeCloseTo(1.234, 3);
  });
});

describe('the moments of a section', () => {
  const axes = axesFrom([0, 0, 0], [0.2, 0.1, 1], [1, 0.3, 0]);

  it('[PH17] of an ellipse give its area, middle and long axis, from a start off the middle', () => {
    const body = ellipsoid([5, -4, 0], [20, 12, 30]);
    const { areaMm2, centre, long } = sectionMoments(body, [9, -2, 0], [0, 1, 0], [-1, 0, 0], 96);
    expect(areaMm2).toBeCloseTo(Math.PI * 20 * 12, 4);
    expect(centre[0]).toBeCloseTo(5, 4);
    expect(centre[1]).toBeCloseTo(-4, 4);
    expect(Math.abs(long[0])).toBeCloseTo(1, 8);
  });

  it('[PH17] axes are square, and a place has the coordinates it was made from', () => {
    const at: Vec3 = [3, -8, 11];
    expect(axes.l[0] * axes.p[0] + axes.l[1] * axes.p[1] + axes.l[2] * axes.p[2]).toBeCloseTo(0, 12);
    coordinates(axes, place(axes, at)).forEach((value, k) => {
      expect(value).toBeCloseTo(at[k]!, 12);
    });
  });
});
