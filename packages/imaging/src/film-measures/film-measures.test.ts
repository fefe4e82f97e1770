import { expectOk } from '@kerfline/geometry';
import { describe, expect, it } from 'vitest';
import { profileAlong } from './edge-profile.ts';
import { exposure, exposureText } from './exposure.ts';
import { blurredStep, madePicture, stream } from './made-picture.fixture.ts';
import { ballCircle, rimCircle } from './rim-circle.ts';
import { tangentPoint } from './tangent-point.ts';
import { canalMiddle, edgesAcross } from './tube-edges.ts';

// Truth is the formula each picture is made by. Edges lie where a blurred step is half way.

/** A disc: value 2,600 within, 1,400 around, with a slope of brightness across the picture. */
const disc = (
  cx: number,
  cy: number,
  radius: number,
  options: { noise: number; seed: number; inverted?: boolean; blur?: number; dark?: boolean },
) =>
  madePicture(
    200,
    200,
    ([x, y]) =>
      1400 +
      2 * x +
      (options.dark ? -1 : 1) * 1200 * blurredStep(radius - Math.hypot(x - cx, y - cy), options.blur ?? 1.2),
    options,
  );
const onRim = (cx: number, cy: number, radius: number, degrees: readonly number[], random: () => number, far: number) =>
  degrees.map((d) => {
    const [angle, r] = [(d * Math.PI) / 180, radius + far * (2 * random() - 1)];
    return [cx + r * Math.cos(angle), cy + r * Math.sin(angle)] as const;
  });

/** Share of errors within 1.645 of their stated sd: 90 % for a normal one. */
const covered = (pairs: readonly (readonly [error: number, sd: number])[]) =>
  pairs.filter(([error, sd]) => Math.abs(error) <= 1.645 * sd).length / pairs.length;
/** Of 120 trials 90 % is 108; fewer than 98 (82 %) come by chance once in 200 (binomial). */
const trials = 120;
const least = 0.82;

describe('edges', () => {
  it('[FM7] lie within 0.02 px of the truth wherever they fall between pixels, without noise', () => {
    for (let i = 0; i < 20; i++) {
      const truth = 20 + 0.05 * i;
      const picture = madePicture(40, 5, ([x]) => 1000 + 2000 * blurredStep(x - truth, 1.2));
      const edges = profileAlong(picture, [8, 2.5], [1, 0], 24)!.edges;
      const strongest = edges.reduce((best, edge) => (edge.slope > best.slope ? edge : best));
      expect(Math.abs(8 + strongest.at - truth)).toBeLessThan(0.02);
    }
  });
});

describe('circles', () => {
  it('[FM1] a round rim is found below its stated spread, from points put up to 3 px beside it', () => {
    const random = stream(7);
    const errors = { x: [] as [number, number][], r: [] as [number, number][] };
    for (let i = 0; i < trials; i++) {
      const [cx, cy, radius] = [95 + 10 * random.uniform(), 95 + 10 * random.uniform(), 30 + 25 * random.uniform()];
      const picture = disc(cx, cy, radius, { noise: 60, seed: i });
      const points = onRim(cx, cy, radius, [200, 260, 330, 20], random.uniform, 3);
      const {
        centre,
        radius: found,
        covariance,
        disc: kind,
      } = expectOk(rimCircle(picture, points, { snapPx: 8 }), 'rim');
      expect(kind).toBe('bright');
      errors.x.push([centre[0] - cx, Math.sqrt(covariance[0]![0])]);
      errors.r.push([found - radius, Math.sqrt(covariance[2]![2])]);
    }
    expect(covered(errors.x)).toBeGreaterThan(least);
    expect(covered(errors.r)).toBeGreaterThan(least);
    expect(Math.max(...errors.x.map(([error]) => Math.abs(error)))).toBeLessThan(0.5);
  });

  it.each([
    { inverted: false, dark: false, kind: 'bright' },
    { inverted: true, dark: false, kind: 'bright' },
    { inverted: false, dark: true, kind: 'dark' },
    { inverted: true, dark: true, kind: 'dark' },
  ] as const)(
    '[FM1] a ball, $kind, inverted $inverted: within 0.05 px, and called by its name',
    ({ inverted, dark, kind }) => {
      const picture = disc(101.3, 98.6, 24.2, { noise: 20, seed: 3, inverted, dark });
      const points = onRim(101.3, 98.6, 24.2, [0, 110, 250], stream(2).uniform, 2);
      const found = expectOk(ballCircle(picture, points, { snapPx: 6 }), 'ball');
      expect(Math.hypot(found.centre[0] - 101.3, found.centre[1] - 98.6)).toBeLessThan(0.05);
      expect(Math.abs(found.radius - 24.2)).toBeLessThan(0.05);
      expect(found.arc).toBeCloseTo(2 * Math.PI, 9);
      expect(found.disc).toBe(kind);
    },
  );

  it('[FM2] a rim that is hidden on a part is found from the rest', () => {
    const plain = disc(100, 100, 40, { noise: 20, seed: 5 });
    const data = plain.data.slice();
    for (let r = 120; r < 150; r++) for (let c = 110; c < 160; c++) data[r * 200 + c] = 2000;
    const found = expectOk(
      rimCircle({ ...plain, data }, onRim(100, 100, 40, [0, 60, 120, 180], stream(1).uniform, 1), { snapPx: 6 }),
      'rim',
    );
    expect(Math.hypot(found.centre[0] - 100, found.centre[1] - 100)).toBeLessThan(0.15);
    expect(found.rim.length).toBeLessThan(found.looked);
  });

  it('[FM3] where there is no rim, it says so', () => {
    const plain = madePicture(200, 200, () => 2000, { noise: 30 });
    const points = onRim(100, 100, 40, [0, 90, 200], stream(1).uniform, 1);
    expect(rimCircle(plain, points, { snapPx: 6 })).toMatchObject({
      ok: false,
      error: { kind: 'no-edge', what: 'rim' },
    });
    expect(rimCircle(plain, points.slice(0, 2), { snapPx: 6 })).toMatchObject({
      ok: false,
      error: { kind: 'too-few-points', found: 2 },
    });
    expect(
      rimCircle(
        plain,
        [
          [10, 10],
          [50, 50],
          [90, 90],
        ],
        { snapPx: 6 },
      ),
    ).toMatchObject({ ok: false, error: { kind: 'points-nearly-collinear' } });
    expect(
      rimCircle(
        plain,
        [
          [10, 10],
          [10, 10],
          [10, 10],
        ],
        { snapPx: 6 },
      ).ok,
    ).toBe(false);
  });
});

