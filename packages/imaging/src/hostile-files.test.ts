import { env, memoryUsage } from 'node:process';
import type { Result } from '@kerfline/geometry';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it, test, vi } from 'vitest';
import { byteEdits, type Edit, place, replaced } from './byte-edits.fixture.ts';
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
import type { FileSurface } from './file-surface.ts';
import { type MeshFileError, meshFileErrorText } from './mesh-file-error.ts';
import { readObj } from './obj.ts';
import { readPly } from './ply.ts';
import { type ReadMesh, readMesh } from './read-mesh.ts';
import { readStl } from './stl.ts';

/** Mutations of each file: 2,000, or 100,000 with KERFLINE_FULL=1. */
const mutations = env.KERFLINE_FULL === '1' ? 100_000 : 2_000;
/** A file of a few hundred bytes is read in well under a millisecond; a pause of the machine must not fail the test. */
const longestRead = 1000;
/** One of five megabytes takes up to half a second. */
const longestLargeRead = 5000;
/** No array may take more bytes than this for each byte of the file: a vertex of 3 bytes becomes 12, a table of 2 slots a vertex 8 more. */
const bytesPerByte = 32;
/** What small files may take whatever their length: the first lengths of arrays that grow. */
const bytesForSmallFiles = 4096;
/** The whole run may leave so much more memory in use; the arrays of one file are a few kilobytes. */
const mostMegabytes = 400;

const files: readonly {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly read: (bytes: Uint8Array) => Result<FileSurface, MeshFileError>;
}[] = [
  { name: 'binary STL', bytes: binaryStl('by hand', cubeFacets), read: readStl },
  { name: 'text STL', bytes: textBytes(asciiStlCube), read: readStl },
  { name: 'text PLY', bytes: textBytes(asciiPlyCube), read: readPly },
  { name: 'binary little-endian PLY', bytes: binaryPlyCube(true), read: readPly },
  {
    name: 'binary big-endian PLY',
    bytes: binaryPlyCube(false, { coordinate: 'float64', count: 'uint32', index: 'int16' }),
    read: readPly,
  },
  { name: 'OBJ', bytes: textBytes(objCube), read: readObj },
];

const { offset, flippedBit, shortened, withInsertion, withDeletion, withRepetition } = byteEdits();
const numbers = fc.oneof(
  fc.constantFrom(
    'nan',
    'inf',
    '-inf',
    '-1',
    '-0',
    '0',
    '1e39',
    '1e999',
    '-1e-999',
    '4294967295',
    '4294967296',
    '2147483647',
  ),
  fc.constantFrom(
    '99999999999999999999',
    '1.5',
    '1,5',
    '0x7f',
    '1e',
    '.',
    '--1',
    '1/',
    '//',
    '\\',
    '#',
    '3\n',
    '1\0',
    '',
  ),
  fc.integer().map(String),
  fc.double().map(String),
  fc.nat(20).map(String),
);
/** One of the written numbers becomes another one. */
const withNumber = fc.tuple(place, numbers).map(
  ([share, number]): Edit =>
    (bytes) => {
      const text = String.fromCharCode(...bytes);
      const found = [...text.matchAll(/-?\d+(\.\d+)?/g)];
      const one = found[Math.min(found.length - 1, Math.floor(share * found.length))];
      return one === undefined ? bytes : replaced(bytes, one.index, one.index + one[0].length, textBytes(number));
    },
);
/** Four bytes become a number that programs stumble over: no number, infinite, largest, negative, none. */
const withWord = fc
  .tuple(
    place,
    fc.constantFrom(0x7fc00000, 0x7f800000, 0xff800000, 0x7f7fffff, 0xffffffff, 0x7fffffff, 0x80000000, 1, 0),
    fc.boolean(),
  )
  .map(
    ([share, word, littleEndian]): Edit =>
      (bytes) => {
        const at = offset(share, bytes);
        return replaced(bytes, at, Math.min(bytes.length, at + 4), packed('uint32', [word], littleEndian));
      },
  );
