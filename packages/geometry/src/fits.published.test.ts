import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { expectOk, fitCircle, fitCircleLinear, point, refineSphere, register, type Vec3 } from './index.ts';

const published = (path: string): string =>
  readFileSync(new URL(`../../../fixtures/published/${path}`, import.meta.url), 'utf8');

/** Source: Gander, Golub, Strebel 1994 (values: fixtures/published/gander-golub-strebel-1994/SOURCE.md). */
describe('the six circle points of Gander, Golub and Strebel', () => {
  const points = published('gander-golub-strebel-1994/points.csv')
    .split('\n')
    .filter((line) => /^\d/.test(line))
    .map((line) => line.split(',').map(Number))
    .filter((row) => row[3] === 1)
    .map((row) => [row[1]!, row[2]!] as const);

  it('give the geometric circle (4.7398, 2.9835), 4.7142', () => {
    expect(points.length).toBe(6);
    const circle = expectOk(fitCircle(points), 'circle');
    expect(circle.centre[0]).toBeCloseTo(4.7398, 4);
    expect(circle.centre[1]).toBeCloseTo(2.9835, 4);
    expect(circle.radius).toBeCloseTo(4.7142, 4);
    expect(circle.sumOfSquares).toBeCloseTo(1.227599, 6);
  });

  it('give (4.742331, 3.835123), 4.108762 by the linear method, which tells the methods apart', () => {
    const circle = fitCircleLinear(points);
    expect(circle.centre[0]).toBeCloseTo(4.742331, 6);
    expect(circle.centre[1]).toBeCloseTo(3.835123, 6);
    expect(circle.radius).toBeCloseTo(4.108762, 6);
  });
});

interface Examples {
  readonly rigid_registration_exact: {
    readonly source: Vec3[];
    readonly target: Vec3[];
    readonly R: [Vec3, Vec3, Vec3];
    readonly t: Vec3;
    readonly mirror_trap: { readonly target: Vec3[] };
  };
  readonly sphere_fit_exact: { readonly points: Vec3[]; readonly centre: Vec3; readonly radius: number };
}

/** Source: exact integer constructions (fixtures/published/derived-worked-examples). */
describe('the exact constructions', () => {
  const examples = JSON.parse(published('derived-worked-examples/values.json')) as Examples;

  it('register five points to 1e-9', () => {
    const { source, target, R, t } = examples.rigid_registration_exact;
    const found = expectOk(
      register(
        source.map((p) => point('from', p)),
        target.map((p) => point('to', p)),
      ),
      'registration',
    );
    expect(found.rmsMm).toBeLessThan(1e-9);
    R.forEach((row, r) => {
      row.forEach((value, c) => {
        expect(found.toFromFrom.rotation[r as 0 | 1 | 2][c as 0 | 1 | 2]).toBeCloseTo(value, 9);
      });
      expect(found.toFromFrom.translation[r]).toBeCloseTo(t[r]!, 9);
    });
  });

  it('tell a mirror image from a motion', () => {
    const { source, target } = examples.rigid_registration_exact;
    const flipped = register(
      source.map((p) => point('from', p)),
      target.map(([x, y, z]) => point('to', [-x, y, z])),
    );
    expect(flipped).toMatchObject({ ok: false, error: { kind: 'mirrored' } });
  });

  it('fit the sphere of radius 25 from twelve points of a partial cap to 1e-6', () => {
    const { points, centre, radius } = examples.sphere_fit_exact;
    const fit = refineSphere(points, undefined, { centre: [0, 0, 420], radius: 40 });
    centre.forEach((v, i) => {
      expect(fit.centre[i]).toBeCloseTo(v, 6);
    });
    expect(fit.radius).toBeCloseTo(radius, 6);
  });
});
