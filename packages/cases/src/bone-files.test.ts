import { describe, expect, it } from 'vitest';
import { readBoneFiles } from './bone-files.ts';

/** A closed box of three lengths along a direction turned by `turn` (radians, about the third axis), as an STL text. */
function box(sizes: readonly [number, number, number], turn = 0): Uint8Array {
  const corner = (c: number): string => {
    const [x, y, z] = [sizes[0] * (c & 1), sizes[1] * ((c >> 1) & 1), sizes[2] * (c >> 2)];
    return `vertex ${x * Math.cos(turn) - y * Math.sin(turn)} ${x * Math.sin(turn) + y * Math.cos(turn)} ${z}`;
  };
  const quads = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ] as const;
  const facets = quads.flatMap(([a, b, c, d]) => [
    [a, b, c],
    [a, c, d],
  ]);
  return new TextEncoder().encode(
    `solid box\n${facets
      .map((f) => `facet normal 0 0 0\nouter loop\n${f.map(corner).join('\n')}\nendloop\nendfacet`)
      .join('\n')}\nendsolid box\n`,
  );
}
const file = (bytes: Uint8Array, fileName: string) => ({ bytes, fileName });
const femur = file(box([60, 50, 420]), 'femur.stl');
const tibia = file(box([60, 40, 360]), 'tibia.stl');

describe('bone files', () => {
  it('in millimetres are read, each in its role', () => {
    const read = readBoneFiles({ femur, tibia, fibula: file(box([10, 10, 350]), 'fibula.stl') });
    expect(read.ok).toBe(true);
    if (!read.ok) return;
    expect(read.value.meshes.femur.frame).toBe('scan');
    expect(Math.max(...read.value.meshes.femur.positions)).toBe(420);
    expect(Math.max(...read.value.meshes.tibia.positions)).toBe(360);
    expect(Math.max(...read.value.meshes.fibula!.positions)).toBe(350);
    expect(read.value.meshes.patella).toBeUndefined();
  });

  /** By hand: a femur of 420 mm is 0.42 m, 42 cm or 16.5 inches long; lying any way round. */
  it.each([
    { unit: 'metres', size: 0.001, turn: 0 },
    { unit: 'centimetres', size: 0.1, turn: 0 },
    { unit: 'inches', size: 1 / 25.4, turn: 0 },
    { unit: 'metres', size: 0.001, turn: 0.7 },
    { unit: 'centimetres', size: 0.1, turn: 0.7 },
  ])('in $unit are refused, with the file, the length found and the unit it is probably in', ({ unit, size, turn }) => {
    const small = file(box([420 * size, 50 * size, 60 * size], turn), 'small.stl');
    const read = readBoneFiles({ femur: small, tibia });
    expect(read).toMatchObject({ ok: false, error: [{ kind: 'wrong-unit' }] });
    if (read.ok) return;
    expect(read.error[0]!.message).toContain('small.stl (femur)');
    expect(read.error[0]!.message).toContain('330 to 580 mm');
    expect(read.error[0]!.message).toContain(`probably in ${unit}`);
    // The corner to corner length of the box, not of its shadow on the axes: 427 mm, or a little more when it is turned.
    const found = Number(/is ([\d.]+) long/.exec(read.error[0]!.message)![1]);
    expect(found / size).toBeGreaterThan(420);
    expect(found / size).toBeLessThan(480);
  });

  it('that cannot be read are refused all at once, each by its name', () => {
    const broken = (name: string) => file(new TextEncoder().encode('no bone'), name);
    const read = readBoneFiles({
      femur: broken('f.stl'),
      tibia: broken('t.ply'),
      patella: file(box([40, 40, 20]), 'p.stl'),
    });
    expect(read.ok).toBe(false);
    if (read.ok) return;
    expect(read.error.map((e) => e.kind)).toEqual(['bad-file', 'bad-file']);
    expect(read.error[0]!.message).toContain('f.stl (femur)');
    expect(read.error[1]!.message).toContain('t.ply (tibia)');
  });

  it('bring the findings of their surfaces, with the bone named', () => {
    // A box that faces inward is turned over, with a finding.
    const text = new TextDecoder().decode(box([60, 50, 420]));
    const inward = text.replace(/(vertex[^\n]*)\n(vertex[^\n]*)\n(vertex[^\n]*)/g, '$1\n$3\n$2');
    const read = readBoneFiles({ femur: file(new TextEncoder().encode(inward), 'femur.stl'), tibia });
    expect(read.ok && read.value.findings.map((f) => f.message)).toEqual([expect.stringMatching(/^femur: /)]);
  });
});
