// npm run check: types, format and lint, layers, words, unused code, links of the docs, tests of the hazards.
import { join } from 'node:path';
import { checkNode, ensureInstalled, root, run } from './machine.mjs';

checkNode();
ensureInstalled();
const node = (...args) => run(process.execPath, args);
const step = (name, work) => {
  process.stdout.write(`check: ${name}\n`);
  work();
};
step('types', () => node(join(root, 'node_modules/typescript/bin/tsc'), '-b'));
step('types of tests', () =>
  node(join(root, 'node_modules/typescript/bin/tsc'), '-p', 'tsconfig.tests.json', '--noEmit'),
);
step('format and lint', () =>
  node(join(root, 'node_modules/@biomejs/biome/bin/biome'), 'ci', '--error-on-warnings', '.'),
);
step('layers', () => node(join(root, 'scripts/layers.mjs')));
step('words', () => node(join(root, 'scripts/words.mjs')));
step('unused code', () => node(join(root, 'node_modules/knip/bin/knip.js')));
step('links', () => node(join(root, 'scripts/links.mjs')));
step('hazards', () => node(join(root, 'scripts/hazards.mjs')));
