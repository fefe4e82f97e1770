import { expectOk } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Pixel } from './film.ts';
import { ballCalibration, calibrationDefaults, rulerCalibration } from './film-calibration.ts';

const square = { rowMm: 1, columnMm: 1 };
const flat = { depthMm: 0, depthSdMm: 0 };
const rim = (columns: number, rows: number, points: number, [c, r]: Pixel = [700, 900]): readonly Pixel[] =>
  Array.from({ length: points }, (_, k) => {
    const angle = (2 * Math.PI * k) / points + 0.3;
    return [c + columns * Math.cos(angle), r + rows * Math.sin(angle)];
  });
const ball = (diameterPx: number, more: object = {}) => ({
  sizeMm: 25,
  rim: rim(diameterPx / 2, diameterPx / 2, 8),
  ...flat,
  ...more,
});

describe('calibration on a ball', () => {
  // Trade notes 2.2, line 2: mm of a pixel = true diameter / diameter on the film.
  it('divides its diameter by that on the film: 25 mm seen as 172.95 pixels is 0.14455 mm a pixel', () => {
    const { spacing } = expectOk(ballCalibration(ball(172.95), square), 'ball');
    expect(spacing.rowMm).toBeCloseTo(25 / 172.95, 9);
    expect(spacing.columnMm).toBeCloseTo(25 / 172.95, 9);
  });

  // D81: knee films are magnified by 15.3 % from the front and 12.1 % from the side. A detector of 0.15 mm shows a ball of 25 mm
  // in the plane of the bone as 25 * 1.153 / 0.15 and 25 * 1.121 / 0.15 pixels.
  it.each([
    { view: 'front', magnification: 1.153 },
    { view: 'side', magnification: 1.121 },
  ])('takes the usual magnification of a $view view out: a knee 60 mm wide measures 60 mm', ({ magnification }) => {
    const { spacing } = expectOk(ballCalibration(ball((25 * magnification) / 0.15), square), 'ball');
    const pixels = (60 * magnification) / 0.15;
    expect(pixels * spacing.columnMm).toBeCloseTo(60, 6);
    // By the detector's spacing it would be too large by the magnification.
    expect(pixels * 0.15).toBeCloseTo(60 * magnification, 9);
  });

  // Open-standards A1: anatomy d mm from the calibrated depth is wrong by about d/SOD; 50 mm at 1000 mm is 5 %.
  it('is carried to the bone by d/SOD: a ball 50 mm nearer to the source than the bone makes lengths 5 % larger', () => {
    const { spacing: near } = expectOk(ballCalibration(ball(200, { depthMm: 50 }), square), 'near');
    expect(near.columnMm / (25 / 200)).toBeCloseTo(1.05, 9);
    const { spacing: behind } = expectOk(ballCalibration(ball(200, { depthMm: -50 }), square), 'behind');
    expect(behind.columnMm / (25 / 200)).toBeCloseTo(0.95, 9);
  });

  it('spreads by d/SOD too: a depth known to 15 mm at 1000 mm adds 1.5 %', () => {
    const sd = (depthSdMm: number): number => expectOk(ballCalibration(ball(200, { depthSdMm }), square), 'ball').sd;
    expect(Math.sqrt(sd(15) ** 2 - sd(0) ** 2)).toBeCloseTo(0.015, 9);
  });

  // Similar triangles: source to detector 1000, ball 140 before the detector, bone 100. In the plane of the bone a pixel of 0.2 mm
  // is 0.2 * 900 / 1000 mm; the ball is seen 1000 / 860 times as large.
  it('is exact where the file tells the detector and its distance', () => {
    const found = expectOk(
      ballCalibration(
        ball((25 * 1000) / 860 / 0.2, { depthMm: 40 }),
        { rowMm: 0.2, columnMm: 0.2 },
        {
          detector: { rowMm: 0.2, columnMm: 0.2 },
          sourceToDetectorMm: 1000,
        },
      ),
      'ball',
    );
    expect(found.spacing.columnMm).toBeCloseTo((0.2 * 900) / 1000, 9);
    expect(found.method).toContain('860 mm');
  });

  it('knows less where the distance of the source is assumed and the ball lay off the bone', () => {
    const assumed = expectOk(ballCalibration(ball(200, { depthMm: 50 }), square), 'assumed');
    const at = expectOk(ballCalibration(ball(200), square), 'at');
    const share = calibrationDefaults.sourceToObjectSd.value * 0.05;
    expect(assumed.sd).toBeCloseTo(Math.hypot(at.sd, share), 9);
  });

  // A circle in millimetres is an ellipse in pixels that are not square.
  it('sees a round ball on pixels that are not square', () => {
    const { spacing, findings } = expectOk(
      ballCalibration({ sizeMm: 25, rim: rim(125, 62.5, 9), ...flat }, { rowMm: 0.2, columnMm: 0.1 }),
      'ball',
    );
    expect(spacing.columnMm).toBeCloseTo(0.1, 9);
    expect(spacing.rowMm).toBeCloseTo(0.2, 9);
    expect(findings).toEqual([]);
  });

  // Errors of sd s in n points spread evenly round a circle leave s / sqrt(n) in its radius (normal equations, by hand).
  it('spreads less the more points lie on the rim', () => {
    const sd = (points: number): number =>
      expectOk(ballCalibration({ sizeMm: 25, rim: rim(100, 100, points), ...flat }, square), 'ball').sd;
    const edge = calibrationDefaults.edgePointSd.value;
    for (const n of [3, 8, 20]) expect(sd(n)).toBeCloseTo((2 * edge) / Math.sqrt(n) / 25, 9);
  });

  // By hand: three points a quarter turn apart have the normal matrix [[2,0,0],[0,1,1],[0,1,3]] of centre and radius, whose
  // inverse has 1/2 for the radius.
  it('spreads more when only half the rim is marked', () => {
    const half: readonly Pixel[] = [
      [800, 900],
      [700, 1000],
      [600, 900],
    ];
    const { sd } = expectOk(ballCalibration({ sizeMm: 25, rim: half, ...flat }, square), 'ball');
    expect(sd).toBeCloseTo((2 * calibrationDefaults.edgePointSd.value * Math.sqrt(0.5)) / 25, 9);
  });

  it('says when the rim is not round', () => {
    const { findings } = expectOk(ballCalibration({ sizeMm: 25, rim: rim(100, 85, 12), ...flat }, square), 'ball');
    expect(findings.map((f) => f.code)).toEqual(['rim-not-round']);
  });

  it('does not depend on where on the film the ball is, nor on the unit of the pixels', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 20, max: 400, noNaN: true }),
        fc.double({ min: 0, max: 5000, noNaN: true }),
        fc.double({ min: 0.05, max: 2, noNaN: true }),
        (radius, at, unit) => {
          const made = (aspect: number, c: number) =>
            expectOk(
              ballCalibration(
                { sizeMm: 25, rim: rim(radius, radius, 7, [c, at]), ...flat },
                { rowMm: aspect, columnMm: aspect },
              ),
              'ball',
            );
          expect(made(unit, at).spacing.columnMm / made(1, 0).spacing.columnMm).toBeCloseTo(1, 6);
          expect(made(unit, at).sd / made(1, 0).sd).toBeCloseTo(1, 4);
        },
      ),
    );
  });

  it.each([
    { why: 'a ball of 0 mm', change: { sizeMm: 0 }, kind: 'bad-size', says: '0 mm' },
    { why: 'a ball of -25 mm', change: { sizeMm: -25 }, kind: 'bad-size', says: '-25 mm' },
    { why: 'a ball of NaN', change: { sizeMm: Number.NaN }, kind: 'bad-size', says: 'NaN' },
    { why: 'two points', change: { rim: rim(9, 9, 2) }, kind: 'few-rim-points', says: '2 points' },
    { why: 'points on a line', change: { rim: rim(90, 0, 6) }, kind: 'no-circle', says: 'a line' },
    {
      why: 'points on one spot',
      change: {
        rim: [
          [5, 5],
          [5, 5],
          [5, 5],
        ] as const,
      },
      kind: 'no-circle',
      says: 'one spot',
    },
    { why: 'a depth of 600 mm', change: { depthMm: 600 }, kind: 'bad-depth', says: '600 mm' },
    { why: 'a depth known to -1 mm', change: { depthSdMm: -1 }, kind: 'bad-depth', says: '-1 mm' },
  ])('refuses $why with the number found', ({ change, kind, says }) => {
    const found = ballCalibration(ball(200, change), square);
    expect(found).toMatchObject({ ok: false, error: { kind, message: expect.stringContaining(says) } });
  });
});

