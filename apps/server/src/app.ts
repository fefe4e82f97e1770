import {
  appended,
  type CaseFile,
  type CaseStore,
  caseKit,
  caseLeg,
  checkStatement,
  readStatement,
  replay,
  type Stamp,
  type Statement,
  type StoreFault,
} from '@kerfline/cases';
import { clinicalTibiaFrame, meshIntoBone } from '@kerfline/knee';
import { Hono } from 'hono';
import { compress } from 'hono/compress';
import { HTTPException } from 'hono/http-exception';
import { z } from 'zod';
import type { LegAnswer } from './leg-answer.ts';
import { onlyFromHere } from './only-from-here.ts';

/** What the server needs from outside: where cases are, and when and by whom something is recorded. */
export interface ServerParts {
  readonly store: CaseStore;
  readonly stamp: () => Stamp;
  /** Measures the leg of a case. */
  readonly measureLeg: (file: CaseFile) => Promise<LegAnswer>;
}

const statusOf: Readonly<Record<StoreFault['kind'], 404 | 409 | 422>> = {
  'no-such-case': 404,
  exists: 409,
  stale: 409,
  unreadable: 422,
};

const additions = z.strictObject({ head: z.string(), statements: z.array(z.unknown()).min(1).max(50) });

/** The largest body that is read, bytes: statements are small, and bones come with the case file. */
const mostBodyBytes = 256 * 1024;

/** The address book of the server: cases, their legs and pictures, and what is added to them. */
export function serverApp({ store, stamp, measureLeg }: ServerParts): Hono {
  const app = new Hono();
  app.use(compress());
  app.use(onlyFromHere);
  app.onError((error, c) => {
    if (error instanceof HTTPException) return error.getResponse();
    process.stderr.write(`${error.stack ?? error.message}\n`);
    return c.json({ message: 'The server failed; nothing was changed.' }, 500);
  });

  const refuse = (status: 400 | 404 | 409 | 413 | 415 | 422, message: string, more: object = {}): never => {
    throw new HTTPException(status, {
      res: new Response(JSON.stringify({ message, ...more }), {
        status,
        headers: { 'content-type': 'application/json' },
      }),
    });
  };
  const loaded = async (id: string) => {
    const file = await store.load(id);
    return file.ok ? file.value : refuse(statusOf[file.error.kind], file.error.message);
  };
  // A leg costs a second to measure and changes only with what is known of it: one is kept for each case.
  const legs = new Map<string, { readonly key: string; readonly answer: Promise<LegAnswer> }>();

  app.get('/api/cases', async (c) => {
    const cases = await Promise.all(
      (await store.list()).map(async (id) => {
        const file = await store.load(id);
        if (!file.ok) return { id, unreadable: file.error.message };
        const view = replay(file.value.ledger);
        return { id, label: view.label, side: view.side, revision: view.revision, head: view.head };
      }),
    );
    return c.json({ cases });
  });

  app.get('/api/cases/:id', async (c) => {
    const file = await loaded(c.req.param('id'));
    return c.json({ view: replay(file.ledger) });
  });

  app.get('/api/cases/:id/leg', async (c) => {
    const id = c.req.param('id');
    const file = await loaded(id);
    const view = replay(file.ledger);
    const key = JSON.stringify([view.bones, view.stated, view.kit, view.beliefs, view.spreads]);
    let kept = legs.get(id);
    if (kept?.key !== key) {
      kept = { key, answer: measureLeg(file) };
      legs.set(id, kept);
      // A failure is not kept: the next request tries again.
      kept.answer.catch(() => legs.delete(id));
    }
    const answer = await kept.answer;
    return 'messages' in answer ? c.json(answer, 422) : c.json(answer);
  });

  app.get('/api/cases/:id/solid/:bone', async (c) => {
    const file = await loaded(c.req.param('id'));
    const view = replay(file.ledger);
    const kit = caseKit(view, file.blobs);
    const leg = caseLeg(view, file.blobs, kit.ok ? kit.value : undefined);
    if (!leg.ok || !leg.value.bones) return refuse(404, 'This case has no bones to show.');
    const { meshes, measured } = leg.value.bones;
    const bone = c.req.param('bone');
    const mesh =
      bone === 'femur'
        ? meshIntoBone(measured.femurFrame, meshes.femur)
        : bone === 'tibia'
          ? meshIntoBone(clinicalTibiaFrame(leg.value.leg, measured.tibiaFrame), meshes.tibia)
          : refuse(404, `${bone} is not shown as a solid.`);
    const head = new Uint32Array([mesh.positions.length, mesh.triangles.length]);
    const body = new Uint8Array(head.byteLength + mesh.positions.byteLength + mesh.triangles.byteLength);
    body.set(new Uint8Array(head.buffer), 0);
    body.set(new Uint8Array(mesh.positions.buffer), head.byteLength);
    body.set(new Uint8Array(mesh.triangles.buffer), head.byteLength + mesh.positions.byteLength);
    return c.body(body, 200, { 'content-type': 'application/octet-stream' });
  });

  app.post('/api/cases/:id/entries', async (c) => {
    const id = c.req.param('id');
    if (!(c.req.header('content-type') ?? '').startsWith('application/json')) {
      return refuse(415, 'Entries are sent as application/json.');
    }
    const text = await c.req.text();
    if (text.length > mostBodyBytes) return refuse(413, `At most ${mostBodyBytes} bytes are taken at once.`);
    let raw: unknown;
    try {
      raw = JSON.parse(text);
    } catch {
      return refuse(400, 'The body is not JSON.');
    }
    const asked = additions.safeParse(raw);
    if (!asked.success) return refuse(400, 'The body is {"head": ..., "statements": [...]}.');
    const file = await loaded(id);
    let ledger = file.ledger;
    const statements: Statement[] = [];
    for (const item of asked.data.statements) {
      const statement = readStatement(item);
      if (!statement.ok) return refuse(422, statement.error.message);
      const checked = checkStatement(ledger, file.blobs, statement.value);
      if (!checked.ok) return refuse(422, checked.error.message);
      statements.push(statement.value);
      ledger = appended(ledger, statement.value, stamp());
    }
    const added = await store.append(id, asked.data.head, statements, stamp());
    if (!added.ok) {
      return refuse(
        statusOf[added.error.kind],
        added.error.message,
        'head' in added.error ? { head: added.error.head } : {},
      );
    }
    return c.json({ view: replay(added.value) });
  });

  app.all('/api/*', () => refuse(404, 'There is nothing at this address.'));
  return app;
}
