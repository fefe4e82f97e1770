// The layer rule: fails on a forbidden import, on a cycle, and when it has read no modules.
//   node scripts/layers.mjs [folder]   the checkout, or another folder laid out like it
import { existsSync, realpathSync } from 'node:fs';
import { join } from 'node:path';
import { cruise } from 'dependency-cruiser';
import { root } from './machine.mjs';

const folder = realpathSync(process.argv[2] ?? root);
const { default: rules } = await import(join(root, 'layers.config.cjs'));
process.chdir(folder);
const places = ['packages', 'apps'].filter((name) => existsSync(join(folder, name)));
if (places.length === 0) {
  process.stderr.write('layers: there are no packages and no apps to read.\n');
  process.exit(1);
}
const { output } = await cruise(
  places,
  { validate: true, ruleSet: { forbidden: rules.forbidden }, ...rules.options },
  rules.options.enhancedResolveOptions,
);
const own = output.modules.filter((module) => /^(packages|apps)\//.test(module.source));
if (own.length === 0) {
  process.stderr.write('layers: no module was read, so nothing was checked.\n');
  process.exit(1);
}
const faults = output.summary.violations;
const comments = new Map(rules.forbidden.map((rule) => [rule.name, rule.comment]));
for (const fault of faults) {
  process.stderr.write(`layers: ${fault.from} -> ${fault.to} (${fault.rule.name}): ${comments.get(fault.rule.name)}\n`);
}
process.stdout.write(
  `layers: ${own.length} modules, ${output.summary.totalDependenciesCruised} imports, ${faults.length} faults\n`,
);
process.exit(faults.length > 0 ? 1 : 0);
