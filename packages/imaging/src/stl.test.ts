import { expectOk, meshQuality, type Result } from '@kerfline/geometry';
import { describe, expect, it, test } from 'vitest';
import { asciiStlCube, binaryStl, cubeFacets, joined, packed, textBytes } from './cube.fixture.ts';
import type { FileSurface } from './file-surface.ts';
import type { MeshFileError } from './mesh-file-error.ts';
import { readStl } from './stl.ts';

const codes = (surface: FileSurface): readonly string[] => surface.findings.map((f) => f.code);
const volumeOf = (read: Result<FileSurface, MeshFileError>): number =>
  meshQuality(expectOk(read, 'the file').mesh).volumeMm3;
const binaryCube = binaryStl('made by hand', cubeFacets);

describe('an STL file', () => {
  it('[IM6] in binary: 12 triangles of a cube share 8 vertices and enclose 1000', () => {
    const surface = expectOk(readStl(binaryCube), 'the cube');
    expect(surface).toMatchObject({ format: 'stl-binary', findings: [] });
    expect(meshQuality(surface.mesh)).toMatchObject({ vertices: 8, triangles: 12, closed: true, volumeMm3: 1000 });
  });

  it('[IM6] in binary is known by its length even if its free text begins with "solid"', () => {
    expect(readStl(binaryStl('solid cube facet normal', cubeFacets))).toMatchObject({
      value: { format: 'stl-binary' },
    });
    expect(volumeOf(readStl(binaryStl('solid', cubeFacets)))).toBe(1000);
  });

  it('[IM6] in binary with "solid" in its free text and a length that does not fit is still no text', () => {
    const bytes = binaryStl('solid cube', cubeFacets);
    expect(readStl(bytes.subarray(0, 300))).toMatchObject({ error: { kind: 'truncated', found: 300, needed: 684 } });
    expect(codes(expectOk(readStl(joined(bytes, packed('uint8', [1, 2, 3]))), 'it'))).toEqual(['trailing-bytes']);
  });

  it('[IM6] can lie anywhere in a larger buffer', () => {
    const larger = joined(packed('uint8', [9, 9, 9]), binaryCube, packed('uint8', [9]));
    expect(volumeOf(readStl(larger.subarray(3, 3 + binaryCube.length)))).toBe(1000);
  });

  test.each([
    { text: asciiStlCube, how: 'as usually indented' },
    { text: asciiStlCube.toUpperCase(), how: 'in capitals' },
    { text: asciiStlCube.replaceAll('\n', '\r\n'), how: 'with CRLF' },
    { text: asciiStlCube.replaceAll('\n', '\r'), how: 'with CR' },
    { text: asciiStlCube.replaceAll(/\s+/g, ' '), how: 'all on one line' },
    { text: asciiStlCube.replaceAll('cube', '').replaceAll(/\s+/g, '\n\n\t'), how: 'one word a line' },
    { text: asciiStlCube.replaceAll('cube', ''), how: 'without a name' },
    { text: asciiStlCube.replaceAll('cube', 'facet of a solid'), how: 'with words of the format in its name' },
    { text: asciiStlCube.replaceAll(' 10', ' +1.0E+01'), how: 'with exponents' },
    { text: asciiStlCube.replaceAll('normal 0 0 0', 'normal nan nan nan'), how: 'with normals that are no numbers' },
    { text: `\ufeff \n${asciiStlCube}`, how: 'with a byte order mark' },
    { text: asciiStlCube.trimEnd(), how: 'without a last line end' },
  ])('[IM6] in text $how: a closed cube of 1000', ({ text }) => {
    const surface = expectOk(readStl(textBytes(text)), 'the cube');
    expect(surface).toMatchObject({ format: 'stl-ascii', findings: [] });
    expect(meshQuality(surface.mesh)).toMatchObject({ vertices: 8, triangles: 12, closed: true, volumeMm3: 1000 });
  });

  test.each(['\n', ' '])('[IM6] with two solids, parted by %j, has the triangles of both', (parting) => {
    const lines = asciiStlCube.trimEnd().split('\n');
    const first = [...lines.slice(0, 1 + 7 * 5), 'endsolid cube'];
    const second = ['solid rest', ...lines.slice(1 + 7 * 5)];
    expect(volumeOf(readStl(textBytes([...first, ...second].join(parting))))).toBe(1000);
  });

  it('[IM6] joins corners at +0 and -0, which are one place', () => {
    expect(meshQuality(expectOk(readStl(textBytes(asciiStlCube.replace(' 0 ', ' -0 '))), 'it').mesh).vertices).toBe(8);
  });

  it('[IM5] takes the outside from the order of the corners, whatever its normals say', () => {
    const turned = cubeFacets.map(([a, b, c]) => [a!, c!, b!]);
    expect(volumeOf(readStl(binaryStl('', turned)))).toBe(-1000);
  });

  it('[IM4] keeps a coordinate to the bit', () => {
    const value = Math.fround(0.1);
    const facets = cubeFacets.map((t) => t.map(([x, y, z]) => [x + value, y, z] as const));
    expect(expectOk(readStl(binaryStl('', facets)), 'it').mesh.positions).toContain(value);
  });

  it('[IM10] with text behind the last solid names the first word of it', () => {
    const surface = expectOk(readStl(textBytes(`${asciiStlCube}\nthank you`)), 'the cube');
    expect(surface.findings).toMatchObject([{ code: 'trailing-bytes', severity: 'doubt' }]);
    expect(surface.findings[0]!.message).toContain('"thank"');
  });

  const withNumber = (index: number, value: number): Uint8Array => {
    const bytes = binaryCube.slice();
    new DataView(bytes.buffer).setFloat32(84 + 50 * 3 + 12 + 4 * index, value, true);
    return bytes;
  };
  test.each([
    { why: 'empty', bytes: textBytes(''), error: { kind: 'empty-file' } },
    { why: 'neither', bytes: textBytes('hello'), error: { kind: 'unknown-format', found: 'hello' } },
    {
      why: 'shorter than its count',
      bytes: binaryCube.subarray(0, 600),
      error: { kind: 'truncated', at: { byte: 600 }, counted: 'bytes', found: 600, needed: 684 },
    },
    {
      why: 'a count of four thousand million facets',
      bytes: joined(binaryCube.subarray(0, 80), packed('uint32', [0xffffffff]), binaryCube.subarray(84)),
      error: { kind: 'truncated', found: 684, needed: 84 + 50 * 0xffffffff },
    },
    {
      why: 'NaN as y of the second corner of facet 3',
      bytes: withNumber(4, Number.NaN),
      error: { kind: 'non-finite-coordinate', vertex: 10, at: { byte: 84 + 150 + 12 + 16 }, found: 'NaN' },
    },
    {
      why: 'infinity',
      bytes: withNumber(0, Number.NEGATIVE_INFINITY),
      error: { kind: 'non-finite-coordinate', vertex: 9, found: '-Infinity' },
    },
    {
      why: 'written nan',
      bytes: textBytes(asciiStlCube.replace('vertex 0 0 0', 'vertex 0 nan 0')),
      error: { kind: 'non-finite-coordinate', vertex: 0, at: { line: 4 }, found: 'nan' },
    },
    {
      why: 'beyond 32 bits',
      bytes: textBytes(asciiStlCube.replace('vertex 0 0 0', 'vertex 0 0 1e39')),
      error: { kind: 'non-finite-coordinate', vertex: 0, at: { line: 4 }, found: '1e39' },
    },
    {
      why: 'a decimal comma',
      bytes: textBytes(asciiStlCube.replace('vertex 0 0 0', 'vertex 0 0,5 0')),
      error: { kind: 'bad-number', at: { line: 4 }, found: '0,5', needed: 'a coordinate' },
    },
    {
      why: 'a fourth corner',
      bytes: textBytes(asciiStlCube.replace('endloop', 'vertex 1 1 1')),
      error: { kind: 'unexpected-word', at: { line: 7 }, found: 'vertex', needed: '"endloop"' },
    },
    {
      why: 'a misspelt facet',
      bytes: textBytes(asciiStlCube.replace('endfacet\n  facet', 'endfacet\n  fadet')),
      error: { kind: 'unexpected-word', at: { line: 9 }, found: 'fadet', needed: '"facet" or "endsolid"' },
    },
    {
      why: 'an end inside the second facet',
      bytes: textBytes(asciiStlCube.split('\n').slice(0, 11).join('\n')),
      error: { kind: 'truncated', at: { line: 11 }, counted: 'words of facet 2', found: 11, needed: 21 },
    },
    {
      why: 'an end without "endsolid"',
      bytes: textBytes(asciiStlCube.split('endsolid')[0]!),
      error: { kind: 'truncated', counted: '"endsolid"', found: 0, needed: 1 },
    },
    { why: 'only a name', bytes: textBytes('solid cube'), error: { kind: 'truncated', found: 0, needed: 1 } },
  ])('[IM3] that is bad is refused: $why', ({ bytes, error }) => {
    expect(readStl(bytes)).toMatchObject({ ok: false, error });
  });

  test.each([binaryCube, textBytes(asciiStlCube)])('[IM17] with more triangles than the limit is refused', (bytes) => {
    expect(readStl(bytes, 11)).toEqual({ ok: false, error: { kind: 'too-many-triangles', found: 12, allowed: 11 } });
    expect(readStl(bytes, 12).ok).toBe(true);
  });
});
