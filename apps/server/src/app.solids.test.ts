import { readFileSync } from 'node:fs';
import {
  appended,
  type CaseFile,
  type Ledger,
  memoryStore,
  type Stamp,
  type Statement,
  sha256Of,
  takenFilm,
} from '@kerfline/cases';
import { writePly } from '@kerfline/imaging';
import { type PhantomBones, phantomBones, typicalKnee } from '@kerfline/phantom';
import { describe, expect, it } from 'vitest';
import { serverApp } from './app.ts';
import { fittedCase } from './fitted-case.ts';
import { kitShelf } from './kit-shelf.ts';
import { measuredCase } from './measured-case.ts';

const stamp: Stamp = { at: '2026-03-02T08:30:00Z', by: 'tester' };

interface Solid {
  readonly positions: Float32Array;
  readonly triangles: Uint32Array;
}

/** A case with femur and tibia of a virtual knee. */
function boneCase(side: 'left' | 'right', bones: PhantomBones): CaseFile {
  const kit = new Uint8Array(readFileSync(new URL('../../../kits/demo/kit.json', import.meta.url)));
  const blobs = new Map([[sha256Of(kit), kit]]);
  const statements: readonly Statement[] = [
    { kind: 'created', body: { side, label: 'invented' } },
    { kind: 'kit', body: { name: 'demo', version: '1', blob: sha256Of(kit) } },
    ...(['femur', 'tibia'] as const).map((role): Statement => {
      const bytes = writePly(bones[role]);
      blobs.set(sha256Of(bytes), bytes);
      return { kind: 'bone', body: { role, blob: sha256Of(bytes), fileName: `${role}.ply` } };
    }),
  ];
  return {
    ledger: statements.reduce<Ledger>((so, s) => appended(so, s, stamp), { case: 'a', entries: [] }),
    blobs,
  };
}

/** Two counts, then coordinates, then vertex numbers; nothing before, between or after. */
function solidOf(bytes: ArrayBuffer): Solid {
  const [coordinates, corners] = new Uint32Array(bytes, 0, 2) as unknown as [number, number];
  expect(bytes.byteLength).toBe(8 + 4 * coordinates + 4 * corners);
  return {
    positions: new Float32Array(bytes, 8, coordinates),
    triangles: new Uint32Array(bytes, 8 + 4 * coordinates, corners),
  };
}

const corner = ({ positions }: Solid, v: number): readonly [number, number, number] => [
  positions[3 * v]!,
  positions[3 * v + 1]!,
  positions[3 * v + 2]!,
];

/** Sum of the tetrahedra under all triangles: positive where they face outward. */
function volumeOf(solid: Solid): number {
  let sixfold = 0;
  for (let t = 0; t < solid.triangles.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => corner(solid, solid.triangles[t + k]!)) as [
      readonly [number, number, number],
      readonly [number, number, number],
      readonly [number, number, number],
    ];
    sixfold +=
      a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return sixfold / 6;
}

describe('the solids of a leg', () => {
  it.each([
    { side: 'left', bone: 'femur' },
    { side: 'right', bone: 'femur' },
    { side: 'right', bone: 'tibia' },
  ] as const)(
    'are its bones in their own frames: a $side $bone as large as it was, facing outward, lateral to one side',
    async ({ side, bone }) => {
      // Coarse, to save time.
      const bones = phantomBones({ ...typicalKnee, side }, { cellMm: 3 });
      const store = memoryStore();
      await store.begin(boneCase(side, bones));
      const app = serverApp({
        store,
        stamp: () => stamp,
        measure: async (file) => measuredCase(file),
        fit: async (file) => fittedCase(file),
        takeFilm: async (bytes, fileName, salt) => takenFilm(bytes, fileName, salt),
        kits: kitShelf('kits'),
        newId: () => 'new',
      });
      const answer = await app.request(`http://localhost/api/cases/a/solid/${bone}`, {
        headers: { host: 'localhost' },
      });
      expect(answer.status).toBe(200);
      expect(answer.headers.get('content-type')).toBe('application/octet-stream');
      const solid = solidOf(await answer.arrayBuffer());
      expect(solid.triangles.length).toBe(bones[bone].triangles.length);
      expect(volumeOf(solid)).toBeGreaterThan(0);
      expect(volumeOf(solid) / volumeOf(bones[bone])).toBeCloseTo(1, 4);

      // The origin is at the knee: the femur goes up from there, the tibia down.
      const of = (axis: 0 | 2): readonly number[] => [...solid.positions].filter((_, i) => i % 3 === axis);
      const [across, heights] = [of(0), of(2)];
      const [low, high] = [Math.min(...heights), Math.max(...heights)];
      const meanAcross = (from: number, to: number): number => {
        const there = across.filter((_, v) => heights[v]! > from && heights[v]! < to);
        return there.reduce((sum, l) => sum + l, 0) / there.length;
      };
      if (bone === 'femur') {
        expect(low).toBeGreaterThan(-20);
        expect(low).toBeLessThan(20);
        expect(high).toBeGreaterThan(380);
        // The shaft lies lateral of the line from the knee to the head of the femur, on which L is 0.
        expect(meanAcross(0.4 * high, 0.6 * high)).toBeGreaterThan(5);
      } else {
        expect(low).toBeLessThan(-330);
        expect(high).toBeGreaterThan(-20);
        expect(high).toBeLessThan(20);
        // What reaches down farthest is the medial malleolus, inside half the width of the ankle from the axis.
        expect(meanAcross(low - 1, low + 10)).toBeLessThan(-5);
        expect(meanAcross(low - 1, low + 10)).toBeGreaterThan(-typicalKnee.tibia.malleolarWidthMm / 2);
      }
    },
  );
});
