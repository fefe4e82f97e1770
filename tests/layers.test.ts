import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

interface Outcome {
  readonly code: number;
  readonly said: string;
  readonly faults: readonly string[];
}

/** Runs a script of the checkout on a folder laid out like it. */
const run = (script: string, folder: string): Promise<Outcome> =>
  new Promise((done) => {
    const path = fileURLToPath(new URL(`../scripts/${script}`, import.meta.url));
    execFile(process.execPath, [path, folder], (error, stdout, stderr) => {
      done({
        code: error ? Number(error.code) : 0,
        said: stdout.trim(),
        faults: stderr.split('\n').filter((line) => line !== ''),
      });
    });
  });

let home = '';
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'kerfline-layers-'));
});
afterAll(async () => {
  await rm(home, { recursive: true, force: true });
});

type Files = Readonly<Record<string, string>>;

/** A checkout of a few small files, in which packages find each other by name. */
async function tree(name: string, files: Files): Promise<string> {
  const folder = join(home, name);
  const packages = ['geometry', 'uncertainty', 'imaging', 'knee', 'phantom', 'cases', 'sheets'];
  await mkdir(join(folder, 'node_modules/@kerfline'), { recursive: true });
  for (const each of packages) {
    await mkdir(join(folder, 'packages', each, 'src'), { recursive: true });
    await writeFile(
      join(folder, 'packages', each, 'package.json'),
      JSON.stringify({ name: `@kerfline/${each}`, exports: { '.': { 'kerfline-source': './src/index.ts' } } }),
    );
    await symlink(join(folder, 'packages', each), join(folder, 'node_modules/@kerfline', each), 'junction');
  }
  for (const [path, text] of Object.entries(files)) {
    await mkdir(dirname(join(folder, path)), { recursive: true });
    await writeFile(join(folder, path), text);
  }
  return folder;
}

const sound: Files = {
  'packages/geometry/src/index.ts': "export { length } from './length.ts';\n",
  'packages/geometry/src/length.ts': 'export const length = (x: number): number => Math.abs(x);\n',
  'packages/knee/src/index.ts': "export { width } from './width.ts';\n",
  'packages/knee/src/width.ts':
    "import { length } from '@kerfline/geometry';\nexport const width = (x: number): number => length(x);\n",
  'apps/cli/src/main.ts':
    "import { writeFileSync } from 'node:fs';\nimport { width } from '@kerfline/knee';\nwriteFileSync('out', String(width(1)));\n",
};

