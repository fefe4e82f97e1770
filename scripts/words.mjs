// Walls that imports do not show: packages without anatomy name none, and pure packages reach for nothing outside.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { root } from './machine.mjs';

const anatomy =
  /\b(femur|femoral|tibia|tibial|fibula|patella|kneecap|knee|hip|ankle|condyle|condylar|cortex|plateau|bone|bones|varus|valgus|leg|surgeon)\b/i;
const outside =
  /\b(Math\.random|Date\.now|new Date\(|performance\.now|process\.|globalThis|document\.|window\.|fetch\(|localStorage)/;

function* sources(folder) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) yield* sources(path);
    else if (/\.tsx?$/.test(entry.name) && !/\.(test|test-d|fixture|bench)\.tsx?$/.test(entry.name)) yield path;
  }
}

const faults = [];
let read = 0;
const check = (names, pattern, instead) => {
  for (const name of names) {
    for (const path of sources(join(root, 'packages', name, 'src'))) {
      read += 1;
      readFileSync(path, 'utf8')
        .split('\n')
        .forEach((line, i) => {
          const found = pattern.exec(line);
          if (found) faults.push(`${path.slice(root.length + 1)}:${i + 1}: "${found[0]}". ${instead}`);
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
