import {
  appended,
  type CaseFile,
  type CaseStore,
  headOf,
  type Ledger,
  memoryStore,
  type Stamp,
  type Statement,
  sha256Of,
  takenFilm,
} from '@kerfline/cases';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { serverApp } from './app.ts';
import { fittedCase } from './fitted-case.ts';
import { kitShelf } from './kit-shelf.ts';
import type { LegAnswer, MeasuredCase } from './measured-case.ts';

const stamp: Stamp = { at: '2026-03-02T08:30:00Z', by: 'tester' };

const typed = (name: string, value: number): Statement => ({
  kind: 'typed',
  body: { name, value, unit: 'deg', sd: 0.7, sdFrom: 'stated' },
});

/** A left leg of which two angles were stated, with a kit enclosed. */
function caseOf(id: string): CaseFile {
  const bytes = new TextEncoder().encode('{}');
  const blob = sha256Of(bytes);
  const statements: readonly Statement[] = [
    { kind: 'created', body: { side: 'left', label: `invented ${id}` } },
    { kind: 'kit', body: { name: 'none', version: '1', blob } },
    typed('LDFA', 88),
    typed('MPTA', 87),
  ];
  return {
    ledger: statements.reduce<Ledger>((so, s) => appended(so, s, stamp), { case: id, entries: [] }),
    blobs: new Map([[blob, bytes]]),
  };
}

/** Stands for a measured leg: how often one was measured is asked here, not what came of it. */
const answering = (answer: LegAnswer): MeasuredCase => ({ answer, solids: new Map() });
const answerOf = (file: CaseFile): MeasuredCase =>
  answering({ messages: [`measured at ${file.ledger.entries.length} entries`] });

/** Head of case a as it begins. */
const head = headOf(caseOf('a').ledger);

const here = { host: 'localhost:4178' };

async function begun(more: { readonly store?: Partial<CaseStore>; readonly measure?: typeof measured } = {}) {
  const store: CaseStore = { ...memoryStore(), ...more.store };
  await store.begin(caseOf('a'));
  await store.begin(caseOf('b'));
  const app = serverApp({
    store,
    stamp: () => stamp,
    measure: more.measure ?? measured,
    fit: async (file) => fittedCase(file),
    takeFilm: async (bytes, fileName, salt) => takenFilm(bytes, fileName, salt),
    kits: kitShelf(new URL('../../../kits/', import.meta.url).pathname),
    newId: () => 'new',
  });
  const get = (path: string, headers: Readonly<Record<string, string>> = here): Promise<Response> =>
    Promise.resolve(app.request(`http://localhost${path}`, { headers }));
  const post = (path: string, body: string, headers: Readonly<Record<string, string>> = {}): Promise<Response> =>
    Promise.resolve(
      app.request(`http://localhost${path}`, {
        method: 'POST',
        body,
        headers: { ...here, 'content-type': 'application/json', ...headers },
      }),
    );
  const ledger = async (id: string): Promise<Ledger> => {
    const file = await store.load(id);
    if (!file.ok) throw new Error(file.error.message);
    return file.value.ledger;
  };
  const add = async (id: string, statements: readonly unknown[], head?: string): Promise<Response> =>
    post(`/api/cases/${id}/entries`, JSON.stringify({ head: head ?? headOf(await ledger(id)), statements }));
  return { app, store, get, post, add, ledger };
}

const measured = (file: CaseFile): Promise<MeasuredCase> => Promise.resolve(answerOf(file));

afterEach(() => {
  vi.restoreAllMocks();
});

