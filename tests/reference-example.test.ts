import { execFileSync } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

const root = fileURLToPath(new URL('..', import.meta.url));
const example = join(root, 'examples/reference-left-knee.kerf.json');
const kerfline = (...args: readonly string[]): string =>
  execFileSync(process.execPath, [join(root, 'apps/cli/dist/main.js'), ...args], { encoding: 'utf8' });

/** Source: reference case of the trade notes, 8.1: rows "proof, distal femur" and "proof, tibia", settings read back exactly. */
/** The same case as it was written with the first kit: three guides, a frame with slits of its own, no seats. */
const frozen = join(root, 'fixtures/made/reference-left-knee.first-kit.kerf.json');

it.each([
  { what: 'reference example', file: example },
  { what: 'same case with the first kit enclosed', file: frozen },
])('the $what proves to the pieces and the rod of the worked case', ({ file }) => {
  const proof = JSON.parse(kerfline('proof', file, '--json'));
  const pieces = (cut: string): readonly number[] => [
    proof.cuts[cut].pieces.medial.pieceMm,
    proof.cuts[cut].pieces.lateral.pieceMm,
  ];
  const [distalMedial, distalLateral] = pieces('distalFemur') as [number, number];
  expect(distalMedial).toBeCloseTo(4.96, 2);
  expect(distalLateral).toBeCloseTo(7.6, 2);
  const [tibiaMedial, tibiaLateral] = pieces('tibia') as [number, number];
  expect(tibiaMedial).toBeCloseTo(5.6, 1);
  expect(tibiaLateral).toBeCloseTo(8.6, 1);
  expect(proof.rods.ankle).toMatchObject({ value: expect.closeTo(17.3, 1), positive: 'lateral' });
  expect(proof.cuts.distalFemur.planes.femurValgus.value).toBeCloseTo(2.4, 2);
  expect(proof.rungs).toEqual([]);
});

it('the examples of the checkout are those that the command line makes today, byte for byte', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'kerfline-examples-'));
  try {
    execFileSync(process.execPath, [join(root, 'scripts/examples.mjs'), folder], { stdio: 'pipe' });
    expect(await readFile(join(folder, 'reference-left-knee.kerf.json'), 'utf8')).toBe(await readFile(example, 'utf8'));
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
});
