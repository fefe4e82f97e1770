// npm run sources: makes docs/sources.md anew from the defaults of the code and the kits.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { checkNode, ensureBuilt, ensureInstalled, root } from './machine.mjs';
import { sourcesPage } from './sources-page.mjs';

checkNode();
ensureInstalled();
ensureBuilt();
const { clinicalDefaults } = await import(pathToFileURL(join(root, 'packages/knee/dist/index.js')).href);
const kits = readdirSync(join(root, 'kits'))
  .sort()
  .map((name) => JSON.parse(readFileSync(join(root, 'kits', name, 'kit.json'), 'utf8')));
const defaults = clinicalDefaults();
writeFileSync(join(root, 'docs/sources.md'), sourcesPage(defaults, kits));
process.stdout.write(`docs/sources.md: ${defaults.length} defaults, ${kits.length} kits\n`);
