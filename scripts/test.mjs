// npm test: installs what is missing, checks everything that can be checked without running it, then runs every test.
//   --full       the full counts of `npm run verify`
//   --unit-only  only the tests that need no browser and no build, with the Node that runs this
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { checkNode, ensureBrowser, ensureBuilt, ensureInstalled, root, run } from './machine.mjs';

const full = process.argv.includes('--full');
const unitOnly = process.argv.includes('--unit-only');

checkNode();
ensureInstalled();
ensureBuilt();
const vitest = (args, env = {}) =>
  run(process.execPath, [join(root, 'node_modules/vitest/vitest.mjs'), 'run', ...args], {
    env: { ...process.env, ...(full ? { KERFLINE_FULL: '1' } : {}), ...env },
  });
// As many files at once as there are cores, up to two; the browser has them to itself.
const atOnce = `--maxWorkers=${Math.min(2, availableParallelism())}`;
if (unitOnly) {
  vitest([atOnce, 'packages', 'apps']);
} else {
  run(process.execPath, [join(root, 'scripts/check.mjs')]);
  const browser = await ensureBrowser();
  vitest([atOnce, '--exclude=tests/browser/**']);
  vitest(['tests/browser'], { KERFLINE_CHROMIUM: browser.path, ...browser.env });
}
process.stdout.write(
  `\nAll of it passed with ${full ? 'the full' : 'reduced'} counts on Node ${process.versions.node}.\n`,
);