describe('reading cases', () => {
  it('lists them with label, side, number of entries and head', async () => {
    const { get } = await begun();
    const answer = await get('/api/cases');
    expect(answer.status).toBe(200);
    expect(await answer.json()).toEqual({
      cases: ['a', 'b'].map((id) => ({
        id,
        label: `invented ${id}`,
        side: 'left',
        revision: 4,
        head: headOf(caseOf(id).ledger),
      })),
    });
  });

  it('lists a case that cannot be read beside the others, with the reason', async () => {
    const { get, store } = await begun();
    const load = store.load;
    vi.spyOn(store, 'load').mockImplementation(async (id) =>
      id === 'b' ? { ok: false, error: { kind: 'unreadable', message: 'b was changed.' } } : load(id),
    );
    const { cases } = (await (await get('/api/cases')).json()) as { cases: unknown[] };
    expect(cases).toEqual([
      expect.objectContaining({ id: 'a', revision: 4 }),
      { id: 'b', unreadable: 'b was changed.' },
    ]);
    const asked = await get('/api/cases/b');
    expect(asked.status).toBe(422);
    expect(await asked.json()).toEqual({ message: 'b was changed.' });
  });

  it('gives the view of one: what was stated, and nothing of the other', async () => {
    const { get, add } = await begun();
    await add('b', [typed('slope', 6)]);
    const answer = await get('/api/cases/a');
    expect(answer.status).toBe(200);
    const { view } = (await answer.json()) as { view: Record<string, unknown> };
    expect(view).toMatchObject({ case: 'a', side: 'left', revision: 4, head: headOf(caseOf('a').ledger) });
    expect(view.stated).toEqual([typed('LDFA', 88).body, typed('MPTA', 87).body]);
  });

  it.each(['/api/cases/c', '/api/cases/c/leg', '/api/cases/c/solid/femur'])(
    'has nothing at %s: no such case',
    async (path) => {
      const { get } = await begun();
      const answer = await get(path);
      expect(answer.status).toBe(404);
      expect(await answer.json()).toEqual({ message: 'There is no case c.' });
    },
  );

  it.each([
    ['GET', '/api/nothing'],
    ['GET', '/api/cases/a/nothing'],
    ['DELETE', '/api/cases/a'],
    ['PUT', '/api/cases/a/entries'],
  ])('has nothing at %s %s', async (method, path) => {
    const { app, ledger } = await begun();
    const answer = await app.request(`http://localhost${path}`, { method, headers: here });
    expect(answer.status).toBe(404);
    expect(await answer.json()).toEqual({ message: 'There is nothing at this address.' });
    expect(await ledger('a')).toEqual(caseOf('a').ledger);
  });

  it('shows no solid of a leg that has no bones', async () => {
    const { get } = await begun();
    const answer = await get('/api/cases/a/solid/femur');
    expect(answer.status).toBe(404);
    expect(await answer.json()).toEqual({ message: 'This case has no solid of femur.' });
  });
});

describe('the leg of a case', () => {
  it('is given as it was measured, and why there is none with 422', async () => {
    const there = { leg: { side: 'left' }, hasBones: false } as unknown as LegAnswer;
    const found = await begun({ measure: async () => answering(there) });
    const answer = await found.get('/api/cases/a/leg');
    expect(answer.status).toBe(200);
    expect(await answer.json()).toEqual(there);
    const lacking = await begun({ measure: async () => answering({ messages: ['The case has no kit yet.'] }) });
    const none = await lacking.get('/api/cases/a/leg');
    expect(none.status).toBe(422);
    expect(await none.json()).toEqual({ messages: ['The case has no kit yet.'] });
  });

  it('is measured once for all who ask, also at once, and anew when more is known of it', async () => {
    const measure = vi.fn(measured);
    const { get, add } = await begun({ measure });
    const messages = async (): Promise<unknown> => (await get('/api/cases/a/leg')).json();
    await Promise.all([messages(), messages(), messages()]);
    expect(await messages()).toEqual({ messages: ['measured at 4 entries'] });
    expect(measure).toHaveBeenCalledTimes(1);
    expect((await add('a', [typed('LDFA', 89)])).status).toBe(200);
    expect(await messages()).toEqual({ messages: ['measured at 5 entries'] });
    expect(measure).toHaveBeenCalledTimes(2);
  });

  it('is not measured anew for what changes nothing of it: an aim', async () => {
    const measure = vi.fn(measured);
    const { get, add } = await begun({ measure });
    await get('/api/cases/a/leg');
    expect((await add('a', [{ kind: 'aim', body: { philosophy: 'mechanical' } }])).status).toBe(200);
    await get('/api/cases/a/leg');
    expect(measure).toHaveBeenCalledTimes(1);
  });

  it('of another case is its own', async () => {
    const measure = vi.fn(measured);
    const { get } = await begun({ measure });
    await get('/api/cases/a/leg');
    await get('/api/cases/b/leg');
    expect(measure.mock.calls.map(([file]) => file.ledger.case)).toEqual(['a', 'b']);
  });

  it('that failed to be measured is a 500 without the inner reason, and is tried again', async () => {
    const logged = vi.spyOn(process.stderr, 'write').mockReturnValue(true);
    const measure = vi.fn(measured).mockRejectedValueOnce(new Error('inner reason'));
    const { get } = await begun({ measure });
    const failed = await get('/api/cases/a/leg');
    expect(failed.status).toBe(500);
    expect(await failed.json()).toEqual({ message: 'The server failed; nothing was changed.' });
    expect(logged.mock.calls.join()).toContain('inner reason');
    expect(await (await get('/api/cases/a/leg')).json()).toEqual({ messages: ['measured at 4 entries'] });
  });
});

