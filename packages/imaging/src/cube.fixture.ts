import type { PlyType } from './ply-header.ts';

/** The corners of a cube with sides of 10: volume 1000, area 600. */
export const cubeCorners: readonly (readonly [number, number, number])[] = [
  [0, 0, 0],
  [10, 0, 0],
  [10, 10, 0],
  [0, 10, 0],
  [0, 0, 10],
  [10, 0, 10],
  [10, 10, 10],
  [0, 10, 10],
];

/** Its faces, counter-clockwise from outside: bottom, top, front, right, back, left. */
export const cubeQuads: readonly (readonly [number, number, number, number])[] = [
  [0, 3, 2, 1],
  [4, 5, 6, 7],
  [0, 1, 5, 4],
  [1, 2, 6, 5],
  [2, 3, 7, 6],
  [3, 0, 4, 7],
];

export const cubeTriangles: readonly (readonly [number, number, number])[] = cubeQuads.flatMap(
  ([a, b, c, d]) =>
    [
      [a, b, c],
      [a, c, d],
    ] as const,
);

/** Text as the bytes of a file. */
export const textBytes = (text: string): Uint8Array<ArrayBuffer> => new TextEncoder().encode(text);

/** Parts one after the other. */
export function joined(...parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

const setters = {
  int8: 'setInt8',
  uint8: 'setUint8',
  int16: 'setInt16',
  uint16: 'setUint16',
  int32: 'setInt32',
  uint32: 'setUint32',
  float32: 'setFloat32',
  float64: 'setFloat64',
} as const satisfies Record<PlyType, keyof DataView>;

/** Numbers as bytes of one type. */
export function packed(type: PlyType, values: readonly number[], littleEndian = true): Uint8Array<ArrayBuffer> {
  const size = Number(type.match(/\d+/)![0]) / 8;
  const bytes = new Uint8Array(size * values.length);
  const view = new DataView(bytes.buffer);
  values.forEach((value, i) => {
    view[setters[type]](size * i, value, littleEndian);
  });
  return bytes;
}

/** A binary STL file with the given first 80 bytes and triangles; its normals are zero. */
export function binaryStl(
  header: string,
  triangles: readonly (readonly (readonly [number, number, number])[])[],
): Uint8Array<ArrayBuffer> {
  return joined(
    textBytes(header.padEnd(80).slice(0, 80)),
    packed('uint32', [triangles.length]),
    ...triangles.map((corners) => joined(packed('float32', [0, 0, 0, ...corners.flat()]), packed('uint16', [0]))),
  );
}

export const cubeFacets = cubeTriangles.map((t) => t.map((v) => cubeCorners[v]!));

export const asciiStlCube = [
  'solid cube',
  ...cubeFacets.flatMap((corners) => [
    '  facet normal 0 0 0',
    '    outer loop',
    ...corners.map((c) => `      vertex ${c.join(' ')}`),
    '    endloop',
    '  endfacet',
  ]),
  'endsolid cube',
  '',
].join('\n');

export const asciiPlyCube = [
  'ply',
  'format ascii 1.0',
  'comment by hand',
  'element vertex 8',
  'property float x',
  'property float y',
  'property float z',
  'element face 12',
  'property list uchar int vertex_indices',
  'end_header',
  ...cubeCorners.map((c) => c.join(' ')),
  ...cubeTriangles.map((t) => `3 ${t.join(' ')}`),
  '',
].join('\n');

export const objCube = [
  '# by hand',
  'o cube',
  ...cubeCorners.map((c) => `v ${c.join(' ')}`),
  ...cubeQuads.map((q) => `f ${q.map((v) => v + 1).join(' ')}`),
  '',
].join('\n');

/** The cube as binary PLY, all faces quads, with types of one's choice. */
export function binaryPlyCube(
  littleEndian: boolean,
  types: { readonly coordinate: PlyType; readonly count: PlyType; readonly index: PlyType } = {
    coordinate: 'float32',
    count: 'uint8',
    index: 'int32',
  },
): Uint8Array<ArrayBuffer> {
  const header = [
    'ply',
    `format binary_${littleEndian ? 'little' : 'big'}_endian 1.0`,
    'element vertex 8',
    ...['x', 'y', 'z'].map((axis) => `property ${types.coordinate} ${axis}`),
    'element face 6',
    `property list ${types.count} ${types.index} vertex_indices`,
    'end_header',
    '',
  ].join('\n');
  return joined(
    textBytes(header),
    packed(types.coordinate, cubeCorners.flat(), littleEndian),
    ...cubeQuads.flatMap((q) => [packed(types.count, [4], littleEndian), packed(types.index, q, littleEndian)]),
  );
}