/** A tube along a direction: surroundings 1,000, walls 2,600, middle 1,800. */
const tube = (angle: number, options: { noise: number; seed: number; inverted?: boolean; filled?: boolean }) => {
  const [nx, ny] = [Math.cos(angle), Math.sin(angle)];
  return madePicture(
    160,
    160,
    ([x, y]) => {
      const off = Math.abs((x - 80.3) * nx + (y - 79.6) * ny);
      return 1000 + 1600 * blurredStep(32 - off, 1.2) - (options.filled ? 0 : 800 * blurredStep(20 - off, 1.2));
    },
    options,
  );
};

describe('tubes', () => {
  it('[FM4] outer and inner edges and the middle of a tube lie below their stated spreads', () => {
    const random = stream(11);
    const errors = {
      outer: [] as [number, number][],
      inner: [] as [number, number][],
      canal: [] as [number, number][],
    };
    for (let i = 0; i < trials; i++) {
      const angle = 0.5 * (random.uniform() - 0.5);
      const picture = tube(angle, { noise: 60, seed: 100 + i });
      // Along the normal through the middle of the tube: the truth is 60 -+ 32 and 60 -+ 20.
      const [nx, ny] = [Math.cos(angle), Math.sin(angle)];
      const found = expectOk(
        edgesAcross(picture, [80.3 - 60 * nx, 79.6 - 60 * ny], [80.3 + 60 * nx, 79.6 + 60 * ny]),
        'tube',
      );
      errors.outer.push([found.outer[0].at - 28, found.outer[0].sd], [found.outer[1].at - 92, found.outer[1].sd]);
      errors.inner.push([found.inner![0].at - 40, found.inner![0].sd]);
      errors.canal.push([found.canal!.at - 60, found.canal!.sd]);
    }
    expect(covered(errors.outer)).toBeGreaterThan(least);
    expect(covered(errors.inner)).toBeGreaterThan(least);
    expect(covered(errors.canal)).toBeGreaterThan(least);
    expect(Math.max(...errors.canal.map(([error]) => Math.abs(error)))).toBeLessThan(0.4);
  });

  it.each([false, true])('[FM4] the middle of the canal at a place of the axis, inverted %s', (inverted) => {
    const picture = tube(0.2, { noise: 20, seed: 4, inverted });
    const found = expectOk(
      canalMiddle(picture, [84, 82], [-Math.sin(0.2), Math.cos(0.2)], { heightPx: 30, reachPx: 60 }),
      'canal',
    );
    // The truth: the foot of (84, 82) on the axis.
    const off = (84 - 80.3) * Math.cos(0.2) + (82 - 79.6) * Math.sin(0.2);
    expect(found.place[0]).toBeCloseTo(84 - off * Math.cos(0.2), 1);
    expect(found.place[1]).toBeCloseTo(82 - off * Math.sin(0.2), 1);
    expect(found.between).toBe('inner');
    expect(found.width).toBeCloseTo(40, 0);
  });

  it('[FM4] a filled tube has a middle between its outer edges', () => {
    const found = expectOk(
      canalMiddle(tube(0, { noise: 20, seed: 4, filled: true }), [80, 80], [0, 1], { heightPx: 20, reachPx: 60 }),
      'tube',
    );
    expect(found.between).toBe('outer');
    expect(found.place[0]).toBeCloseTo(80.3, 1);
    expect(found.width).toBeCloseTo(64, 0);
  });

  it('[FM3] where nothing is crossed, or the line leaves the film, it says so', () => {
    const plain = madePicture(160, 160, () => 2000, { noise: 30 });
    expect(edgesAcross(plain, [20, 80], [140, 80])).toMatchObject({ ok: false, error: { kind: 'no-edge' } });
    expect(edgesAcross(plain, [80, 80], [85, 80])).toMatchObject({
      ok: false,
      error: { kind: 'line-too-short', found: 5 },
    });
    expect(edgesAcross(plain, [-20, 80], [140, 80])).toMatchObject({ ok: false, error: { kind: 'outside-film' } });
  });
});

