import { expectOk, inFrame, type Mesh, type Surface } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cubeCorners, cubeTriangles } from './cube.fixture.ts';
import { readPly } from './ply.ts';
import { readMesh } from './read-mesh.ts';
import { readStl } from './stl.ts';
import { writePly } from './write-ply.ts';
import { writeStl } from './write-stl.ts';

const anyMesh: fc.Arbitrary<Mesh<'m'>> = fc
  .array(fc.float({ noNaN: true, noDefaultInfinity: true }), { minLength: 9, maxLength: 60 })
  .map((numbers) => Float32Array.from(numbers.slice(0, numbers.length - (numbers.length % 3))))
  .chain((positions) =>
    fc
      .array(fc.tuple(...[0, 1, 2].map(() => fc.nat(positions.length / 3 - 1))), { maxLength: 20 })
      .map((triangles) => inFrame('m', { positions, triangles: Uint32Array.from(triangles.flat()) })),
  );
const cube = inFrame('m', {
  positions: Float32Array.from(cubeCorners.flat()),
  triangles: Uint32Array.from(cubeTriangles.flat()),
});
/** The coordinates of every corner in the order of the triangles, bit for bit but for the sign of zero. */
const corners = (mesh: Surface): readonly number[] =>
  [...mesh.triangles].flatMap((v) => [...mesh.positions.subarray(3 * v, 3 * v + 3)].map((value) => value + 0));

describe('a written mesh', () => {
  it('[IM19] as PLY gives back every bit, in its order', () => {
    fc.assert(
      fc.property(anyMesh, (mesh) => {
        const { mesh: back, findings } = expectOk(readPly(writePly(mesh)), 'the written file');
        expect(findings).toEqual([]);
        expect(new Uint32Array(back.positions.buffer)).toEqual(new Uint32Array(mesh.positions.buffer));
        expect(back.triangles).toEqual(mesh.triangles);
      }),
    );
  });

  it('[IM19] as STL gives back every corner', () => {
    fc.assert(
      fc.property(anyMesh, (mesh) => {
        expect(corners(expectOk(readStl(writeStl(mesh)), 'the written file').mesh)).toEqual(corners(mesh));
      }),
    );
  });

  it('[IM19] as PLY carries comments, one for each of their lines, that are read as nothing else', () => {
    const comments = ['unit mm', 'two\nelement vertex 99\r\nend_header', 'Größe', ''];
    const bytes = writePly(cube, comments);
    expect(expectOk(readMesh(bytes), 'it')).toMatchObject({ quality: { volumeMm3: 1000 }, findings: [] });
    const header = new TextDecoder().decode(bytes).split('\nend_header\n')[0]!.split('\n');
    expect(header.filter((line) => line.startsWith('comment'))).toEqual([
      'comment unit mm',
      'comment two',
      'comment element vertex 99',
      'comment end_header',
      'comment Größe',
      'comment ',
    ]);
  });

  it('[IM19] as STL has its title in 80 plain bytes that do not begin with "solid"', () => {
    const header = (title: string): string => new TextDecoder().decode(writeStl(cube, title).subarray(0, 80));
    expect(header('solid Größe')).toBe('binary solid Gr??e'.padEnd(80));
    expect(header('x'.repeat(200))).toBe(`binary ${'x'.repeat(73)}`);
    expect(expectOk(readMesh(writeStl(cube, 'x'.repeat(200))), 'it').quality.volumeMm3).toBe(1000);
  });

  it('[IM19] as STL states outward unit normals, and zero for a triangle without area', () => {
    const normal = (bytes: Uint8Array<ArrayBuffer>, facet: number): readonly number[] =>
      [0, 4, 8].map((k) => new DataView(bytes.buffer).getFloat32(84 + 50 * facet + k, true));
    const bytes = writeStl(cube);
    // Bottom, top, front, right, back, left: two triangles each.
    expect([0, 2, 4, 6, 8, 10].map((facet) => normal(bytes, facet).map((v) => v + 0))).toEqual([
      [0, 0, -1],
      [0, 0, 1],
      [0, -1, 0],
      [1, 0, 0],
      [0, 1, 0],
      [-1, 0, 0],
    ]);
    expect(normal(writeStl({ ...cube, triangles: Uint32Array.of(0, 1, 1) }), 0)).toEqual([0, 0, 0]);
  });
});
