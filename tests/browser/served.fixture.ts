import { spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import process, { env } from 'node:process';
import { fileURLToPath } from 'node:url';
import { type Browser, chromium, type Page } from 'playwright-core';

/** The browser that `npm test` found; without it these tests are skipped, and say so. */
export const browserPath = env.KERFLINE_CHROMIUM;

const root = fileURLToPath(new URL('../../', import.meta.url));

export interface Served {
  readonly address: string;
  readonly stop: () => Promise<void>;
}

/** The built server on a free port, with cases of its own. */
export async function served(...args: readonly string[]): Promise<Served> {
  const data = await mkdtemp(join(tmpdir(), 'kerfline-pages-'));
  const child = spawn(
    process.execPath,
    [join(root, 'apps/server/dist/main.js'), '--port', '0', '--data', data, ...args],
    { stdio: ['ignore', 'pipe', 'inherit'] },
  );
  const address = await new Promise<string>((found, failed) => {
    let said = '';
    child.stdout.on('data', (chunk) => {
      said += String(chunk);
      const match = /http:\S+/.exec(said);
      if (match) found(match[0].replace(/\/$/, ''));
    });
    child.once('exit', (code) => failed(new Error(`the server ended with ${code}: ${said}`)));
  });
  return {
    address,
    stop: async () => {
      const ended = new Promise((done) => child.once('exit', done));
      child.kill();
      await ended;
      await rm(data, { recursive: true, force: true });
    },
  };
}

export const launched = (): Promise<Browser> =>
  chromium.launch({
    executablePath: browserPath!,
    args: [
      '--no-sandbox',
      '--use-gl=angle',
      '--use-angle=swiftshader',
      '--enable-unsafe-swiftshader',
      '--disable-quic',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      '--no-first-run',
    ],
  });

export interface Watched {
  readonly page: Page;
  /** What the page complained of in its console, and every failed load. */
  readonly complaints: readonly string[];
  /** Hosts that the page asked anything of. */
  readonly hosts: ReadonlySet<string>;
}

/** A page of its own, watched for errors and for requests that leave this machine. */
export async function watched(browser: Browser, width = 1280, height = 900): Promise<Watched> {
  const page = await browser.newPage({ viewport: { width, height } });
  const complaints: string[] = [];
  const hosts = new Set<string>();
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('request', (request) => {
    if (request.url().startsWith('http')) hosts.add(new URL(request.url()).hostname);
  });
  return { page, complaints, hosts };
}
