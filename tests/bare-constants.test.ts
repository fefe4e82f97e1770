import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { clinicalDefaults } from '@kerfline/knee';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('..', import.meta.url));
const source = join(root, 'packages/knee/src');
const gatherer = join(source, 'defaults/clinical-defaults.ts');

const rule = `A number in packages/knee/src is one of these, or it is bare:
- 0, 1, 2, 0.5, 90, 180, 360 with either sign
- an index, an exponent, a number of digits (toFixed, slice, at, vec, size: 3), the stride of a for loop
- a tolerance written as 1e-3 or smaller in scientific notation
- in a module's const whose doc comment has the tag @numerical and says why in a few words
- in a clinical default: a module's const that defaults/clinical-defaults.ts gathers, or one in the same file that it is made of,
  and clinicalDefaults() has the number
Inside a function the last two do not count: name the number first.
If it has a clinical meaning, make it a ClinicalDefault beside its use and gather it; if only arithmetic needs it, name it and
tag it @numerical.`;

const plain = [0, 1, 2, 0.5, 90, 180, 360];
/** Functions whose whole numbers are places or digits; `vec` reads a vector out of a flat list. */
const placed = ['slice', 'at', 'vec', 'toFixed', 'toPrecision'];

/** Numbers of every clinical default, without their signs. */
const registered: ReadonlySet<number> = new Set(
  clinicalDefaults()
    .flatMap((d) => ('value' in d ? [d.value] : 'mean' in d ? [d.mean, d.sd] : d.range))
    .map(Math.abs),
);

const parsed = (path: string, text: string): ts.SourceFile =>
  ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true);

/** The consts that the gatherer imports, by the file that has them. */
function gatheredFrom(path: string): ReadonlyMap<string, readonly string[]> {
  const found = new Map<string, readonly string[]>();
  for (const statement of parsed(path, readFileSync(path, 'utf8')).statements) {
    if (!ts.isImportDeclaration(statement) || statement.importClause?.isTypeOnly) continue;
    const named = statement.importClause?.namedBindings;
    if (!named || !ts.isNamedImports(named)) continue;
    const from = join(dirname(path), (statement.moduleSpecifier as ts.StringLiteral).text);
    found.set(
      from,
      named.elements.map((element) => element.name.text),
    );
  }
  return found;
}

/** A node and all below it that no function hides. */
function* outsideFunctions(node: ts.Node): Generator<ts.Node> {
  if (ts.isFunctionLike(node)) return;
  yield node;
  for (const child of node.getChildren()) yield* outsideFunctions(child);
}

/** The given consts of a module and those in the same file that they are made of. */
function madeOf(file: ts.SourceFile, names: readonly string[]): ReadonlySet<ts.Node> {
  const declared = new Map(
    file.statements
      .filter(ts.isVariableStatement)
      .flatMap((statement) => statement.declarationList.declarations)
      .map((declaration) => [declaration.name.getText(), declaration] as const),
  );
  const reached = new Set<ts.Node>();
  const reach = (name: string): void => {
    const declaration = declared.get(name);
    if (!declaration?.initializer || reached.has(declaration)) return;
    reached.add(declaration);
    for (const node of outsideFunctions(declaration.initializer)) if (ts.isIdentifier(node)) reach(node.text);
  };
  for (const name of names) reach(name);
  return reached;
}

function* ancestors(node: ts.Node): Generator<readonly [ts.Node, ts.Node]> {
  for (let at = node; at.parent; at = at.parent) yield [at.parent, at];
}

/** The declaration of a module's const that holds a node with no function between; undefined otherwise. */
function constOf(node: ts.Node): ts.VariableDeclaration | undefined {
  for (const [parent] of ancestors(node)) {
    if (ts.isFunctionLike(parent)) return undefined;
    if (ts.isVariableDeclaration(parent) && ts.isSourceFile(parent.parent.parent.parent)) return parent;
  }
  return undefined;
}

const isNumerical = (declaration: ts.VariableDeclaration): boolean =>
  ts
    .getJSDocTags(declaration)
    .some((tag) => tag.tagName.text === 'numerical' && (ts.getTextOfJSDocComment(tag.comment) ?? '').length > 20);

function isPlace(node: ts.NumericLiteral): boolean {
  for (const [parent, child] of ancestors(node)) {
    if (ts.isFunctionLike(parent)) break;
    if (ts.isElementAccessExpression(parent) && parent.argumentExpression === child) return true;
    if (ts.isForStatement(parent) && parent.incrementor === child) return true;
  }
  const { parent } = node;
  if (ts.isCallExpression(parent) && parent.expression !== node) {
    const called = ts.isPropertyAccessExpression(parent.expression) ? parent.expression.name : parent.expression;
    return placed.includes(called.getText());
  }
  if (ts.isBinaryExpression(parent)) {
    return parent.operatorToken.kind === ts.SyntaxKind.AsteriskAsteriskToken && parent.right === node;
  }
  const held = ts.isAsExpression(parent) ? parent.parent : parent;
  return ts.isPropertyAssignment(held) && held.name.getText() === 'size' && node.text === '3';
}

