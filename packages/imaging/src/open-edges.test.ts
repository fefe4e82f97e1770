import { describe, expect, it } from 'vitest';
import { cubeCorners, cubeTriangles } from './cube.fixture.ts';
import { middleOfOpenEdges } from './open-edges.ts';

const surface = (triangles: readonly (readonly number[])[]) => ({
  positions: Float32Array.from(cubeCorners.flat()),
  triangles: Uint32Array.from(triangles.flat()),
});

describe('the middle of the open edges', () => {
  it('of a cube without its top is the middle of the top', () => {
    expect(middleOfOpenEdges(surface(cubeTriangles.filter((_, i) => i !== 2 && i !== 3)))).toEqual([5, 5, 10]);
  });

  it('of a cube without top and bottom is the middle of the cube', () => {
    expect(middleOfOpenEdges(surface(cubeTriangles.slice(4)))).toEqual([5, 5, 5]);
  });

  it('of a closed cube does not exist, nor of one whose edges are all shared by three or more', () => {
    expect(middleOfOpenEdges(surface(cubeTriangles))).toBeUndefined();
    expect(middleOfOpenEdges(surface([...cubeTriangles, ...cubeTriangles, ...cubeTriangles]))).toBeUndefined();
  });
});
