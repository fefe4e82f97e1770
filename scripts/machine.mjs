// What every command needs of the machine: packages installed, sources built, a browser found. Plain Node, so that it runs
// before anything is installed.
import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = dirname(dirname(fileURLToPath(import.meta.url)));

/** Runs a program of this checkout and ends with its exit code if it fails. */
export function run(command, args, options = {}) {
  const result = spawnSync(command, args, { cwd: root, stdio: 'inherit', ...options });
  if (result.error) throw result.error;
  if (result.status !== 0) process.exit(result.status ?? 1);
}

/** A program that a package of this checkout brings. */
export const bin = (name) => join(root, 'node_modules', '.bin', name);

const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';

/** Says at once when this Node is too old, instead of failing somewhere later. */
export function checkNode() {
  const [major, minor] = process.versions.node.split('.').map(Number);
  const fits = (major === 20 && minor >= 19) || (major === 22 && minor >= 13) || major > 22;
  if (!fits) {
    process.stderr.write(
      `Kerfline needs Node 20.19 or later of 20, or 22.13 and later; this is ${process.versions.node}.\n`,
    );
    process.exit(2);
  }
}

/** Installs the packages of the lock file when they are missing or older than it. */
export function ensureInstalled() {
  const mark = join(root, 'node_modules', '.package-lock.json');
  const lock = join(root, 'package-lock.json');
  if (existsSync(mark) && statSync(mark).mtimeMs >= statSync(lock).mtimeMs) return;
  process.stdout.write('Installing packages ...\n');
  run(npm, ['ci', '--no-audit', '--no-fund', '--loglevel=error']);
}

/** Every file below a folder that a build reads. */
function* filesBelow(folder) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    if (entry.name === 'node_modules' || entry.name === 'dist') continue;
    const path = join(folder, entry.name);
    if (entry.isDirectory()) yield* filesBelow(path);
    else yield path;
  }
}

function fingerprint() {
  const hash = createHash('sha256');
  const roots = ['packages', 'apps', 'package-lock.json', 'tsconfig.base.json'].map((name) => join(root, name));
  for (const start of roots) {
    const files = statSync(start).isDirectory() ? filesBelow(start) : [start];
    for (const file of [...files].sort()) {
      const { size, mtimeMs } = statSync(file);
      hash.update(`${file.slice(root.length)} ${size} ${mtimeMs}\n`);
    }
  }
  return hash.digest('hex');
}

/** Builds packages, apps and pages, unless nothing has changed since they were last built. */
export function ensureBuilt() {
  const stamp = join(root, '.build-stamp.json');
  const now = fingerprint();
  const built = existsSync(stamp) && existsSync(join(root, 'apps/web/dist/site/index.html'));
  if (built && JSON.parse(readFileSync(stamp, 'utf8')).fingerprint === now) return;
  process.stdout.write('Building ...\n');
  run(process.execPath, [join(root, 'node_modules/typescript/bin/tsc'), '-b']);
  run(process.execPath, [join(root, 'node_modules/vite/bin/vite.js'), 'build', '--logLevel', 'warn'], {
    cwd: join(root, 'apps/web'),
  });
  writeFileSync(stamp, `${JSON.stringify({ fingerprint: now })}\n`);
}

const onPath = (name) => {
  try {
    return execFileSync('which', [name], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] }).trim() || undefined;
  } catch {
    return undefined;
  }
};

const installedBrowser = () =>
  process.env.KERFLINE_CHROMIUM ??
  ['chromium', 'chromium-browser', 'google-chrome-stable', 'google-chrome'].map(onPath).find((path) => path);

/**
 * The browser that tests drive: one that is there; else Debian's, when this is root on such a machine; else one that an npm
 * package carries, with the libraries it needs.
 *
 * @returns its path and what must stand in its environment
 */
export async function ensureBrowser() {
  const found = installedBrowser();
  if (found) return { path: found, env: {} };
  if (process.getuid?.() === 0 && onPath('apt-get')) {
    process.stdout.write('Installing Chromium from Debian ...\n');
    const quiet = {
      stdio: ['ignore', 'ignore', 'inherit'],
      env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
    };
    spawnSync('apt-get', ['update', '-qq'], quiet);
    spawnSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'chromium', 'fonts-liberation'], quiet);
    const now = installedBrowser();
    if (now) return { path: now, env: {} };
  }
  return packagedBrowser();
}

const packaged = '@sparticuz/chromium@147.0.0';

async function packagedBrowser() {
  const home = join(root, '.browser');
  const installed = join(home, 'node_modules/@sparticuz/chromium');
  if (!existsSync(installed)) {
    process.stdout.write('Installing a packaged Chromium ...\n');
    mkdirSync(home, { recursive: true });
    writeFileSync(join(home, 'package.json'), '{"private":true}\n');
    run(npm, ['install', '--no-audit', '--no-fund', '--loglevel=error', packaged], { cwd: home });
  }
  const libraries = join(home, 'lib');
  if (!existsSync(libraries)) {
    const { brotliDecompressSync } = await import('node:zlib');
    mkdirSync(libraries, { recursive: true });
    const archive = join(home, 'libraries.tar');
    writeFileSync(archive, brotliDecompressSync(readFileSync(join(installed, 'bin/al2023.tar.br'))));
    run('tar', ['-xf', archive, '-C', libraries, '--strip-components=1']);
  }
  const { default: chromium } = await import(join(installed, 'build/index.js'));
  const path = await chromium.executablePath();
  return {
    path,
    env: {
      LD_LIBRARY_PATH: [libraries, join(libraries, 'lib'), process.env.LD_LIBRARY_PATH].filter(Boolean).join(':'),
    },
  };
}