describe('adding entries', () => {
  it('makes the case grow by exactly what was sent, in its order', async () => {
    const { add, ledger } = await begun();
    const before = await ledger('a');
    const answer = await add('a', [typed('slope', 6), typed('LDFA', 89)]);
    expect(answer.status).toBe(200);
    const after = await ledger('a');
    expect(after.entries.slice(0, 4)).toEqual(before.entries);
    expect(after.entries.slice(4).map(({ kind, body }) => ({ kind, body }))).toEqual([
      typed('slope', 6),
      typed('LDFA', 89),
    ]);
    for (const entry of after.entries.slice(4)) expect(entry).toMatchObject(stamp);
    const { view } = (await answer.json()) as { view: Record<string, unknown> };
    expect(view).toMatchObject({ case: 'a', revision: 6, head: headOf(after) });
    expect(view.stated).toEqual([typed('LDFA', 89).body, typed('MPTA', 87).body, typed('slope', 6).body]);
    expect(await ledger('b')).toEqual(caseOf('b').ledger);
  });

  it('lets a statement refer to one that was sent before it in the same request', async () => {
    const { add, ledger } = await begun();
    const answer = await add('a', [typed('LDFA', 98), { kind: 'retract', body: { entry: 'a/4', why: 'mistyped' } }]);
    expect(answer.status).toBe(200);
    const { view } = (await answer.json()) as { view: { stated: unknown } };
    expect(view.stated).toEqual([typed('LDFA', 88).body, typed('MPTA', 87).body]);
    expect((await ledger('a')).entries).toHaveLength(6);
  });

  it('is refused with 409 and the present head after a stale one, and taken after the present', async () => {
    const { add, ledger } = await begun();
    const stale = headOf(await ledger('a'));
    await add('a', [typed('LDFA', 89)]);
    const before = await ledger('a');
    const refused = await add('a', [typed('LDFA', 90)], stale);
    expect(refused.status).toBe(409);
    const said = (await refused.json()) as { head: string; message: string };
    expect(said.head).toBe(headOf(before));
    expect(said.message).toContain('has changed since it was read');
    expect(await ledger('a')).toEqual(before);
    expect((await add('a', [typed('LDFA', 90)], said.head)).status).toBe(200);
  });

  it('lets one of two who come at once in, and sends the other to read again', async () => {
    const { add, ledger } = await begun();
    const head = headOf(await ledger('a'));
    const both = await Promise.all([add('a', [typed('LDFA', 89)], head), add('a', [typed('LDFA', 90)], head)]);
    expect(both.map((answer) => answer.status).sort()).toEqual([200, 409]);
    expect((await ledger('a')).entries).toHaveLength(5);
  });

  it.each([
    { why: 'a name that is no number of a leg', bad: typed('LDFB', 88), says: 'LDFB' },
    { why: 'a kind that is not there', bad: { kind: 'opinion', body: {} }, says: '"opinion" is no kind of entry' },
    { why: 'a body that lacks its value', bad: { kind: 'typed', body: { name: 'LDFA' } }, says: 'A typed entry' },
    { why: 'a second beginning', bad: { kind: 'created', body: { side: 'right', label: 'x' } }, says: 'has begun' },
    {
      why: 'a file that is not enclosed',
      bad: { kind: 'bone', body: { role: 'femur', blob: '0'.repeat(64), fileName: 'f.stl' } },
      says: 'not enclosed',
    },
    { why: 'an entry that is not there', bad: { kind: 'retract', body: { entry: 'a/99', why: 'x' } }, says: 'a/99' },
    { why: 'what is no entry at all', bad: 7, says: 'An entry is' },
  ])(
    'with $why is refused with 422, and nothing of the request is done: not the sound statement before it',
    async ({ bad, says }) => {
      const { add, ledger, store } = await begun();
      const append = vi.spyOn(store, 'append');
      const answer = await add('a', [typed('LDFA', 89), bad]);
      expect(answer.status).toBe(422);
      expect(((await answer.json()) as { message: string }).message).toContain(says);
      expect(append).not.toHaveBeenCalled();
      expect(await ledger('a')).toEqual(caseOf('a').ledger);
    },
  );

  it('to an unknown case is refused with 404, and begins none', async () => {
    const { post, store } = await begun();
    const answer = await post('/api/cases/c/entries', JSON.stringify({ head: '', statements: [typed('LDFA', 88)] }));
    expect(answer.status).toBe(404);
    expect(await store.list()).toEqual(['a', 'b']);
  });

  it.each(['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data', ''])(
    'sent as "%s" is refused with 415: a foreign page can send that without asking',
    async (type) => {
      const { post, ledger } = await begun();
      const body = JSON.stringify({ head: headOf(await ledger('a')), statements: [typed('LDFA', 89)] });
      const answer = await post('/api/cases/a/entries', body, { 'content-type': type });
      expect(answer.status).toBe(415);
      expect(await ledger('a')).toEqual(caseOf('a').ledger);
    },
  );

  it('sent as JSON with its character set is taken', async () => {
    const { post, ledger } = await begun();
    const body = JSON.stringify({ head: headOf(await ledger('a')), statements: [typed('LDFA', 89)] });
    const answer = await post('/api/cases/a/entries', body, { 'content-type': 'application/json; charset=utf-8' });
    expect(answer.status).toBe(200);
  });

  it.each([
    { why: 'no JSON', body: '{"head":' },
    { why: 'empty', body: '' },
    { why: 'a list', body: '[]' },
    { why: 'without a head', body: JSON.stringify({ statements: [typed('LDFA', 89)] }) },
    { why: 'without statements', body: JSON.stringify({ head, statements: [] }) },
    { why: 'of 51 statements', body: JSON.stringify({ head, statements: Array(51).fill(typed('LDFA', 89)) }) },
    { why: 'with a key too many', body: JSON.stringify({ head, statements: [typed('LDFA', 89)], force: true }) },
  ])('in a body that is $why is refused with 400', async ({ body }) => {
    const { post, ledger } = await begun();
    const answer = await post('/api/cases/a/entries', body);
    expect(answer.status).toBe(400);
    expect(((await answer.json()) as { message: string }).message).toMatch(/^The body is /);
    expect(await ledger('a')).toEqual(caseOf('a').ledger);
  });

  it('in 50 statements is taken', async () => {
    const { add, ledger } = await begun();
    expect((await add('a', Array(50).fill(typed('LDFA', 89)))).status).toBe(200);
    expect((await ledger('a')).entries).toHaveLength(54);
  });

  it('in a body of 256 kB is taken, and of one byte more refused with 413', async () => {
    const { post, ledger } = await begun();
    const body = JSON.stringify({ head, statements: [typed('LDFA', 89)] });
    const refused = await post('/api/cases/a/entries', body.padEnd(256 * 1024 + 1));
    expect(refused.status).toBe(413);
    expect(await ledger('a')).toEqual(caseOf('a').ledger);
    expect((await post('/api/cases/a/entries', body.padEnd(256 * 1024))).status).toBe(200);
  });
});

