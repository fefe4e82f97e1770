import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { apparentVarus } from './film-projection.ts';

interface Examples {
  readonly projected_coronal_angle: {
    readonly table: readonly {
      true_varus: number;
      flexion: number;
      external_rotation: number;
      apparent_varus: number;
    }[];
  };
}
const { table } = (
  JSON.parse(
    readFileSync(
      new URL('../../../../fixtures/published/derived-worked-examples/values.json', import.meta.url),
      'utf8',
    ),
  ) as Examples
).projected_coronal_angle;

const rad = (deg: number): number => (deg * Math.PI) / 180;
const deg = (value: number): number => (value * 180) / Math.PI;

/** Source: plane geometry D80, 125 rows of fixtures/published/derived-worked-examples; four decimals are printed. */
describe('varus as a film shows it', () => {
  it('has 125 rows to compare', () => {
    expect(table.length).toBe(125);
  });

  it.each(table)(
    '$true_varus varus, $flexion flexed, $external_rotation turned out shows $apparent_varus deg',
    ({ true_varus, flexion, external_rotation, apparent_varus }) => {
      const shown = deg(apparentVarus(rad(true_varus), rad(flexion), rad(external_rotation)));
      expect(Math.abs(shown - apparent_varus)).toBeLessThan(6e-5);
    },
  );

  it('a shin is drawn: its shadow on the film has the angle that the formula gives, to 1e-9 deg', () => {
    for (const [v, f, t] of [
      [4, 12, 9],
      [-6, 5, -15],
      [10, 20, 20],
    ] as const) {
      // Femur upright; a shin whose front and side views show v and f, turned out by t about the upright.
      const shin = [-Math.tan(rad(v)), -Math.tan(rad(f)), -1] as const;
      // Knee bent: the ankle goes back (A negative). Turned out: A goes toward L.
      const l = shin[0] * Math.cos(rad(t)) + shin[1] * Math.sin(rad(t));
      expect(deg(Math.atan2(-l, 1))).toBeCloseTo(deg(apparentVarus(rad(v), rad(f), rad(t))), 9);
    }
  });
});
