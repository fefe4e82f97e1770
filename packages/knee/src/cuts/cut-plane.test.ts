import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cutNames } from '../guides/guide.ts';
import {
  type CutPlane,
  cutDirection,
  femurFlexion,
  femurRotation,
  femurValgus,
  resection,
  tibiaSlope,
  tibiaVarus,
} from './cut-plane.ts';

const rad = (deg: number): number => (deg * Math.PI) / 180;
const deg = (value: number): number => (value * 180) / Math.PI;
const angle = fc.double({ min: -15, max: 15, noNaN: true });

interface Examples {
  readonly mm_per_degree: { readonly table: readonly { W: number; mm_per_1deg: number; mm_per_3deg: number }[] };
}
const { table } = (
  JSON.parse(
    readFileSync(
      new URL('../../../../fixtures/published/derived-worked-examples/values.json', import.meta.url),
      'utf8',
    ),
  ) as Examples
).mm_per_degree;

/**
 * Source: conventions of the trade notes, 0.2. Retained surfaces: tibia P = -h + L tan v + A tan p, femur
 * P = H + L tan phi - A tan f; so a normal is (-slope along L, -slope along A, 1).
 */
describe('the angles of a cut', () => {
  it('of a tibia are those of the surface P = -h + L tan v + A tan p', () => {
    fc.assert(
      fc.property(angle, angle, (v, p) => {
        const normal = [-Math.tan(rad(v)), -Math.tan(rad(p)), 1] as const;
        expect(deg(tibiaVarus(normal))).toBeCloseTo(v, 9);
        expect(deg(tibiaSlope(normal))).toBeCloseTo(p, 9);
      }),
    );
  });

  it('of a distal femur are those of the surface P = H + L tan phi - A tan f', () => {
    fc.assert(
      fc.property(angle, angle, (phi, f) => {
        const normal = [-Math.tan(rad(phi)), Math.tan(rad(f)), 1] as const;
        expect(deg(femurValgus(normal))).toBeCloseTo(phi, 9);
        expect(deg(femurFlexion(normal))).toBeCloseTo(f, 9);
      }),
    );
  });

  // External carries the front toward lateral: the forward normal leans to lateral.
  it('of a rear cut turned r external leans forward and lateral: (sin r, cos r)', () => {
    fc.assert(
      fc.property(angle, (r) => {
        expect(deg(femurRotation([Math.sin(rad(r)), Math.cos(rad(r)), 0]))).toBeCloseTo(r, 9);
      }),
    );
  });

  /** Source: fixtures/published/derived-worked-examples, difference over a width, W tan(angle); four decimals printed. */
  it.each(table)(
    'over $W mm one degree is $mm_per_1deg mm of height and three are $mm_per_3deg',
    ({ W, mm_per_1deg, mm_per_3deg }) => {
      for (const [degrees, step] of [
        [1, mm_per_1deg],
        [3, mm_per_3deg],
      ] as const) {
        // Height of the plane at either edge, from its normal and offset.
        const normal = [-Math.sin(rad(degrees)), 0, Math.cos(rad(degrees))] as const;
        const height = (l: number): number => (0 - normal[0] * l) / normal[2];
        expect(Math.abs(height(W / 2) - height(-W / 2) - step)).toBeLessThan(6e-5);
        expect(deg(tibiaVarus(normal))).toBeCloseTo(degrees, 9);
      }
    },
  );
});

describe('a resection', () => {
  it.each([
    { cut: 'tibia', removed: [0, 0, 3], kept: [0, 0, -3], normal: [0, 0, 1] },
    { cut: 'distalFemur', removed: [0, 0, -3], kept: [0, 0, 3], normal: [0, 0, 1] },
    { cut: 'posteriorFemur', removed: [0, -3, 0], kept: [0, 3, 0], normal: [0, 1, 0] },
    { cut: 'anteriorFemur', removed: [0, 3, 0], kept: [0, -3, 0], normal: [0, 1, 0] },
    { cut: 'posteriorChamfer', removed: [0, -3, 0], kept: [0, 3, 0], normal: [0, 1, 0] },
    { cut: 'anteriorChamfer', removed: [0, 3, 0], kept: [0, -3, 0], normal: [0, 1, 0] },
    { cut: 'kneecap', removed: [0, -3, 0], kept: [0, 3, 0], normal: [0, 1, 0] },
  ] as const)(
    'of the $cut is 3 mm where bone is removed and -3 mm where it is kept',
    ({ cut, removed, kept, normal }) => {
      const plane: CutPlane = { cut, normal, offset: 0, kerf: 1.4 };
      expect(resection(plane, removed)).toBe(3);
      expect(resection(plane, kept)).toBe(-3);
    },
  );

  it('is square to the cut: 10 mm along P below a cut of 30 deg are 8.66 mm', () => {
    const plane: CutPlane = { cut: 'tibia', normal: [-0.5, 0, Math.sqrt(0.75)], offset: 0, kerf: 1.4 };
    expect(resection(plane, [0, 0, 10])).toBeCloseTo(8.66, 2);
  });

  it('has a direction for every cut', () => {
    for (const cut of cutNames) expect([1, -1]).toContain(cutDirection(cut).into);
  });
});
