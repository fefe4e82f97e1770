import { randomUUID } from 'node:crypto';
import { mkdir } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { serve } from '@hono/node-server';
import { serveStatic } from '@hono/node-server/serve-static';
import type { CaseStore, Stamp } from '@kerfline/cases';
import { fileStore, oneFileStore } from '@kerfline/cases/file-store';
import { serverApp } from './app.ts';
import { demoCase, demoCaseId } from './demo-case.ts';
import { caseWorker } from './in-worker.ts';
import { kitShelf } from './kit-shelf.ts';

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

const { values } = parseArgs({
  options: {
    port: { type: 'string', default: '4178' },
    /** One case file to show, instead of the folder of cases. */
    case: { type: 'string' },
    /** Folder of cases. */
    data: { type: 'string', default: here('../../../.kerfline/cases') },
  },
});

const stamp = (): Stamp => ({ at: new Date().toISOString(), by: 'local' });

const kits = kitShelf(here('../../../kits'));

/** The folder of cases, with the demo case in it on the first visit. */
async function folderStore(folder: string): Promise<CaseStore> {
  await mkdir(folder, { recursive: true });
  const store = fileStore(folder);
  if (!(await store.list()).includes(demoCaseId)) {
    const kit = await kits.kit('demo');
    if (!kit.ok) throw new Error(kit.error.map((refusal) => refusal.message).join('\n'));
    const begun = await store.begin(demoCase(kit.value.bytes, kit.value.kit, stamp()));
    if (!begun.ok) throw new Error(begun.error.message);
  }
  return store;
}

const store = values.case === undefined ? await folderStore(values.data) : oneFileStore(values.case);
const app = serverApp({ store, stamp, ...caseWorker(), kits, newId: () => randomUUID().slice(0, 8) });
const pages = here('../../web/dist/site');
app.use('/assets/*', async (c, next) => {
  await next();
  c.header('Cache-Control', 'public, max-age=31536000, immutable');
});
app.use('*', serveStatic({ root: pages }));
// Every screen has an address: what is no file is a screen, and the page finds it.
app.get('*', serveStatic({ path: `${pages}/index.html` }));

const port = Number(values.port);
if (!Number.isInteger(port) || port < 0 || port > 65535) {
  process.stderr.write(`--port ${values.port} is not a port; a whole number from 0 to 65535 is.\n`);
  process.exit(2);
}
const server = serve({ fetch: app.fetch, hostname: '127.0.0.1', port }, (address) => {
  process.stdout.write(`Kerfline is at http://localhost:${address.port}/\n`);
  // The leg that the first visit opens is measured while the browser starts.
  void store
    .list()
    .then(
      ([first]) => first && app.request(`http://localhost/api/cases/${first}/leg`, { headers: { host: 'localhost' } }),
    );
});
server.on('error', (error: NodeJS.ErrnoException) => {
  process.stderr.write(
    error.code === 'EADDRINUSE' ? `Port ${port} is in use; start with another: --port 4179\n` : `${error.message}\n`,
  );
  process.exit(1);
});
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.on(signal, () => process.exit(0));
