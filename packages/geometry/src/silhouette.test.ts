import { describe, expect, it } from 'vitest';
import { polygonArea, silhouette, simplified, type Vec3 } from './index.ts';
import { ball, cube } from './mesh.fixture.ts';

describe('a silhouette', () => {
  it('of a sphere of radius 20 is a circle of its area, whatever the direction, without folds', () => {
    for (const from of [
      [1, 0, 0],
      [0, 1, 0],
      [1, 2, 3],
    ] satisfies Vec3[]) {
      const seen = silhouette(ball('m', [5, -3, 8], 20, 40), from, [0, 0.1, 1], 0.5);
      expect(seen.outline.length).toBe(1);
      expect(polygonArea(seen.outline[0]!) / (Math.PI * 400)).toBeCloseTo(1, 1);
      expect(seen.folds).toEqual([]);
    }
  });

  it('of a small cube in front of a large one has a fold along the border between them', () => {
    const back = cube('m', [0, 0, 0], 40);
    const front = cube('m', [10, -30, 10], 20);
    const both = {
      positions: Float32Array.from([...back.positions, ...front.positions]),
      triangles: Uint32Array.from([...back.triangles, ...[...front.triangles].map((v) => v + 8)]),
    };
    const seen = silhouette(both, [0, -1, 0], [0, 0, 1], 0.5);
    expect(polygonArea(seen.outline[0]!) / 1600).toBeCloseTo(1, 1);
    const length = seen.folds.reduce(
      (sum, line) => sum + line.slice(1).reduce((s, q, i) => s + Math.hypot(q[0] - line[i]![0], q[1] - line[i]![1]), 0),
      0,
    );
    expect(Math.abs(length - 80)).toBeLessThan(6);
  });

  it('is seen with up upward and the right of the eye to the right', () => {
    // A cube that stands to the +x side, seen from -y with z up, lies to the right.
    const seen = silhouette(cube('m', [30, 0, 50], 10), [0, -1, 0], [0, 0, 1], 0.5);
    const xs = seen.outline[0]!.map((q) => q[0]);
    const ys = seen.outline[0]!.map((q) => q[1]);
    expect(Math.min(...xs)).toBeGreaterThan(28);
    expect(Math.min(...ys)).toBeGreaterThan(48);
  });
});

describe('simplifying a line', () => {
  it('keeps its corners and leaves out points on the way', () => {
    expect(
      simplified(
        [
          [0, 0],
          [1, 0.01],
          [2, 0],
          [2, 1],
          [2.01, 2],
          [2, 3],
        ],
        0.1,
      ),
    ).toEqual([
      [0, 0],
      [2, 0],
      [2, 3],
    ]);
  });
});