/** The count in a binary STL header, or one of the counts in a PLY header. */
const withCount = fc
  .tuple(
    fc.constantFrom('vertex', 'face'),
    fc.oneof(fc.nat(40), fc.nat(), fc.constantFrom(0xffffffff, 1e15, 1e16, 1e300)),
  )
  .map(
    ([element, count]): Edit =>
      (bytes) => {
        const text = String.fromCharCode(...bytes);
        const found = new RegExp(`element ${element} (\\d+)`).exec(text);
        if (found === null) return replaced(bytes, 80, 84, packed('uint32', [count]));
        const end = found.index + found[0].length;
        return replaced(bytes, end - found[1]!.length, end, textBytes(`${count}`));
      },
  );
/** Mostly small harm to numbers, so that a good part of the files gets past the first checks. */
const anyEdit = fc.oneof(
  { arbitrary: flippedBit, weight: 4 },
  { arbitrary: withNumber, weight: 6 },
  { arbitrary: withWord, weight: 3 },
  { arbitrary: fc.oneof(shortened, withInsertion, withDeletion, withRepetition, withCount), weight: 4 },
);
const anyEdits = fc.oneof(fc.tuple(anyEdit), fc.array(anyEdit, { minLength: 2, maxLength: 4 }));

function mustBeSound({ mesh }: Pick<ReadMesh, 'mesh'>): void {
  if (!mesh.positions.every(Number.isFinite)) throw new Error('a coordinate is not finite');
  if (!mesh.triangles.every((v) => v < mesh.positions.length / 3)) throw new Error('a vertex does not exist');
  if (mesh.triangles.length % 3 !== 0) throw new Error('a triangle is not whole');
}

/** What the readers ask for while they run: the bytes of the largest array. */
let largest = 0;
const watched = <Numbers extends Float32ArrayConstructor | Uint32ArrayConstructor | Float64ArrayConstructor>(
  original: Numbers,
): Numbers =>
  new Proxy(original, {
    construct(target, args, newTarget) {
      if (typeof args[0] === 'number') largest = Math.max(largest, args[0] * target.BYTES_PER_ELEMENT);
      return Reflect.construct(target, args, newTarget);
    },
  });