describe('tangent points', () => {
  it('[FM5] the lowest point of a round end lies below its stated spread, along and across', () => {
    const random = stream(13);
    const errors = { across: [] as [number, number][], along: [] as [number, number][] };
    for (let i = 0; i < trials; i++) {
      const [cx, cy, radius] = [95 + 10 * random.uniform(), 75 + 10 * random.uniform(), 35 + 20 * random.uniform()];
      const picture = disc(cx, cy, radius, { noise: 60, seed: 300 + i });
      const found = expectOk(
        tangentPoint(
          picture,
          [cx + 8 * (random.uniform() - 0.5), cy + radius + 6 * (random.uniform() - 0.5)],
          [0, 1],
          30,
        ),
        'tangent',
      );
      errors.across.push([found.place[1] - (cy + radius), found.sdAcross]);
      errors.along.push([found.place[0] - cx, found.sdAlong]);
      expect(found.curvature * radius).toBeGreaterThan(0.6);
      expect(found.curvature * radius).toBeLessThan(1.5);
    }
    expect(covered(errors.across)).toBeGreaterThan(least);
    expect(covered(errors.along)).toBeGreaterThan(least);
    expect(Math.max(...errors.across.map(([error]) => Math.abs(error)))).toBeLessThan(0.5);
  });

  it('[FM5] a flat top is sharp in depth and not known along itself', () => {
    const picture = madePicture(200, 200, ([, y]) => 1200 + 1200 * blurredStep(y - 90.4, 1.2), { noise: 40 });
    const found = expectOk(tangentPoint(picture, [100, 92], [0, -1], 40), 'tangent');
    expect(Math.abs(found.place[1] - 90.4)).toBeLessThan(0.2);
    expect(found.sdAcross).toBeLessThan(0.2);
    expect(found.sdAlong).toBeGreaterThan(3);
  });

  it('[FM3] where the boundary goes on rising, or there is none, it says so', () => {
    const slope = madePicture(
      200,
      200,
      ([x, y]) => 1200 + 1200 * blurredStep(0.9 * (y - 100) + 0.43 * (x - 100), 1.2),
      { noise: 20 },
    );
    expect(tangentPoint(slope, [100, 100], [0, -1], 30)).toMatchObject({ ok: false, error: { kind: 'no-extreme' } });
    expect(
      tangentPoint(
        madePicture(200, 200, () => 2000, { noise: 20 }),
        [100, 100],
        [0, -1],
        30,
      ),
    ).toMatchObject({ ok: false, error: { kind: 'no-edge' } });
  });
});

describe('exposure', () => {
  it('[FM6] noise is measured as it was put in, edges or not', () => {
    const { noise, state } = exposure(disc(100, 100, 60, { noise: 50, seed: 8 }));
    expect(noise).toBeGreaterThan(47);
    expect(noise).toBeLessThan(53);
    expect(state).toBe('good');
  });
  it('[FM6] that is not good says with its figure what it does to marks, and a good one says nothing', () => {
    const dark = madePicture(200, 200, ([x]) => (x < 190 ? 0 : 200 * (x - 190)), { noise: 10 });
    expect(exposureText(exposure(dark))).toMatch(/overexposed: 9\d % .* off by more/);
    expect(exposureText(exposure(disc(100, 100, 60, { noise: 50, seed: 8 })))).toBeUndefined();
  });
  it.each([
    { state: 'over', inverted: false, brightness: (x: number) => (x < 190 ? 0 : 200 * (x - 190)) },
    { state: 'over', inverted: true, brightness: (x: number) => (x < 190 ? 0 : 200 * (x - 190)) },
    // Air around an object is dark and no fault.
    { state: 'good', inverted: false, brightness: (x: number) => (x < 140 ? 0 : 20 * (x - 140)) },
    { state: 'under', inverted: false, brightness: (x: number) => (x < 120 ? 4095 : 20 * (200 - x)) },
    { state: 'under', inverted: false, brightness: () => 1000 },
  ] as const)('[FM6] $state, inverted $inverted', ({ state, inverted, brightness }) => {
    expect(exposure(madePicture(200, 200, ([x]) => brightness(x), { noise: 10, inverted })).state).toBe(state);
  });
});
