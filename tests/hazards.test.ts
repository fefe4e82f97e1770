import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

let home = '';
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'kerfline-hazards-'));
});
afterAll(async () => {
  await rm(home, { recursive: true, force: true });
});

const script = fileURLToPath(new URL('../scripts/hazards.mjs', import.meta.url));
const run = (folder: string): Promise<{ readonly code: number; readonly faults: string }> =>
  new Promise((done) => {
    execFile(process.execPath, [script, folder], (error, _, stderr) =>
      done({ code: error ? Number(error.code) : 0, faults: stderr }),
    );
  });

const tests = `describe('a saw', () => {
  it('cuts', () => {});
  it.each([1, 2])('cuts %d times', () => {});
  it.skip('rests', () => {});
  describe('that is blunt', () => {
    test(\`stops after \${count} cuts\`, () => {});
  });
  // it('sings', () => {});
});
`;
const cells = { hazard: 'it slips', control: '[guard](../../guard.ts)', tests: '`saw.test.ts > a saw > cuts`' };

/** A folder with one test file, one control and a page of one hazard. */
async function pageOf(name: string, row: Partial<typeof cells>, more = ''): Promise<string> {
  const folder = join(home, name);
  const all = { ...cells, ...row };
  const heads = '| # | hazard | severity | how it could happen here | control | tests | what remains |';
  for (const [path, text] of [
    ['saw.test.ts', tests],
    ['guard.ts', ''],
    [
      'docs/safety/hazards.md',
      `# Hazards\n\n${heads}\n| - | - | - | - | - | - | - |\n| 1 | ${all.hazard} | 4 | so | ${all.control} | ${all.tests} | some |\n${more}`,
    ],
  ] as const) {
    await mkdir(dirname(join(folder, path)), { recursive: true });
    await writeFile(join(folder, path), text);
  }
  return folder;
}

describe.concurrent('the page of hazards', () => {
  it.each([
    '`saw.test.ts > a saw > cuts`',
    '`saw.test.ts > a saw > cuts %d times`<br>`saw.test.ts > a saw > cuts`',
    `\`saw.test.ts > a saw > that is blunt > stops after \${count} cuts\``,
  ])('may name %s', async (named) => {
    expect(await run(await pageOf(`fine ${named.length}`, { tests: named }))).toEqual({ code: 0, faults: '' });
  });

  it.each([
    { why: 'a test of another name', row: { tests: '`saw.test.ts > a saw > cut`' }, says: 'has no test "a saw > cut"' },
    { why: 'a test without its describe', row: { tests: '`saw.test.ts > cuts`' }, says: 'has no test "cuts"' },
    {
      why: 'a test that is skipped',
      row: { tests: '`saw.test.ts > a saw > rests`' },
      says: 'has no test "a saw > rests"',
    },
    { why: 'a test in a comment', row: { tests: '`saw.test.ts > a saw > sings`' }, says: 'has no test' },
    {
      why: 'a file that is not there',
      row: { tests: '`axe.test.ts > a saw > cuts`' },
      says: 'axe.test.ts is no test file',
    },
    { why: 'no test', row: { tests: 'none' }, says: 'no test is named' },
    { why: 'a control that is not there', row: { control: '[guard](../../gard.ts)' }, says: 'gard.ts is not there' },
    { why: 'no control', row: { control: 'care' }, says: 'no control is linked' },
    { why: 'an empty cell', row: { hazard: '' }, says: 'a cell is empty' },
  ])('with $why fails, naming the hazard', async ({ why, row, says }) => {
    const { code, faults } = await run(await pageOf(why.replaceAll(' ', '-'), row));
    expect(code).toBe(1);
    expect(faults).toContain('hazards: hazard 1: ');
    expect(faults).toContain(says);
  });

  it('with one hazard twice fails', async () => {
    const again = `| 1 | ${cells.hazard} | 4 | so | ${cells.control} | ${cells.tests} | some |\n`;
    const { code, faults } = await run(await pageOf('twice', {}, again));
    expect(code).toBe(1);
    expect(faults).toContain('stands twice');
  });

  it('that is not there fails', async () => {
    expect((await run(join(home, 'nowhere'))).code).toBe(1);
  });
});
