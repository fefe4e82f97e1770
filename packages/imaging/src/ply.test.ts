import { expectOk, meshQuality } from '@kerfline/geometry';
import { describe, expect, it, test } from 'vitest';
import {
  asciiPlyCube,
  binaryPlyCube,
  cubeCorners,
  cubeQuads,
  cubeTriangles,
  joined,
  packed,
  textBytes,
} from './cube.fixture.ts';
import { readPly } from './ply.ts';
import type { PlyType } from './ply-header.ts';

const qualityOf = (bytes: Uint8Array) => meshQuality(expectOk(readPly(bytes), 'the file').mesh);
const closedCube = { vertices: 8, triangles: 12, closed: true, volumeMm3: 1000 };

describe('a PLY file', () => {
  test.each([
    { text: asciiPlyCube, how: 'as usual' },
    { text: asciiPlyCube.replaceAll('\n', '\r\n'), how: 'with CRLF' },
    { text: asciiPlyCube.replaceAll('\n', '\r'), how: 'with CR' },
    { text: asciiPlyCube.replace('vertex_indices', 'vertex_index'), how: 'with the other name of the corners' },
    {
      text: asciiPlyCube.replace('comment', 'obj_info a\nobj_info\ncomment\ncomment'),
      how: 'with obj_info and comments',
    },
    { text: asciiPlyCube.replace('by hand', 'element vertex 99\\'), how: 'with a comment like a line of the header' },
    { text: asciiPlyCube.replaceAll('float', 'double'), how: 'with 64-bit numbers' },
    { text: asciiPlyCube.replace('list uchar int', 'list uint8 uint32'), how: 'with the newer names of types' },
    { text: asciiPlyCube.replaceAll(' 10', ' 1e1'), how: 'with exponents' },
    { text: asciiPlyCube.replaceAll('3 ', '  3\t'), how: 'with other blanks' },
    { text: asciiPlyCube.trimEnd(), how: 'without a last line end' },
    { text: `\ufeff${asciiPlyCube}`, how: 'with a byte order mark' },
  ])('[IM7] in text $how: a closed cube of 1000', ({ text }) => {
    expect(expectOk(readPly(textBytes(text)), 'it')).toMatchObject({ format: 'ply-ascii', findings: [] });
    expect(qualityOf(textBytes(text))).toMatchObject(closedCube);
  });

  const types: readonly PlyType[] = ['int8', 'uint8', 'int16', 'uint16', 'int32', 'uint32', 'float32', 'float64'];
  test.each(types)('[IM7] in binary of either byte order with %s for every number: a closed cube of 1000', (type) => {
    for (const littleEndian of [true, false]) {
      const bytes = binaryPlyCube(littleEndian, { coordinate: type, count: type, index: type });
      expect(readPly(bytes)).toMatchObject({
        value: { format: littleEndian ? 'ply-binary-little-endian' : 'ply-binary-big-endian', findings: [] },
      });
      expect(qualityOf(bytes)).toMatchObject(closedCube);
    }
  });

  /** A file with a material before the vertices, strips behind the faces, and more properties than are needed. */
  const crowded = (format: 'ascii' | 'binary_little_endian' | 'binary_big_endian', end = '\n'): Uint8Array => {
    const header = [
      'ply',
      `format ${format} 1.0`,
      'element nothing 5',
      'element material 2',
      'property uchar red',
      'property double shine',
      'element vertex 8',
      'property short quality',
      'property float z',
      'property list ushort double weights',
      'property float x',
      'property uchar red',
      'property float y',
      'element face 6',
      'property float area',
      'property list uint uchar colours',
      'property list char ushort vertex_index',
      'property int group',
      'element strip 2',
      'property list int int vertex_indices',
      'end_header',
      '',
    ].join(end);
    const numbers: [PlyType, readonly number[]][] = [];
    for (const k of [1, 2]) numbers.push(['uint8', [k]], ['float64', [k / 3]]);
    cubeCorners.forEach(([x, y, z], i) => {
      numbers.push(['int16', [-i]], ['float32', [z]], ['uint16', [i % 3]]);
      numbers.push(['float64', new Array(i % 3).fill(0.5)], ['float32', [x]], ['uint8', [7]], ['float32', [y]]);
    });
    cubeQuads.forEach((quad, i) => {
      numbers.push(['float32', [100]], ['uint32', [i]], ['uint8', new Array(i).fill(200)]);
      numbers.push(['int8', [4]], ['uint16', quad], ['int32', [-1]]);
    });
    numbers.push(['int32', [2, -1, 5]], ['int32', [0]]);
    if (format === 'ascii') return textBytes(header + numbers.map(([, list]) => list.join(' ')).join(end));
    const little = format === 'binary_little_endian';
    return joined(textBytes(header), ...numbers.map(([type, list]) => packed(type, list, little)));
  };

  test.each(['ascii', 'binary_little_endian', 'binary_big_endian'] as const)(
    '[IM7] in %s with other elements and properties in between gives the cube alone',
    (format) => {
      for (const end of ['\n', '\r\n', '\r']) {
        expect(readPly(crowded(format, end))).toMatchObject({ ok: true, value: { findings: [] } });
        expect(qualityOf(crowded(format, end))).toMatchObject(closedCube);
      }
    },
  );

  it('[IM7] may give the faces before the vertices', () => {
    const [vertexLines, faceLines] = [
      cubeCorners.map((c) => c.join(' ')),
      cubeTriangles.map((t) => `3 ${t.join(' ')}`),
    ];
    const text = [
      'ply\nformat ascii 1.0\nelement face 12\nproperty list int int vertex_indices\nelement vertex 8',
      'property int x\nproperty int y\nproperty int z\nend_header',
      ...faceLines,
      ...vertexLines,
    ].join('\n');
    expect(qualityOf(textBytes(text))).toMatchObject(closedCube);
  });

  it('[IM7] with CR line ends may begin its binary body with a byte that looks like an LF', () => {
    const header = [
      'ply\rformat binary_little_endian 1.0\relement vertex 3\rproperty uchar x\rproperty uchar y\rproperty uchar z',
      'element face 1\rproperty list uchar uchar vertex_indices\rend_header\r',
    ].join('\r');
    const bytes = joined(textBytes(header), packed('uint8', [10, 0, 0, 1, 0, 0, 0, 1, 0, 3, 0, 1, 2]));
    expect([...expectOk(readPly(bytes), 'it').mesh.positions]).toEqual([10, 0, 0, 1, 0, 0, 0, 1, 0]);
  });

  it('[IM9] with a face of five corners makes a fan of three triangles', () => {
    const text = asciiPlyCube.replace('element face 12', 'element face 13').concat('5 0 1 2 6 7\n');
    const { triangles } = expectOk(readPly(textBytes(text)), 'it').mesh;
    expect([...triangles.subarray(36)]).toEqual([0, 1, 2, 0, 2, 6, 0, 6, 7]);
  });

  it('[IM9] with faces of fewer than three corners leaves them out and says how many', () => {
    const text = asciiPlyCube.replace('element face 12', 'element face 15').concat('2 0 1\n0\n1 5\n');
    const surface = expectOk(readPly(textBytes(text)), 'it');
    expect(surface.mesh.triangles).toHaveLength(36);
    expect(surface.findings).toMatchObject([{ code: 'short-faces', severity: 'doubt' }]);
    expect(surface.findings[0]!.message).toContain('3 faces');
  });

  it('[IM7] in text may be as short as its numbers allow', () => {
    const header = asciiPlyCube.split('end_header')[0]!.replace('vertex 8', 'vertex 3').replace('face 12', 'face 1');
    const text = `${header}end_header\n0 0 0 1 0 0 0 1 0 0`;
    expect(readPly(textBytes(text)).ok).toBe(true);
    expect(readPly(textBytes(text.slice(0, -1)))).toMatchObject({
      error: { kind: 'truncated', counted: 'bytes', found: text.length - 1, needed: text.length },
    });
  });

  test.each([
    { bytes: textBytes(`${asciiPlyCube}\n1 2 3\n`), much: '8 bytes' },
    { bytes: joined(binaryPlyCube(true), packed('uint8', [10, 0, 1])), much: '3 bytes' },
  ])('[IM10] with more behind its end says so: $much', ({ bytes, much }) => {
    const { findings } = expectOk(readPly(bytes), 'it');
    expect(findings).toMatchObject([{ code: 'trailing-bytes', severity: 'doubt' }]);
    expect(findings[0]!.message).toContain(much);
  });

  const changed = (from: string | RegExp, to: string): Uint8Array => textBytes(asciiPlyCube.replace(from, to));
  const [little, doubles] = [
    binaryPlyCube(true),
    binaryPlyCube(false, { coordinate: 'float64', count: 'int8', index: 'int16' }),
  ];
  const at = (bytes: Uint8Array, fromEnd: number, type: PlyType, value: number, littleEndian: boolean): Uint8Array => {
    const change = packed(type, [value], littleEndian);
    const start = bytes.length - fromEnd;
    return joined(bytes.subarray(0, start), change, bytes.subarray(start + change.length));
  };
  const header = (line: number, found: string, needed: string) => ({ kind: 'bad-header', at: { line }, found, needed });
  test.each([
    { why: 'empty', bytes: textBytes(''), error: { kind: 'empty-file' } },
    { why: 'no magic word', bytes: textBytes('plyx'), error: header(1, 'plyx', '"ply"') },
    { why: 'only the magic word', bytes: textBytes('ply\n'), error: header(2, 'end of file', '"end_header"') },
    {
      why: 'an unknown encoding',
      bytes: changed('ascii', 'binary'),
      error: header(2, 'binary', 'one of ascii, binary_little_endian, binary_big_endian'),
    },
    { why: 'another version', bytes: changed('1.0', '2.0'), error: header(2, '2.0', 'version 1.0') },
    {
      why: 'no format',
      bytes: changed('format ascii 1.0', 'comment'),
      error: header(10, 'end_header', 'a line "format" before the end of the header'),
    },
    {
      why: 'an unknown line',
      bytes: changed('comment', 'remark'),
      error: { kind: 'bad-header', at: { line: 3 }, found: 'remark' },
    },
    {
      why: 'a count that is no number',
      bytes: changed('vertex 8', 'vertex 8x'),
      error: header(4, '8x', 'a number of elements'),
    },
    {
      why: 'a negative count',
      bytes: changed('vertex 8', 'vertex -8'),
      error: header(4, '-8', 'a number of elements'),
    },
    { why: 'no count', bytes: changed('vertex 8', 'vertex'), error: header(4, 'end of line', 'a number of elements') },
    { why: 'an unknown type', bytes: changed('float y', 'real y'), error: header(6, 'real', 'a type of number') },
    { why: 'no type', bytes: changed('float y', ''), error: header(6, 'end of line', 'a type of number') },
    { why: 'no name', bytes: changed('float y', 'float'), error: header(6, 'end of line', 'the name of a property') },
    {
      why: 'x twice',
      bytes: changed('float y', 'float x'),
      error: header(6, 'x', 'another name for another property'),
    },
    {
      why: 'two elements of one name',
      bytes: changed('element face', 'element vertex'),
      error: header(8, 'vertex', 'another name for another element'),
    },
    {
      why: 'no z',
      bytes: changed('float z', 'float w'),
      error: header(10, 'end_header', 'a property "z" of each vertex before it'),
    },
    {
      why: 'z as a list',
      bytes: changed('float z', 'list int float z'),
      error: header(10, 'end_header', 'a property "z" of each vertex before it'),
    },
    {
      why: 'a property before any element',
      bytes: changed('comment', 'property'),
      error: header(3, 'property', '"element" before any property'),
    },
    {
      why: 'no vertices',
      bytes: changed('element vertex', 'element point'),
      error: header(10, 'end_header', '"element vertex" before it'),
    },
    {
      why: 'no faces',
      bytes: changed('element face', 'element edge'),
      error: header(10, 'end_header', '"element face" before it'),
    },
    {
      why: 'no corners',
      bytes: changed('vertex_indices', 'corners'),
      error: header(10, 'end_header', 'a list "vertex_indices" of each face before it'),
    },
    {
      why: 'a written nan',
      bytes: changed('10 10 0', '10 nan 0'),
      error: { kind: 'non-finite-coordinate', at: { line: 13 }, vertex: 2, found: 'NaN' },
    },
    {
      why: 'a written infinity',
      bytes: changed('10 10 0', '10 -inf 0'),
      error: { kind: 'non-finite-coordinate', vertex: 2, found: '-Infinity' },
    },
    {
      why: 'a word for a number',
      bytes: changed('10 10 0', '10 ten 0'),
      error: { kind: 'bad-number', at: { line: 13 }, found: 'ten', needed: 'a number' },
    },
    {
      why: 'an index beyond the vertices',
      bytes: changed('3 0 3 2', '3 0 8 2'),
      error: { kind: 'index-out-of-range', at: { line: 19 }, found: 8, needed: [0, 7] },
    },
    {
      why: 'a negative index',
      bytes: changed('3 0 3 2', '3 0 -1 2'),
      error: { kind: 'index-out-of-range', at: { line: 19 }, found: -1, needed: [0, 7] },
    },
    {
      why: 'a broken index',
      bytes: changed('3 0 3 2', '3 0 1.5 2'),
      error: { kind: 'bad-number', at: { line: 19 }, found: '1.5', needed: 'the number of a vertex' },
    },
    {
      why: 'a negative length',
      bytes: changed('3 0 3 2', '-3 0 3 2'),
      error: { kind: 'bad-number', at: { line: 19 }, found: '-3', needed: 'the length of a list' },
    },
    {
      why: 'a length of nan',
      bytes: changed('3 0 3 2', 'nan 0 3 2'),
      error: { kind: 'bad-number', at: { line: 19 }, found: 'NaN', needed: 'the length of a list' },
    },
    {
      why: 'vertices missing',
      bytes: changed(/end_header(.|\n)*/, `end_header\n${'0.00000 '.repeat(23)}`),
      error: { kind: 'truncated', counted: 'elements "vertex"', found: 7, needed: 8 },
    },
    {
      why: 'faces missing',
      bytes: changed(/3 3 4 7\n$/, ''),
      error: { kind: 'truncated', at: { line: 30 }, counted: 'elements "face"', found: 11, needed: 12 },
    },
    {
      why: 'more vertices promised than bytes are there',
      bytes: changed('vertex 8', 'vertex 4000000000'),
      error: { kind: 'truncated', counted: 'bytes', found: asciiPlyCube.length + 9 },
    },
    {
      why: 'a longer list promised than is there',
      bytes: changed(/3 3 4 7\n$/, '4000000000 3 4 7\n'),
      error: { kind: 'truncated', counted: 'elements "face"', found: 11 },
    },
    {
      why: 'a binary body too short by one',
      bytes: little.subarray(0, little.length - 1),
      error: { kind: 'truncated', counted: 'bytes', found: little.length - 1, needed: little.length },
    },
    {
      why: 'a binary body without faces',
      bytes: little.subarray(0, little.length - 103),
      error: { kind: 'truncated', counted: 'bytes', found: little.length - 103, needed: little.length - 102 + 6 },
    },
    {
      why: 'a binary index beyond the vertices',
      bytes: at(little, 16, 'int32', 8, true),
      error: { kind: 'index-out-of-range', at: { byte: little.length - 16 }, found: 8, needed: [0, 7] },
    },
    {
      why: 'a binary list far beyond the end',
      bytes: at(
        binaryPlyCube(true, { coordinate: 'int8', count: 'uint32', index: 'int32' }),
        20,
        'uint32',
        0xffffffff,
        true,
      ),
      error: { kind: 'truncated', counted: 'bytes' },
    },
    {
      why: 'a binary NaN',
      bytes: at(little, 102 + 4, 'float32', Number.NaN, true),
      error: { kind: 'non-finite-coordinate', at: { byte: little.length - 106 }, vertex: 7, found: 'NaN' },
    },
    {
      why: 'a 64-bit value beyond 32 bits',
      bytes: at(doubles, 54 + 8, 'float64', 1e39, false),
      error: { kind: 'non-finite-coordinate', vertex: 7, found: '1e+39' },
    },
  ])('[IM3] that is bad is refused: $why', ({ bytes, error }) => {
    expect(readPly(bytes)).toMatchObject({ ok: false, error });
  });

  it('[IM17] with more than the limit is refused, also when its polygons make more triangles than it has faces', () => {
    const few = { ok: false, error: { kind: 'too-many-triangles', found: 12, allowed: 11 } };
    expect(readPly(textBytes(asciiPlyCube), 11)).toEqual(few);
    expect(readPly(binaryPlyCube(true), 11)).toEqual(few);
    expect(readPly(binaryPlyCube(true), 12).ok).toBe(true);
    expect(readPly(textBytes(asciiPlyCube), 2)).toMatchObject({
      error: { kind: 'too-many-vertices', found: 8, allowed: 6 },
    });
  });
});
