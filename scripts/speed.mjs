// npm run speed: what work takes on this machine, beside a peer in the same run where there is one. A mark is what design asks
// for; missing one is said, not an error, for it depends on the machine.
//   --json  only [{ name, ours, peer?, unit, ratio? }]
//   NAME    only these benchmarks of speed/
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { checkNode, ensureBuilt, ensureInstalled, root } from './machine.mjs';

const all = ['closed-form', 'section', 'read-mesh', 'landmarks', 'films', 'start'];
const json = process.argv.includes('--json');
const named = process.argv.slice(2).filter((word) => word !== '--json');
const unknown = named.find((name) => !all.includes(name) || !existsSync(join(root, `speed/${name}.mjs`)));
if (unknown !== undefined) {
  process.stderr.write(`speed: there is no ${unknown}; there are ${all.join(', ')}\n`);
  process.exit(2);
}
checkNode();
ensureInstalled();
ensureBuilt();
const rows = (named.length > 0 ? named : all).flatMap((name) => {
  const child = spawnSync(process.execPath, [join(root, `speed/${name}.mjs`)], { cwd: root, encoding: 'utf8' });
  if (child.status !== 0) {
    process.stderr.write(child.stderr);
    process.exit(1);
  }
  return JSON.parse(child.stdout);
});
// Ours over the peer's: below 1, ours is the faster.
const withRatio = rows.map((row) =>
  row.peer === undefined ? row : { ...row, ratio: Number((row.ours / row.peer).toPrecision(2)) },
);
if (json) {
  process.stdout.write(`${JSON.stringify(withRatio.map(({ mark: _, ...row }) => row))}\n`);
} else {
  process.stdout.write(
    `Node ${process.versions.node}, ${process.platform} ${process.arch}, ${availableParallelism()} cores\n\n`,
  );
  for (const { name, ours, peer, unit, ratio, mark } of withRatio) {
    const beside = peer === undefined ? '' : `; peer ${peer} ${unit}, ratio ${ratio}`;
    const asked = mark === undefined ? '' : `; mark ${mark} ${unit}: ${ours <= mark ? 'met' : 'MISSED'}`;
    process.stdout.write(`${name}: ${ours} ${unit}${beside}${asked}\n`);
  }
}
