import { expectOk, meshQuality } from '@kerfline/geometry';
import { describe, expect, it, test } from 'vitest';
import { cubeCorners, cubeQuads, objCube, textBytes } from './cube.fixture.ts';
import { readObj } from './obj.ts';

const qualityOf = (text: string) => meshQuality(expectOk(readObj(textBytes(text)), 'the file').mesh);
const corners = (form: (v: number) => string): string =>
  objCube.replaceAll(/^f .*$/gm, (line) => line.replaceAll(/\d+/g, (v) => form(Number(v))));

describe('an OBJ file', () => {
  test.each([
    { text: objCube, how: 'with quads' },
    { text: corners((v) => `${v}/${v}`), how: 'with texture numbers' },
    { text: corners((v) => `${v}//${v}`), how: 'with normal numbers' },
    { text: corners((v) => `${v}/1/${v}`), how: 'with both' },
    { text: corners((v) => `${v - 9}`), how: 'with vertices counted back' },
    { text: corners((v) => `${v - 9}//-1`), how: 'with all counted back' },
    { text: objCube.replaceAll('\n', '\r\n'), how: 'with CRLF' },
    { text: objCube.replaceAll('\n', '\r'), how: 'with CR' },
    { text: objCube.replaceAll(/^f (\d+) (\d+)/gm, 'f \\\n $1 \\\r\n$2\\\n'), how: 'with lines joined by a backslash' },
    { text: objCube.replaceAll(/^(v .*)$/gm, '$1 1.0'), how: 'with weights' },
    { text: objCube.replaceAll(/^(v .*)$/gm, '$1 0.5 0.5 0.5'), how: 'with colours' },
    {
      text: objCube.replaceAll(/^(f .*)$/gm, '$1 # a face\n#f 1 2 3 \\'),
      how: 'with comments, one ending in a backslash',
    },
    { text: objCube.replaceAll(/^f/gm, 'g side\nusemtl red\ns 1\nf'), how: 'with groups' },
    { text: `mtllib a.mtl\n${objCube.replaceAll(' 10', ' 1.0e+1')}`, how: 'with exponents' },
    {
      text: objCube.replaceAll(/^(v .*)$/gm, '  $1\nvn 0 0 1\nvt 0 x'),
      how: 'with indented vertices, normals, texture',
    },
    {
      text: `${objCube
        .split('\n')
        .filter((l) => l.startsWith('f'))
        .join('\n')}\n${objCube
        .split('\n')
        .filter((l) => l.startsWith('v'))
        .join('\n')}`,
      how: 'with the faces first',
    },
  ])('[IM8] $how: a closed cube of 1000', ({ text }) => {
    expect(readObj(textBytes(text))).toMatchObject({ ok: true, value: { format: 'obj', findings: [] } });
    expect(qualityOf(text)).toMatchObject({ vertices: 8, triangles: 12, closed: true, volumeMm3: 1000 });
  });

  it('[IM8] joins objects whose faces count back from their own vertices', () => {
    const shifted = cubeCorners.map(([x, y, z]) => `v ${x + 50} ${y} ${z}`);
    const faces = cubeQuads.map((q) => `f ${q.map((v) => v - 8).join(' ')}`);
    const text = [objCube, 'o second', ...shifted, ...faces].join('\n');
    expect(qualityOf(text)).toMatchObject({ vertices: 16, pieces: [12, 12], closed: true, volumeMm3: 2000 });
  });

  it('[IM9] makes a fan of a face with five corners and leaves out one with two', () => {
    const surface = expectOk(readObj(textBytes(`${objCube}f 1 2 3 7 8\nf 1 2\n`)), 'it');
    expect([...surface.mesh.triangles.subarray(36)]).toEqual([0, 1, 2, 0, 2, 6, 0, 6, 7]);
    expect(surface.findings).toMatchObject([{ code: 'short-faces', severity: 'doubt' }]);
  });

  it('[IM8] with lines that begin with an unknown word says how many and which came first', () => {
    const { findings } = expectOk(readObj(textBytes(`${objCube}w 1 2 3\nthank you\n`)), 'it');
    expect(findings).toMatchObject([{ code: 'unknown-lines', severity: 'doubt' }]);
    expect(findings[0]!.message).toMatch(/^2 lines .*"w" on line 17/);
  });

  const changed = (from: string, to: string): Uint8Array => textBytes(objCube.replace(from, to));
  test.each([
    { why: 'empty', bytes: textBytes(''), error: { kind: 'empty-file' } },
    {
      why: 'two coordinates',
      bytes: changed('v 10 0 0', 'v 10 0'),
      error: { kind: 'bad-number', at: { line: 4 }, found: 'end of line', needed: 'a coordinate' },
    },
    {
      why: 'a word for a coordinate',
      bytes: changed('v 10 0 0', 'v 10 zero 0'),
      error: { kind: 'bad-number', at: { line: 4 }, found: 'zero' },
    },
    {
      why: 'nan',
      bytes: changed('v 10 0 0', 'v 10 nan 0'),
      error: { kind: 'non-finite-coordinate', at: { line: 4 }, vertex: 1, found: 'nan' },
    },
    {
      why: 'infinity',
      bytes: changed('v 10 0 0', 'v 10 0 inf'),
      error: { kind: 'non-finite-coordinate', at: { line: 4 }, vertex: 1, found: 'inf' },
    },
    {
      why: 'beyond 32 bits',
      bytes: changed('v 10 0 0', 'v -1e40 0 0'),
      error: { kind: 'non-finite-coordinate', vertex: 1, found: '-1e40' },
    },
    {
      why: 'vertex 0',
      bytes: changed('f 1 4', 'f 0 4'),
      error: { kind: 'index-out-of-range', at: { line: 11 }, found: 0, needed: [1, 8] },
    },
    {
      why: 'vertex 9 of 8',
      bytes: changed('f 1 4', 'f 9 4'),
      error: { kind: 'index-out-of-range', at: { line: 11 }, found: 9, needed: [1, 8] },
    },
    {
      why: 'vertex -9 of 8',
      bytes: changed('f 1 4', 'f -9 4'),
      error: { kind: 'index-out-of-range', at: { line: 11 }, found: -9, needed: [-8, -1] },
    },
    {
      why: 'counting back before any vertex',
      bytes: textBytes('f -1 -2 -3'),
      error: { kind: 'index-out-of-range', found: -1, needed: [1, 0] },
    },
    {
      why: 'half a vertex',
      bytes: changed('f 1 4', 'f 1.5 4'),
      error: { kind: 'bad-number', at: { line: 11 }, found: '1.5', needed: 'the number of a vertex' },
    },
    {
      why: 'a corner without a vertex',
      bytes: changed('f 1 4', 'f /1 4'),
      error: { kind: 'bad-number', at: { line: 11 }, found: '/1' },
    },
    {
      why: 'a vertex beyond any count',
      bytes: changed('f 1 4', 'f 99999999999999999999 4'),
      error: { kind: 'bad-number' },
    },
  ])('[IM3] that is bad is refused: $why', ({ bytes, error }) => {
    expect(readObj(bytes)).toMatchObject({ ok: false, error });
  });

  it('[IM17] with more than the limit is refused', () => {
    const bytes = textBytes(objCube);
    expect(readObj(bytes, 11)).toEqual({ ok: false, error: { kind: 'too-many-triangles', found: 12, allowed: 11 } });
    expect(readObj(bytes, 12).ok).toBe(true);
    expect(readObj(bytes, 2)).toEqual({ ok: false, error: { kind: 'too-many-vertices', found: 7, allowed: 6 } });
  });
});
