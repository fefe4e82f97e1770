// npm run check:hazards: every row of docs/safety/hazards.md names a test that is there, and controls that are there.
//   node scripts/hazards.mjs [folder]   the checkout, or another folder laid out like it
//
// Names are read from the sources of the tests, not from a run: that takes a second, needs no build, and sees a test that is
// skipped. A name is `file > describe > test`, as written in the source; a part in ${} is written so too.
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import ts from 'typescript';
import { root } from './machine.mjs';

const folder = resolve(process.argv[2] ?? root);
const page = join(folder, 'docs/safety/hazards.md');
const columns = ['#', 'hazard', 'severity', 'how it could happen here', 'control', 'tests', 'what remains'];

/** The words of a call such as `it.each(table)(...)`: `it`, `each`. */
function wordsOf(callee) {
  if (ts.isIdentifier(callee)) return [callee.text];
  if (ts.isPropertyAccessExpression(callee)) return [...wordsOf(callee.expression), callee.name.text];
  return ts.isCallExpression(callee) ? wordsOf(callee.expression) : [];
}

/** Every test of a file that always runs, with the names of its describes before it. */
function testsOf(path) {
  const names = new Set();
  const file = ts.createSourceFile(path, readFileSync(path, 'utf8'), ts.ScriptTarget.Latest, true);
  const look = (node, before) => {
    let inside = before;
    if (ts.isCallExpression(node)) {
      const [what, ...how] = wordsOf(node.expression);
      const [first] = node.arguments;
      const name =
        first && ts.isStringLiteralLike(first)
          ? first.text
          : first && ts.isTemplateExpression(first)
            ? first.getText().slice(1, -1)
            : undefined;
      if (name !== undefined && ['describe', 'it', 'test'].includes(what)) {
        if (how.some((word) => ['skip', 'skipIf', 'runIf', 'todo', 'fails'].includes(word))) return;
        if (what === 'describe') inside = [...before, name];
        else names.add([...before, name].join(' > '));
      }
    }
    ts.forEachChild(node, (child) => look(child, inside));
  };
  look(file, []);
  return names;
}

const cellsOf = (line) =>
  line
    .replace(/^\||\|\s*$/g, '')
    .split(/(?<!\\)\|/)
    .map((cell) => cell.trim().replaceAll('\\|', '|'));

const faults = [];
if (!existsSync(page)) {
  process.stderr.write('hazards: docs/safety/hazards.md is not there\n');
  process.exit(1);
}
const lines = readFileSync(page, 'utf8')
  .split('\n')
  .filter((line) => line.startsWith('|'));
const [heads, , ...rows] = lines.map(cellsOf);
if (heads?.join() !== columns.join()) faults.push(`the columns are not ${columns.join(', ')}`);
if (rows.length === 0) faults.push('there is no row');
const read = new Map();
const seen = new Set();
let tests = 0;
for (const cells of rows) {
  const [number, , , , control, named] = cells;
  const fault = (text) => faults.push(`hazard ${number}: ${text}`);
  if (cells.length !== columns.length) fault(`${cells.length} cells, not ${columns.length}`);
  if (cells.some((cell) => cell === '')) fault('a cell is empty');
  if (seen.has(number)) fault('stands twice');
  seen.add(number);
  const links = [...(control ?? '').matchAll(/\]\(([^)\s#]+)[^)]*\)/g)].map(([, target]) => target);
  if (links.length === 0) fault('no control is linked');
  for (const target of links) {
    if (!existsSync(resolve(dirname(page), target))) fault(`the control ${target} is not there`);
  }
  const spans = [...(named ?? '').matchAll(/`([^`]+)`/g)].map(([, span]) => span);
  if (spans.length === 0) fault('no test is named');
  for (const span of spans) {
    tests += 1;
    const [path, ...rest] = span.split(' > ');
    const file = join(folder, path);
    if (!/\.test\.ts$/.test(path) || !existsSync(file)) {
      fault(`${path} is no test file that is there`);
      continue;
    }
    if (!read.has(path)) read.set(path, testsOf(file));
    if (!read.get(path).has(rest.join(' > '))) fault(`${path} has no test "${rest.join(' > ')}" that always runs`);
  }
}
for (const fault of faults) process.stderr.write(`hazards: ${fault}\n`);
process.stdout.write(`hazards: ${rows.length} hazards, ${tests} tests named, ${faults.length} faults\n`);
process.exit(faults.length > 0 ? 1 : 0);
