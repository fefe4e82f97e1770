import {
  expectOk,
  liftedFrom,
  type Mesh,
  type Polygon,
  polygonArea,
  polygonCentroid,
  volume,
} from '@kerfline/geometry';
import { describe, expect, it } from 'vitest';
import { chordAt, cutOutline, extentOf } from './cut-outline.ts';
import type { CutPlane } from './cut-plane.ts';
import { ellipse, prism, rectangle, together } from './prism.fixture.ts';

const rad = (deg: number): number => (deg * Math.PI) / 180;
const plane = (cut: CutPlane['cut'], normal: CutPlane['normal'], offset: number): CutPlane => ({
  cut,
  normal,
  offset,
  kerf: 1.4,
});
/** A tibial cut through P = -9 over the frame's origin, leaning into varus and slope as its angles say. */
const tibiaCut = (varusDeg: number, slopeDeg: number): CutPlane => {
  const n = [-Math.tan(rad(varusDeg)), -Math.tan(rad(slopeDeg)), 1] as const;
  const size = Math.hypot(...n);
  return plane('tibia', [n[0] / size, n[1] / size, n[2] / size], -9 / size);
};

describe('the outline of a bone in a cut', () => {
  it.each([
    { varus: 0, slope: 0 },
    { varus: 3, slope: 7 },
    { varus: -4, slope: 10 },
  ])(
    'of an elliptic shaft, $varus varus and $slope slope, has the area of the ellipse over the cosine of the lean',
    ({ varus, slope }) => {
      // Closed form: a section's shadow along P is the ellipse itself.
      const shaft = prism('tibia', ellipse(37, 24), [-300, 0]);
      expect(volume(shaft)).toBeGreaterThan(0);
      const cut = tibiaCut(varus, slope);
      const { loops } = expectOk(cutOutline(shaft, cut), 'outline');
      expect(loops.length).toBe(1);
      // 720 corners: smaller than the ellipse by 1.3e-5.
      expect(polygonArea(loops[0]) * cut.normal[2]).toBeCloseTo(Math.PI * 37 * 24, 0);
    },
  );

  it('lies on the cut and on the bone, with lateral to the right and front up', () => {
    const cut = tibiaCut(3, 7);
    const { axes, loops } = expectOk(cutOutline(prism('tibia', rectangle(-30, 40, -20, 25), [-99, 0]), cut), 'outline');
    const corners = loops[0].map((p) => ({ p, at: liftedFrom(axes, p).xyz }));
    for (const { at } of corners) {
      expect(cut.normal[0] * at[0] + cut.normal[1] * at[1] + cut.normal[2] * at[2]).toBeCloseTo(cut.offset, 4);
    }
    const rightmost = corners.reduce((a, b) => (b.p[0] > a.p[0] ? b : a));
    expect(rightmost.at[0]).toBeCloseTo(40, 4);
    const uppermost = corners.reduce((a, b) => (b.p[1] > a.p[1] ? b : a));
    expect(uppermost.at[1]).toBeCloseTo(25, 4);
  });

  it('of a kneecap has lateral to the right and the thigh up', () => {
    const cap = prism('patella', rectangle(-20, 24, -18, 22), [-10, 12], 'A');
    expect(volume(cap)).toBeCloseTo(44 * 40 * 22, 1);
    const { loops } = expectOk(cutOutline(cap, plane('kneecap', [0, 1, 0], -2)), 'outline');
    expect(extentOf(loops, 0)).toEqual([-20, 24]);
    expect(extentOf(loops, 1)).toEqual([-18, 22]);
    expect(polygonArea(loops[0])).toBeCloseTo(44 * 40, 6);
  });

  it('of two condyles that are apart has two loops, without a speck beside them', () => {
    const condyles = together(
      prism('femur', rectangle(-35, -8, -25, 30), [-10, 40]),
      prism('femur', rectangle(9, 34, -25, 28), [-9, 40]),
    );
    const speck = prism('femur', rectangle(50, 51, 0, 1), [-9, 40]);
    const { loops } = expectOk(cutOutline(together(condyles, speck), plane('distalFemur', [0, 0, 1], 0)), 'outline');
    expect(loops.map((loop) => polygonCentroid(loop)[0]).map((l) => Math.round(l * 10) / 10)).toEqual([-21.5, 21.5]);
    expect(extentOf(loops, 0)).toEqual([-35, 34]);
  });

  it('is refused where the cut passes beside the bone and where the surface is open', () => {
    const shaft = prism('tibia', rectangle(-30, 30, -20, 20), [-300, -20]);
    expect(cutOutline(shaft, tibiaCut(0, 0))).toMatchObject({ ok: false, error: { kind: 'no-section' } });
    const wall: Mesh<'tibia'> = { ...shaft, triangles: shaft.triangles.slice(0, 6) };
    expect(cutOutline(wall, { ...tibiaCut(0, 0), offset: -100 })).toMatchObject({
      ok: false,
      error: { kind: 'open-section' },
    });
  });
});

describe('a chord', () => {
  /** By hand: a triangle with corners (0, 0), (10, 0) and (4, 8), and a square from 20 to 22. */
  const loops: readonly Polygon[] = [
    [
      [0, 0],
      [10, 0],
      [4, 8],
    ],
    rectangle(20, 22, 1, 3),
  ];

  it.each([
    { axis: 0, at: 4, chord: [2, 7] },
    { axis: 0, at: 2, chord: [1, 22] },
    { axis: 1, at: 7, chord: [0, 4] },
  ] as const)('along axis $axis at $at goes from $chord.0 to $chord.1', ({ axis, at, chord }) => {
    const [from, to] = chordAt(loops, axis, at)!;
    expect(from).toBeCloseTo(chord[0], 12);
    expect(to).toBeCloseTo(chord[1], 12);
  });

  it('is not there beside the loops', () => {
    expect(chordAt(loops, 0, 9)).toBeUndefined();
    expect(chordAt(loops, 1, 15)).toBeUndefined();
  });
});
