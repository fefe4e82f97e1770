import { expectOk } from '@kerfline/geometry';
import { describe, expect, it, test } from 'vitest';
import {
  asciiPlyCube,
  asciiStlCube,
  binaryPlyCube,
  binaryStl,
  cubeFacets,
  joined,
  objCube,
  packed,
  textBytes,
} from './cube.fixture.ts';
import { type MeshFileError, meshFileErrorText } from './mesh-file-error.ts';
import { readMesh } from './read-mesh.ts';

const cubes = [
  { format: 'stl-binary', bytes: binaryStl('by hand', cubeFacets) },
  { format: 'stl-ascii', bytes: textBytes(asciiStlCube) },
  { format: 'ply-ascii', bytes: textBytes(asciiPlyCube) },
  { format: 'ply-binary-little-endian', bytes: binaryPlyCube(true) },
  { format: 'ply-binary-big-endian', bytes: binaryPlyCube(false) },
  { format: 'obj', bytes: textBytes(objCube) },
] as const;

describe('a mesh file', () => {
  test.each(cubes)(
    '[IM1] $format is known by its content: 8 vertices, 12 triangles, volume 1000, area 600',
    ({ format, bytes }) => {
      const before = bytes.slice();
      const read = expectOk(readMesh(bytes), format);
      expect(read).toMatchObject({ format, findings: [], mesh: { frame: 'file' } });
      expect(read.quality).toMatchObject({ vertices: 8, triangles: 12, closed: true, volumeMm3: 1000, areaMm2: 600 });
      expect(bytes).toEqual(before);
    },
  );

  it('[IM1] in binary STL whose free text begins with "solid" or with "v " is binary STL', () => {
    for (const header of ['solid cube', 'v 1 2 3', '# comment']) {
      expect(readMesh(binaryStl(header, cubeFacets))).toMatchObject({ value: { format: 'stl-binary' } });
    }
  });

  test.each([
    { name: 'a.PLY', codes: ['name-differs'] },
    { name: 'a.ply.stl', codes: [] },
    { name: 'stl', codes: [] },
    { name: 'a.bin', codes: [] },
    { name: '', codes: [] },
  ])('[IM1] of binary STL named "$name" is read all the same', ({ name, codes }) => {
    expect(expectOk(readMesh(cubes[0].bytes, name), name).findings.map((f) => f.code)).toEqual(codes);
  });

  it('[IM10] with bytes behind its end is read up to there', () => {
    for (const { bytes, format } of cubes.slice(0, 5)) {
      const read = expectOk(readMesh(joined(bytes, textBytes('\nmore\n'))), format);
      expect(read.findings.map((f) => f.code)).toEqual(['trailing-bytes']);
      expect(read.quality.volumeMm3).toBe(1000);
    }
  });

  it('[IM13] that is inside out is turned over whatever its format', () => {
    const facets = cubeFacets.map(([a, b, c]) => [a!, c!, b!]);
    const read = expectOk(readMesh(binaryStl('', facets)), 'the cube');
    expect(read.findings).toMatchObject([{ code: 'inside-out', severity: 'doubt' }]);
    expect(read.quality.volumeMm3).toBe(1000);
  });

  const jpeg = joined(packed('uint8', [0xff, 0xd8, 0xff, 0xe0]), packed('uint8', new Array(996).fill(0x5a)));
  test.each([
    { why: 'empty', bytes: textBytes(''), error: { kind: 'empty-file' } },
    { why: 'one byte', bytes: textBytes('p'), error: { kind: 'unknown-format', found: 'p' } },
    { why: 'a letter', bytes: textBytes('Dear friend, here is the scan.'), error: { kind: 'unknown-format' } },
    { why: 'a long letter', bytes: textBytes('Dear friend, '.repeat(1000)), error: { kind: 'unknown-format' } },
    { why: 'a picture', bytes: jpeg, error: { kind: 'unknown-format', needed: 'an STL, PLY or OBJ file' } },
    { why: 'zeros', bytes: new Uint8Array(1084), error: { kind: 'unknown-format' } },
    { why: 'only comments', bytes: textBytes('# a\n# b\n'), error: { kind: 'unknown-format' } },
    {
      why: 'an OBJ of points',
      bytes: textBytes('v 0 0 0\nv 1 1 1\n'),
      error: { kind: 'too-few-triangles', found: 0, needed: 4 },
    },
    {
      why: 'an STL of no facets',
      bytes: new Uint8Array(84),
      error: { kind: 'too-few-triangles', found: 0, needed: 4 },
    },
    {
      why: 'three facets',
      bytes: binaryStl('', cubeFacets.slice(0, 3)),
      error: { kind: 'too-few-triangles', found: 2, needed: 4 },
    },
    {
      why: 'half an STL',
      bytes: cubes[0].bytes.subarray(0, 350),
      error: { kind: 'truncated', found: 350, needed: 684 },
    },
    {
      why: 'half an STL whose free text looks like OBJ',
      bytes: binaryStl('v 1 2 3\nv 1 2 3\n', cubeFacets).subarray(0, 350),
      error: { kind: 'truncated', found: 350, needed: 684 },
    },
    { why: 'half a PLY', bytes: cubes[3].bytes.subarray(0, 250), error: { kind: 'truncated' } },
    {
      why: 'an STL with a count gone wrong',
      bytes: joined(cubes[0].bytes.subarray(0, 83), packed('uint8', [0xf0]), cubes[0].bytes.subarray(84)),
      error: { kind: 'truncated', found: 684 },
    },
  ])('[IM3] that is none or bad is refused: $why', ({ bytes, error }) => {
    expect(readMesh(bytes)).toMatchObject({ ok: false, error });
  });

  const at = { line: 7 };
  test.each<{ error: MeshFileError; says: string }>([
    { error: { kind: 'empty-file' }, says: 'The file is empty.' },
    { error: { kind: 'unknown-format', found: 'GIF89a', needed: 'an STL file' }, says: '"GIF89a"; an STL file' },
    { error: { kind: 'bad-header', at, found: 'real', needed: 'a type' }, says: '"real" at line 7; a type' },
    { error: { kind: 'unexpected-word', at, found: 'x', needed: '"y"' }, says: '"x" stands at line 7; "y"' },
    { error: { kind: 'bad-number', at, found: '1,5', needed: 'a number' }, says: '"1,5" stands at line 7; a number' },
    {
      error: { kind: 'truncated', at: { byte: 90 }, counted: 'bytes', found: 90, needed: 134 },
      says: 'byte 90: 90 of at least 134 bytes',
    },
    { error: { kind: 'non-finite-coordinate', at, vertex: 4, found: 'nan' }, says: 'Vertex 4 at line 7' },
    { error: { kind: 'index-out-of-range', at, found: 9, needed: [1, 8] }, says: 'vertex 9; 1 to 8 are there' },
    { error: { kind: 'index-out-of-range', at, found: 9, needed: [1, 0] }, says: 'there is none' },
    { error: { kind: 'too-few-triangles', found: 3, needed: 4 }, says: '3 triangles; at least 4' },
    { error: { kind: 'too-many-triangles', found: 12, allowed: 11 }, says: '12 triangles or more; at most 11' },
    { error: { kind: 'too-many-vertices', found: 12, allowed: 11 }, says: '12 vertices or more; at most 11' },
  ])('[IM3] refused for $error.kind can say so in a sentence', ({ error, says }) => {
    expect(meshFileErrorText(error)).toContain(says);
    expect(meshFileErrorText(error)).toMatch(/^[A-Z"].*\.$/);
  });
});