describe('a file with anything in it', () => {
  beforeEach(() => {
    vi.stubGlobal('Float32Array', watched(Float32Array));
    vi.stubGlobal('Uint32Array', watched(Uint32Array));
    vi.stubGlobal('Float64Array', watched(Float64Array));
  });
  afterEach(() => {
    vi.unstubAllGlobals();
  });

  /** Reads once; fails on a throw, on a long read, on too large an array, or if what is read is not sound. */
  const mustStayCalm = <T extends Pick<ReadMesh, 'mesh'>>(
    read: (bytes: Uint8Array) => Result<T, MeshFileError>,
    bytes: Uint8Array,
    longest: number = longestRead,
  ): boolean => {
    largest = 0;
    const start = performance.now();
    const result = read(bytes);
    const time = performance.now() - start;
    if (time > longest) throw new Error(`took ${time} ms`);
    if (largest > bytesPerByte * bytes.length + bytesForSmallFiles) {
      throw new Error(`an array of ${largest} bytes for a file of ${bytes.length}`);
    }
    if (result.ok) mustBeSound(result.value);
    else if (meshFileErrorText(result.error).length > 400) throw new Error('an error that says too much');
    return result.ok;
  };

  test.each(files)(
    `[IM2] $name changed in ${mutations} ways is read or refused, quickly and in little memory`,
    ({ bytes, read }) => {
      const before = memoryUsage().rss;
      let accepted = 0;
      fc.assert(
        fc.property(anyEdits, (edits) => {
          const changed = edits.reduce((file, edit) => edit(file), bytes);
          if (mustStayCalm(read, changed)) accepted += 1;
          mustStayCalm(readMesh, changed);
        }),
        { numRuns: mutations },
      );
      // Neither all nor none: the edits reach beyond the first check, and do harm.
      expect(accepted).toBeGreaterThan(mutations / 100);
      expect(accepted).toBeLessThan(mutations);
      expect((memoryUsage().rss - before) / 1e6).toBeLessThan(mostMegabytes);
    },
    1_200_000,
  );

  it('[IM2] of noise alone is refused', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
        for (const read of [readStl, readPly, readObj]) mustStayCalm(read, bytes);
        expect(mustStayCalm(readMesh, bytes)).toBe(false);
      }),
      { numRuns: mutations },
    );
  });

  const plyPromising = (line: string, body: Uint8Array): Uint8Array =>
    joined(textBytes(`ply\nformat binary_little_endian 1.0\n${line}\nend_header\n`), body);
  const xyz = 'property char x\nproperty char y\nproperty char z';
  const face = 'element face 1\nproperty list uint uint vertex_indices';
  const body = new Uint8Array(1000);
  test.each([
    { why: 'vertices', bytes: plyPromising(`element vertex 4000000000\n${xyz}\n${face}`, body) },
    {
      why: 'more vertices than a number can count',
      bytes: plyPromising(`element vertex 1e300\n${xyz}\n${face}`, body),
    },
    { why: 'faces', bytes: plyPromising(`element vertex 3\n${xyz}\n${face.replace('1', '4000000000')}`, body) },
    {
      why: 'a list',
      bytes: plyPromising(
        `element vertex 3\n${xyz}\n${face}`,
        joined(body.subarray(0, 9), packed('uint32', [0xffffffff]), body),
      ),
    },
    {
      why: 'other elements with lists',
      bytes: plyPromising(`element other 1000\nproperty list uchar int a\nelement vertex 3\n${xyz}\n${face}`, body),
    },
    { why: 'facets', bytes: joined(textBytes('x'.repeat(80)), packed('uint32', [9_000_000]), body) },
  ])('[IM2] that promises more than it holds is refused before anything is set aside: $why', ({ bytes }) => {
    for (const read of [readStl, readPly, readMesh]) {
      expect(mustStayCalm<Pick<ReadMesh, 'mesh'>>(read, bytes)).toBe(false);
    }
  });

  it('[IM2] with a million elements that have no property is done with them at once', () => {
    const promise = `element nothing 9000000000000000\nelement vertex 3\n${xyz}\n${face}`;
    const bytes = plyPromising(promise, joined(new Uint8Array(9), packed('uint32', [3, 0, 1, 2])));
    expect(mustStayCalm(readPly, bytes)).toBe(true);
  });

  test.each([
    { why: 'one line', text: 'x'.repeat(5_000_000) },
    { why: 'one comment', text: `ply\ncomment ${'x'.repeat(5_000_000)}` },
    { why: 'one number', text: `v 0 0 ${'1'.repeat(5_000_000)}` },
    { why: 'blanks', text: `solid${' '.repeat(5_000_000)}` },
    { why: 'line ends', text: `# \n${'\n'.repeat(5_000_000)}` },
    {
      why: 'properties',
      text: `ply\nformat ascii 1.0\nelement vertex 1\n${Array.from({ length: 200_000 }, (_, i) => `property int p${i}`).join('\n')}`,
    },
    {
      why: 'elements',
      text: `ply\nformat ascii 1.0\n${Array.from({ length: 200_000 }, (_, i) => `element e${i} 0`).join('\n')}`,
    },
    { why: 'one solid after another', text: 'solid a\nendsolid a\n'.repeat(200_000) },
    { why: 'names like the format', text: `solid ${'facet '.repeat(800_000)}` },
    { why: 'joined lines', text: `v 0 0 0\nf${' 1 \\\n'.repeat(800_000)}` },
    { why: 'unknown lines', text: `v 0 0 0\n${'a\n'.repeat(2_000_000)}` },
    { why: 'slashes', text: `v 0 0 0\nf ${'/'.repeat(5_000_000)}` },
  ])('[IM2] of five megabytes in $why is refused in a time that goes with its length', ({ text }) => {
    const bytes = textBytes(text);
    for (const read of [readStl, readPly, readObj, readMesh]) {
      mustStayCalm<Pick<ReadMesh, 'mesh'>>(read, bytes, longestLargeRead);
    }
    expect(readMesh(bytes).ok).toBe(false);
  });
});