describe('calibration on a ruler', () => {
  const ends: readonly [Pixel, Pixel] = [
    [100, 200],
    [400, 600],
  ];

  // 3-4-5: the ends lie 500 pixels apart.
  it('divides its length by that on the film: 100 mm over 500 pixels is 0.2 mm a pixel', () => {
    const { spacing } = expectOk(rulerCalibration({ sizeMm: 100, ends, ...flat }, square), 'ruler');
    expect(spacing.rowMm).toBeCloseTo(0.2, 12);
  });

  it('measures in millimetres where pixels are not square', () => {
    const { spacing } = expectOk(rulerCalibration({ sizeMm: 100, ends, ...flat }, { rowMm: 3, columnMm: 4 }), 'ruler');
    expect(spacing.columnMm / spacing.rowMm).toBeCloseTo(4 / 3, 12);
    expect(Math.hypot(300 * spacing.columnMm, 400 * spacing.rowMm)).toBeCloseTo(100, 9);
  });

  it.each([
    { why: 'of 0 mm', change: { sizeMm: 0 }, kind: 'bad-size', says: '0 mm' },
    {
      why: 'whose ends are one place',
      change: { ends: [ends[0], ends[0]] as const },
      kind: 'ends-together',
      says: '0.0 pixels',
    },
  ])('refuses one $why', ({ change, kind, says }) => {
    const found = rulerCalibration({ sizeMm: 100, ends, ...flat, ...change }, square);
    expect(found).toMatchObject({ ok: false, error: { kind, message: expect.stringContaining(says) } });
  });
});