/** Bare numbers of one file, as `path:line: number`. */
function bareNumbers(path: string, text: string, gathered: readonly string[]): readonly string[] {
  const file = parsed(path, text);
  const defaults = madeOf(file, gathered);
  const bare: string[] = [];
  const look = (node: ts.Node): void => {
    if (ts.isNumericLiteral(node) && !ts.isLiteralTypeNode(node.parent)) {
      const value = Number(node.text);
      const own = constOf(node);
      const fine =
        plain.includes(value) ||
        (/e-/i.test(node.getText()) && value <= 1e-3) ||
        (Number.isInteger(value) && isPlace(node)) ||
        (own !== undefined && (isNumerical(own) || (defaults.has(own) && registered.has(value))));
      if (!fine) {
        const line = file.getLineAndCharacterOfPosition(node.getStart()).line + 1;
        bare.push(`${relative(root, path)}:${line}: ${node.getText()}`);
      }
    }
    ts.forEachChild(node, look);
  };
  look(file);
  return bare;
}

/** Sources of the domain. The landmark search (leg/bones) is left out: docs/methods.md describes its parameters. */
function* sources(folder: string): Generator<string> {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) {
      if (path !== join(source, 'leg/bones')) yield* sources(path);
    } else if (entry.name.endsWith('.ts') && !/\.(test|test-d|fixture|bench)\.ts$/.test(entry.name)) yield path;
  }
}

/** Source: CONTRIBUTING, "Numbers": a clinical number is an editable default with its source, or says that it has none. */
describe('a number in the domain', () => {
  const gathered = gatheredFrom(gatherer);

  it('is plain, a place, a tolerance, named as numerical, or part of a clinical default', () => {
    const files = [...sources(source)];
    expect(files.length).toBeGreaterThan(60);
    const bare = files.flatMap((path) => bareNumbers(path, readFileSync(path, 'utf8'), gathered.get(path) ?? []));
    expect(bare.length, `bare numbers:\n${bare.join('\n')}\n\n${rule}\n`).toBe(0);
  });

  it('that is gathered stands in a const of a file that is there', () => {
    expect(gathered.size).toBeGreaterThan(15);
    for (const [path, names] of gathered) {
      expect(madeOf(parsed(path, readFileSync(path, 'utf8')), names).size, path).toBeGreaterThanOrEqual(names.length);
    }
  });

  const at = (text: string): readonly string[] => bareNumbers(join(root, 'x.ts'), text, ['limits']);

  it.each([
    'const f = (x: number) => x * 3.5;',
    'const f = (x: number) => x > 3;',
    'const limit = 3.5;',
    '/** A limit. */\nconst limit = 3.5;',
    '/** @numerical */\nconst limit = 3.5;',
    '/** @numerical Nothing depends on it, mm. */\nconst f = (x: number) => x * 3.5;',
    'function f() {\n  /** @numerical Nothing depends on it, mm. */\n  const limit = 3.5;\n}',
    'const f = (x: number) => x * 3.5e-1;',
    'const f = (x: number[]) => x.map((y) => y * 7);',
    'const f = (x: number[], k: number) => x[k]! * 7;',
    'const a = { size: 54 };',
    // Not among the defaults, in a function of them, or beside them.
    'export const limits = { a: { value: 3.456 } };',
    'export const limits = [1].map((x) => x * 3.5);',
    'export const limits = [1];\nconst other = 3.5;',
  ])('as in %s is bare', (text) => {
    expect(at(text)).toHaveLength(1);
  });

  it.each([
    'const f = (x: number) => (-90 * x) / 2 + 0.5 - 180;',
    'const f = (x: number[]) => x[7]! + x.slice(3, 6).length + x[3 * x.length]!;',
    'const f = (x: number) => (x ** 3).toFixed(4);',
    'for (let k = 0; k < 1; k += 3) f();',
    'const a = { size: 3 as const };',
    'const slack = 1e-9;',
    'type Three = 3;',
    '/** @numerical Nothing depends on it, mm. */\nconst steps = { a: 48, b: [-60] };',
    // 3.5 is among the defaults.
    'export const limits = { a: { value: 3.5 } };',
    'const own = { a: 3.5 };\nexport const limits = Object.entries(own).map(([name, value]) => ({ name, value }));',
  ])('as in %s is not', (text) => {
    expect(at(text)).toEqual([]);
  });
});