describe('who may ask', () => {
  it.each(['localhost', 'localhost:4178', '127.0.0.1', '127.0.0.1:4178', '[::1]', '[::1]:4178'])(
    'is a page of this machine under the name %s',
    async (host) => {
      const { get } = await begun();
      expect((await get('/api/cases', { host })).status).toBe(200);
      expect((await get('/api/cases', { host, origin: `http://${host}` })).status).toBe(200);
      expect((await get('/api/cases', { host, origin: `https://${host}` })).status).toBe(200);
    },
  );

  it.each([
    { headers: {}, why: 'no host' },
    {
      headers: { host: 'elsewhere.example' },
      why: 'the name of another machine, as when its address is made to lead here',
    },
    { headers: { host: 'elsewhere.example:4178' }, why: 'another name with our port' },
    { headers: { host: 'localhost.elsewhere.example' }, why: 'another name that begins like ours' },
    { headers: { host: 'notlocalhost' }, why: 'another name that ends like ours' },
    { headers: { ...here, origin: 'http://elsewhere.example' }, why: 'a page of another site' },
    { headers: { ...here, origin: 'https://localhost.elsewhere.example' }, why: 'a site that begins like ours' },
    { headers: { ...here, origin: 'http://elsewhere.example:4178' }, why: 'another site with our port' },
    { headers: { ...here, origin: 'null' }, why: 'a page without an origin, such as a file or a closed frame' },
  ] as readonly { readonly headers: Readonly<Record<string, string>>; readonly why: string }[])(
    'is not $why: 403, and the cases are neither read nor written',
    async ({ headers }) => {
      const { app, store } = await begun();
      const asked = [vi.spyOn(store, 'list'), vi.spyOn(store, 'load'), vi.spyOn(store, 'append')];
      const body = JSON.stringify({ head, statements: [typed('LDFA', 89)] });
      const answers = [
        await app.request('http://localhost/api/cases', { headers }),
        await app.request('http://localhost/api/cases/a/entries', {
          method: 'POST',
          body,
          headers: { 'content-type': 'application/json', ...headers },
        }),
      ];
      for (const answer of answers) {
        expect(answer.status).toBe(403);
        expect(await answer.json()).toEqual({ message: 'This server answers only pages of its own machine.' });
      }
      for (const spy of asked) expect(spy).not.toHaveBeenCalled();
    },
  );

  it.each(['/api/cases', '/api/cases/c'])('is told at %s to load nothing from elsewhere', async (path) => {
    const { get } = await begun();
    const { headers } = await get(path);
    const policy = (headers.get('content-security-policy') ?? '').split('; ');
    expect(policy).toContain("default-src 'self'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(headers.get('x-content-type-options')).toBe('nosniff');
    expect(headers.get('referrer-policy')).toBe('no-referrer');
  });
});
