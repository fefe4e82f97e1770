// Walls that imports do not show: packages without anatomy name none, and pure packages reach for nothing outside.
//   node scripts/words.mjs [folder]   the checkout, or another folder laid out like it
import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { root } from './machine.mjs';

const folder = process.argv[2] ?? root;
const anatomy =
  /\b(femur|femoral|tibia|tibial|fibula|patella|kneecap|knee|hip|ankle|condyle|condylar|cortex|plateau|bone|bones|varus|valgus|leg|surgeon)\b/i;
const outside =
  /\b(Math\.random|Date\.now|new Date\(|performance\.now|process\.|globalThis|document\.|window\.|fetch\(|localStorage)/;

function* sources(below) {
  for (const entry of readdirSync(below, { withFileTypes: true })) {
    const path = join(below, entry.name);
    if (entry.isDirectory()) yield* sources(path);
    else if (/\.tsx?$/.test(entry.name) && !/\.(test|test-d|fixture|bench)\.tsx?$/.test(entry.name)) yield path;
  }
}

const faults = [];
let read = 0;
const check = (names, pattern, instead) => {
  for (const name of names) {
    for (const path of sources(join(folder, 'packages', name, 'src'))) {
      read += 1;
      readFileSync(path, 'utf8')
        .split('\n')
        .forEach((line, i) => {
          // Words inside longer names count too.
          const found = pattern.exec(line) ?? pattern.exec(line.replace(/([a-z])([A-Z])/g, '$1 $2'));
          if (found) faults.push(`${relative(folder, path)}:${i + 1}: "${found[0]}". ${instead}`);
        });
    }
  }
};
check(
  ['geometry', 'uncertainty', 'imaging'],
  anatomy,
  'This package knows no anatomy: say what the thing is in general, or move it to knee.',
);
check(
  ['geometry', 'uncertainty', 'imaging', 'knee', 'phantom', 'sheets'],
  outside,
  'This package is pure: pass it in as an argument.',
);
if (read === 0) faults.push('no source was read, so nothing was checked');
for (const fault of faults) process.stderr.write(`words: ${fault}\n`);
process.stdout.write(`words: ${read} sources read, ${faults.length} faults\n`);
process.exit(faults.length > 0 ? 1 : 0);