describe.concurrent('the layer rule', () => {
  it('lets a tree pass whose imports go downward only, and says how much it has read', async () => {
    const seen = await run('layers.mjs', await tree('sound', sound));
    expect(seen.faults).toEqual([]);
    expect(seen.code).toBe(0);
    expect(seen.said).toMatch(/^layers: 5 modules, \d+ imports, 0 faults$/);
  });

  it('fails on every import that a wall forbids, with the rule and what to do instead', async () => {
    const folder = await tree('forbidden', {
      ...sound,
      'packages/geometry/src/up.ts': "export { width } from '@kerfline/knee';\n",
      'packages/knee/src/across.ts': "import '@kerfline/imaging';\n",
      'packages/imaging/src/index.ts': 'export const depth = 1;\n',
      'packages/knee/src/path.ts': "export { length } from '../../geometry/src/length.ts';\n",
      'packages/knee/src/read.ts': "export { readFileSync } from 'node:fs';\n",
      'packages/knee/src/round.ts': "export { width } from './index.ts';\n",
      'packages/knee/src/knee.fixture.ts': 'export const made = 1;\n',
      'packages/knee/src/made.ts': "export { made } from './knee.fixture.ts';\n",
      'packages/cases/src/app.ts': "import '../../../apps/cli/src/main.ts';\n",
      'apps/web/src/main.ts': "import '../../cli/src/main.ts';\n",
      'apps/web/src/draw.ts': "import 'three';\n",
      'apps/web/src/three/draw.ts': "import 'three';\n",
      'node_modules/three/package.json': '{"name":"three","main":"three.js"}',
      'node_modules/three/three.js': 'module.exports = {};\n',
    });
    const seen = await run('layers.mjs', folder);
    expect(seen.code).toBe(1);
    const found = seen.faults.map((line) => /^layers: (\S+) -> (\S+) \((\S+)\): \S.+$/.exec(line)?.slice(1).join(' '));
    expect([...found].sort()).toEqual(
      [
        'packages/geometry/src/up.ts packages/knee/src/index.ts geometry-imports-only-itself',
        'packages/knee/src/across.ts packages/imaging/src/index.ts knee-imports-only-geometry-uncertainty',
        'packages/knee/src/path.ts packages/geometry/src/length.ts packages-by-name',
        'packages/knee/src/read.ts fs no-outside-world',
        'packages/knee/src/round.ts packages/knee/src/index.ts not-ones-own-index',
        'packages/knee/src/made.ts packages/knee/src/knee.fixture.ts no-test-code-in-the-product',
        'packages/cases/src/app.ts apps/cli/src/main.ts packages-know-no-app',
        'apps/web/src/main.ts apps/cli/src/main.ts apps-stand-apart',
        'apps/web/src/draw.ts node_modules/three/three.js three-only-where-it-draws',
      ].sort(),
    );
    expect(seen.said).toContain('9 faults');
  });

  it('fails on a cycle, also where one of its two imports is of a type alone', async () => {
    const folder = await tree('cycle', {
      ...sound,
      'packages/geometry/src/hen.ts': "import { egg } from './egg.ts';\nexport type Hen = typeof egg;\n",
      'packages/geometry/src/egg.ts': "import type { Hen } from './hen.ts';\nexport const egg = (hen: Hen) => hen;\n",
    });
    const seen = await run('layers.mjs', folder);
    expect(seen.code).toBe(1);
    expect(seen.faults.length).toBeGreaterThan(0);
    for (const line of seen.faults) expect(line).toMatch(/(hen|egg)\.ts -> .*(hen|egg)\.ts \(no-cycles\): Two files/);
  });

  it('fails when it has read no modules: of a wall that nobody walked along nothing is known', async () => {
    const bare = join(home, 'bare');
    await mkdir(bare);
    const [empty, nothing] = await Promise.all([
      run('layers.mjs', await tree('empty', { 'packages/geometry/README.md': 'nothing here\n' })),
      run('layers.mjs', bare),
    ]);
    expect(empty.code).toBe(1);
    expect(empty.faults.join()).toContain('no module was read');
    expect(nothing.code).toBe(1);
    expect(nothing.faults.join()).toContain('no packages and no apps');
  });
});

describe.concurrent('the rule of words', () => {
  it('lets a tree pass in which the general packages speak in general', async () => {
    const seen = await run('words.mjs', await tree('general', sound));
    expect(seen).toEqual({ code: 0, said: 'words: 6 sources read, 0 faults', faults: [] });
  });

  it('fails where a general package names anatomy, and where a pure one reaches outside, with file and line', async () => {
    const folder = await tree('words', {
      ...sound,
      'packages/geometry/src/fit.ts': '// A line.\n// The femur is long.\nexport const fit = 1;\n',
      'packages/imaging/src/read.ts': 'export const readBone = 1;\nexport const Knee = 2;\n',
      'packages/knee/src/femur.ts': '/** The femur is named where it belongs. */\nexport const at = Date.now();\n',
      'packages/sheets/src/page.tsx': 'export const page = (): number => Math.random();\n',
      // Neither tests nor what the other packages do is held to it.
      'packages/geometry/src/fit.test.ts': '// knee\n',
      'packages/cases/src/clock.ts': 'export const now = Date.now();\n',
    });
    const seen = await run('words.mjs', folder);
    expect(seen.code).toBe(1);
    expect(seen.faults.map((line) => /^words: (\S+): ("[^"]+")\. \S.+$/.exec(line)?.slice(1).join(' '))).toEqual([
      'packages/geometry/src/fit.ts:2 "femur"',
      'packages/imaging/src/read.ts:1 "Bone"',
      'packages/imaging/src/read.ts:2 "Knee"',
      'packages/knee/src/femur.ts:2 "Date.now"',
      'packages/sheets/src/page.tsx:1 "Math.random"',
    ]);
  });

  it('fails when it has read no sources', async () => {
    const seen = await run('words.mjs', await tree('wordless', { 'packages/geometry/src/a.test.ts': '\n' }));
    expect(seen.code).toBe(1);
    expect(seen.faults).toEqual(['words: no source was read, so nothing was checked']);
  });
});
