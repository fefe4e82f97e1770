// npm run examples: makes examples/ anew with the command line, always the same bytes. Another folder may be given.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { checkNode, ensureBuilt, ensureInstalled, root, run } from './machine.mjs';

checkNode();
ensureInstalled();
ensureBuilt();
const folder = process.argv[2] ?? join(root, 'examples');
mkdirSync(folder, { recursive: true });
const kerfline = (...args) => run(process.execPath, [join(root, 'apps/cli/dist/main.js'), ...args]);

/** An invented left knee, worn on the medial side, known by its films alone. */
const leg = [
  'LDFA=88deg',
  'MPTA=87deg',
  'JLCA=4deg',
  'slope=6deg',
  'shaftMechanical=5.6deg',
  'tibiaSpan=330mm',
  'ankleOffset=3mm',
  'wearDistalMedial=2.3mm',
  'wearPlateauMedial=3mm',
  'distalSpacing=48mm',
  'posteriorSpacing=48mm',
  'plateauSpacing=48mm',
];
/** What was read off the guides once they stood. */
const readBacks = [
  { guide: 'shin-mast', link: 'ankleSlide', value: 14.29, unit: 'mm', sense: 'lateral' },
  { guide: 'shin-mast', link: 'frontSlide', value: 5.76, unit: 'mm', sense: 'anterior' },
  { guide: 'canal-core', link: 'collar', value: 8, unit: 'deg' },
];
const out = join(folder, 'reference-left-knee.kerf.json');
rmSync(out, { force: true });
const signed = ['--at', '2026-03-02T08:30:00.000Z', '--by', 'example'];
kerfline(
  ...['case', 'new', '--side', 'left', '--id', 'reference', '--label', 'invented, reference left knee'],
  ...signed,
  ...leg.flatMap((value) => ['--set', value]),
  ...['--kit', 'demo', '--aim', 'restricted-kinematic', '--out', out],
);
const entries = mkdtempSync(join(tmpdir(), 'kerfline-entries-'));
readBacks.forEach((body, k) => {
  const entry = join(entries, `${k}.json`);
  writeFileSync(entry, JSON.stringify({ kind: 'readBack', body }));
  kerfline('case', 'add', out, entry, ...signed);
});
rmSync(entries, { recursive: true });
