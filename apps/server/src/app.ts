import {
  appended,
  type CaseFile,
  type CaseLeg,
  type CaseStore,
  checkStatement,
  type FactsByBlob,
  factsOfFilms,
  type Ledger,
  legKey,
  readStatement,
  replay,
  type Stamp,
  type Statement,
} from '@kerfline/cases';
import { Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { compress } from 'hono/compress';
import { HTTPException } from 'hono/http-exception';
import { z } from 'zod';
import { filmRoutes, type TakeFilm } from './film-routes.ts';
import type { FitsAnswer } from './fitted-case.ts';
import type { KitShelf } from './kit-shelf.ts';
import type { MeasuredCase } from './measured-case.ts';
import { newCaseRoutes } from './new-case.ts';
import { onlyFromHere } from './only-from-here.ts';
import { contentType, refuse, refuseFor } from './refuse.ts';

/** What the server needs from outside: where cases are, and when and by whom something is recorded. */
export interface ServerParts {
  readonly store: CaseStore;
  readonly stamp: () => Stamp;
  /** Measures the leg of a case, whose films are left out: their facts are all that is needed. */
  readonly measure: (file: CaseFile, facts: FactsByBlob) => Promise<MeasuredCase>;
  /** Lays the sizes of a case on its bones. */
  readonly fit: (file: CaseFile, facts: FactsByBlob) => Promise<FitsAnswer>;
  readonly takeFilm: TakeFilm;
  readonly kits: KitShelf;
  /** A name for a new case. */
  readonly newId: () => string;
}

const additions = z.strictObject({ head: z.string(), statements: z.array(z.unknown()).min(1).max(50) });

/** The largest body that is read, bytes: statements are small, and bones come with the case file. */
const mostBodyBytes = 256 * 1024;

/** A case without the files of its films, which may be a hundred megabytes and are not needed for a leg. */
function withoutFilms({ ledger, blobs }: CaseFile): CaseFile {
  const films = new Set(ledger.entries.flatMap((entry) => (entry.kind === 'film' ? [entry.body.blob] : [])));
  return { ledger, blobs: new Map([...blobs].filter(([name]) => !films.has(name))) };
}

/** Keeps the last answer for each case as long as what it was made from is the same; a failure is not kept. */
function keptByCase<T>(
  make: (file: CaseFile, facts: FactsByBlob) => Promise<T>,
): (id: string, key: string, file: CaseFile) => Promise<T> {
  const kept = new Map<string, { readonly key: string; readonly answer: Promise<T> }>();
  return (id, key, file) => {
    const known = kept.get(id);
    if (known?.key === key) return known.answer;
    const { films } = replay(file.ledger);
    const made = { key, answer: make(withoutFilms(file), factsOfFilms(films, file.blobs)) };
    kept.set(id, made);
    made.answer.catch(() => {
      if (kept.get(id) === made) kept.delete(id);
    });
    return made.answer;
  };
}

/** The address book of the server: cases, their legs and pictures, and what is added to them. */
export function serverApp({ store, stamp, measure, fit, takeFilm, kits, newId }: ServerParts): Hono {
  const app = new Hono();
  app.use(compress());
  app.use(onlyFromHere);
  app.onError((error, c) => {
    if (error instanceof HTTPException) return error.getResponse();
    process.stderr.write(`${error.stack ?? error.message}\n`);
    return c.json({ message: 'The server failed; nothing was changed.' }, 500);
  });

  const loaded = async (id: string) => {
    const file = await store.load(id);
    return file.ok ? file.value : refuseFor(file.error);
  };
  // A leg costs a second to measure and changes only with what is known of it; fits change with every entry.
  const legs = keptByCase(measure);
  const fits = keptByCase(fit);
  const measured = async (id: string): Promise<MeasuredCase> => {
    const file = await loaded(id);
    const view = replay(file.ledger);
    return legs(id, legKey(view), file);
  };

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
    const { answer } = await measured(c.req.param('id'));
    return 'leg' in answer ? c.json(answer) : c.json(answer, 422);
  });

  newCaseRoutes(app, { store, stamp, kits, newId });
  filmRoutes(app, { store, stamp, takeFilm, loaded });

  app.get('/api/cases/:id/fits', async (c) => {
    const id = c.req.param('id');
    const file = await loaded(id);
    const { head } = replay(file.ledger);
    const answer = await fits(id, head, file);
    return 'messages' in answer ? c.json(answer, 422) : c.json({ ...answer, head });
  });

  app.get('/api/cases/:id/solid/:bone', async (c) => {
    const { solids } = await measured(c.req.param('id'));
    const bone = c.req.param('bone');
    const body = solids.get(bone) ?? refuse(404, `This case has no solid of ${bone}.`);
    return c.body(body, 200, { 'content-type': 'application/octet-stream' });
  });

  /** The measured leg of a case, where a statement about sizes needs it and the ledger still speaks of the same leg. */
  const legFor = async (id: string, statement: Statement, ledger: Ledger): Promise<CaseLeg | undefined> => {
    if (statement.kind !== 'setting' && statement.kind !== 'readBack') return undefined;
    const file = await loaded(id);
    if (legKey(replay(file.ledger)) !== legKey(replay(ledger))) return undefined;
    const { answer } = await measured(id);
    return 'leg' in answer && answer.leg ? { leg: answer.leg, bones: undefined } : undefined;
  };

  const notTooLarge = bodyLimit({
    maxSize: mostBodyBytes,
    onError: () => refuse(413, `At most ${mostBodyBytes} bytes are taken at once.`),
  });
  app.post('/api/cases/:id/entries', notTooLarge, async (c) => {
    const id = c.req.param('id');
    if (contentType(c.req.header('content-type')) !== 'application/json') {
      return refuse(415, 'Entries are sent as application/json.');
    }
    let raw: unknown;
    try {
      raw = await c.req.json();
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
      const checked = checkStatement(ledger, file.blobs, statement.value, await legFor(id, statement.value, ledger));
      if (!checked.ok) return refuse(422, checked.error.message);
      statements.push(statement.value);
      ledger = appended(ledger, statement.value, stamp());
    }
    const added = await store.append(id, asked.data.head, statements, stamp());
    if (!added.ok) return refuseFor(added.error);
    return c.json({ view: replay(added.value) });
  });

  app.all('/api/*', () => refuse(404, 'There is nothing at this address.'));
  return app;
}
