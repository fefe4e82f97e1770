import { readdirSync, readFileSync } from 'node:fs';
import { type ClinicalDefault, clinicalDefaults } from '@kerfline/knee';
import { expect, it } from 'vitest';

const root = new URL('../', import.meta.url);
const textOf = (path: string): string => readFileSync(new URL(path, root), 'utf8');
const { sourcesPage } = (await import(new URL('scripts/sources-page.mjs', root).href)) as {
  readonly sourcesPage: (defaults: readonly ClinicalDefault[], kits: readonly unknown[]) => string;
};
const kits = readdirSync(new URL('kits', root))
  .sort()
  .map((name) => JSON.parse(textOf(`kits/${name}/kit.json`)) as unknown);

it('docs/sources.md is what the code and the kits say; `npm run sources` makes it anew', () => {
  expect(textOf('docs/sources.md')).toBe(sourcesPage(clinicalDefaults(), kits));
});

it('the page has a line for every default, with its number, unit and source', () => {
  const made = sourcesPage(
    [
      { name: 'Fit: a', value: 2, unit: 'mm', usedFor: 'one | two', source: 'x 2001' },
      { name: 'Fit: b', mean: 3, sd: 0.5, unit: 'deg', usedFor: 'three', source: 'y 2002', sdSource: 'z 2003' },
      { name: 'Wanted: c', range: [-1, 7], unit: 'share', usedFor: 'four', source: 'w 2004' },
    ],
    [
      {
        name: 'own',
        version: '3',
        guides: [
          {
            id: 'g',
            links: [
              { id: 'r', kind: 'ring', sd: 0.2, lockJump: { mm: 0.3, deg: 0 } },
              { id: 's', kind: 'slit', sd: 0, kerfSdMm: 0.1, saw: { coronalDeg: 0.6, sagittalDeg: 1.3 } },
            ],
          },
        ],
      },
    ],
  );
  for (const line of [
    '### Fit',
    '| a | 2 | mm | one \\| two | x 2001 |',
    '| b | 3 ± 0.5 | deg | three | mean: y 2002; sd: z 2003 |',
    '### Wanted',
    '| c | -1 to 7 | share | four | w 2004 |',
    '### own 3',
    "| g | r | sd | 0.2 | deg | the kit's own, invented |",
    "| g | r | lockJump.mm | 0.3 | mm | the kit's own, invented |",
    "| g | s | kerfSdMm | 0.1 | mm | the kit's own, invented |",
    "| g | s | saw.coronalDeg | 0.6 | deg | the kit's own, invented |",
    "| g | s | saw.sagittalDeg | 1.3 | deg | the kit's own, invented |",
  ]) {
    expect(made.split('\n')).toContain(line);
  }
  expect(made.split('\n').filter((line) => line.startsWith('| g |'))).toHaveLength(5);
});
