import { describe, expect, it } from 'vitest';
import {
  apply,
  matrix4,
  meshQuality,
  point,
  reflectBack,
  reflection,
  reflectMesh,
  reflectPoint,
  rotationAbout,
  transform,
  unit,
} from './index.ts';
import { cube } from './mesh.fixture.ts';

describe('a reflection', () => {
  const mirror = reflection('right', 'left', unit([1, 2, -1]));

  it('is its own undoing', () => {
    const p = point('left', [3, -4, 12]);
    const back = reflectPoint(reflectBack(mirror), reflectPoint(mirror, p));
    back.xyz.forEach((v, i) => {
      expect(v).toBeCloseTo(p.xyz[i]!, 12);
    });
  });

  it('of a closed outward mesh is again closed and outward, with the same volume', () => {
    const quality = meshQuality(reflectMesh(mirror, cube('left', [5, 6, 7], 10)));
    expect(quality.closed).toBe(true);
    expect(quality.volumeMm3).toBeCloseTo(1000, 3);
  });

  it('gives a 4x4 matrix of determinant -1 with a rigid map behind it, and +1 without', () => {
    const rigid = transform('bone', 'right', rotationAbout(unit([1, 1, 0]), 0.7), [10, 20, 30]);
    const det = (m: readonly number[]): number =>
      m[0]! * (m[5]! * m[10]! - m[6]! * m[9]!) -
      m[1]! * (m[4]! * m[10]! - m[6]! * m[8]!) +
      m[2]! * (m[4]! * m[9]! - m[5]! * m[8]!);
    const withMirror = matrix4(rigid, mirror);
    expect(det(withMirror)).toBeCloseTo(-1, 12);
    expect(det(matrix4(rigid))).toBeCloseTo(1, 12);
    const p = point('left', [3, -4, 12]);
    const expected = apply(rigid, reflectPoint(mirror, p)).xyz;
    for (const row of [0, 1, 2]) {
      const seen = withMirror
        .slice(4 * row, 4 * row + 4)
        .reduce((sum, v, k) => sum + v * ([...p.xyz, 1][k] as number), 0);
      expect(seen).toBeCloseTo(expected[row]!, 10);
    }
  });
});
