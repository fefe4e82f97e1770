import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import {
  appended,
  type CaseStore,
  filmSalt,
  filmStatement,
  memoryStore,
  type Stamp,
  sha256Of,
  takenFilm,
} from '@kerfline/cases';
import { describe, expect, it, vi } from 'vitest';
import { filmFile } from '../../../packages/cases/src/film.fixture.ts';
import { serverApp } from './app.ts';
import { demoCase } from './demo-case.ts';
import { fittedCase } from './fitted-case.ts';
import { kitShelf } from './kit-shelf.ts';
import { measuredCase } from './measured-case.ts';

const stamp: Stamp = { at: '2026-03-02T08:30:00Z', by: 'tester' };
const here = { host: 'localhost:4178' };

interface View {
  readonly head: string;
  readonly side: string;
  readonly label: string;
  readonly films: readonly { readonly id: string; readonly blob: string; readonly marks: readonly unknown[] }[];
}
interface Answered {
  readonly status: number;
  readonly body: Record<string, unknown> & { readonly view?: View; readonly message?: string };
}

async function server(more: Partial<CaseStore> = {}) {
  const store: CaseStore = { ...memoryStore(), ...more };
  const measure = vi.fn(async (...of: Parameters<typeof measuredCase>) => measuredCase(...of));
  let made = 0;
  const app = serverApp({
    store,
    stamp: () => stamp,
    measure,
    fit: async (file, facts) => fittedCase(file, facts),
    takeFilm: async (bytes, fileName, salt) => takenFilm(bytes, fileName, salt),
    kits: kitShelf(fileURLToPath(new URL('../../../kits/', import.meta.url))),
    newId: () => {
      made += 1;
      return `new${made}`;
    },
  });
  const call = async (path: string, init: RequestInit = {}): Promise<Answered> => {
    const answer = await app.request(`http://localhost${path}`, {
      ...init,
      headers: { ...here, ...(init.headers as Record<string, string>) },
    });
    return { status: answer.status, body: (await answer.json()) as Answered['body'] };
  };
  const json = (path: string, body: unknown): Promise<Answered> =>
    call(path, { method: 'POST', body: JSON.stringify(body), headers: { 'content-type': 'application/json' } });
  const begin = { label: 'invented', side: 'left', kit: 'demo', aim: 'restricted-kinematic' };
  const bring = (id: string, bytes: Uint8Array, said: object = {}, headers: Record<string, string> = {}) =>
    call(
      `/api/cases/${id}/films?${new URLSearchParams({
        fileName: 'long.dcm',
        view: 'long-leg',
        side: 'left',
        posture: 'standing',
        letter: 'L',
        mirrored: 'false',
        ...said,
      })}`,
      {
        method: 'POST',
        body: bytes as Uint8Array<ArrayBuffer>,
        headers: { 'content-type': 'application/octet-stream', ...headers },
      },
    );
  const viewOf = async (id: string): Promise<View> => (await call(`/api/cases/${id}`)).body.view!;
  return { app, store, measure, call, json, begin, bring, viewOf };
}
const count = async (store: CaseStore, id: string): Promise<readonly [entries: number, blobs: number]> => {
  const file = await store.load(id);
  if (!file.ok) throw new Error(file.error.message);
  return [file.value.ledger.entries.length, file.value.blobs.size];
};

describe('beginning a case', () => {
  it('takes its label, side, kit and aim, and answers with its name and view', async () => {
    const { json, begin, call, viewOf } = await server();
    const kits = (await call('/api/kits')).body.kits;
    expect(kits).toContain('demo');
    const begun = await json('/api/cases', begin);
    expect(begun).toMatchObject({ status: 201, body: { id: 'new1', view: { side: 'left', label: 'invented' } } });
    expect(await viewOf('new1')).toEqual(begun.body.view);
  });

  it.each([
    { change: { side: 'both' }, status: 400, says: /side/ },
    { change: { label: '  ' }, status: 400, says: /name for the case/ },
    { change: { label: 'x'.repeat(300) }, status: 400, says: /label/ },
    { change: { kit: 'nobodys' }, status: 422, says: /no kit "nobodys"; these are:.*demo/ },
    { change: { kit: '../demo' }, status: 422, says: /no kit/ },
    { change: { aim: 'straight' }, status: 422, says: /kinematic/ },
    { change: { more: 1 }, status: 400, says: /more/ },
  ])('with $change is refused with $status, and nothing is begun', async ({ change, status, says }) => {
    const { json, begin, store } = await server();
    const answer = await json('/api/cases', { ...begin, ...change });
    expect(answer).toMatchObject({ status, body: { message: expect.stringMatching(says) } });
    expect(await store.list()).toEqual([]);
  });

  it('never writes over a case that has the name already', async () => {
    const store = memoryStore();
    const { json, begin } = await server(store);
    await json('/api/cases', begin);
    const again = await server(store);
    expect((await again.json('/api/cases', begin)).status).toBe(409);
  });
});

describe('a case without a leg yet', () => {
  it('can be opened: it has its kit and no leg, and says what is missing', async () => {
    const { json, begin, call, bring } = await server();
    await json('/api/cases', begin);
    const bare = await call('/api/cases/new1/leg');
    expect(bare).toMatchObject({ status: 200, body: { leg: null, films: [], kit: { name: 'demo' } } });
    await bring('new1', filmFile());
    const filmed = await call('/api/cases/new1/leg');
    expect(filmed).toMatchObject({ status: 200, body: { leg: null, films: [{ columns: 500, rows: 1000 }] } });
    expect(filmed.body.messages).toEqual([expect.stringContaining('two marks')]);
  });
});

describe('bringing a film in', () => {
  it('keeps it without its patient, under the hash of what is kept', async () => {
    const { json, begin, bring, store, viewOf } = await server();
    await json('/api/cases', begin);
    const brought = await bring('new1', filmFile());
    expect(brought.status).toBe(200);
    const answer = brought.body as unknown as { film: { id: string; blob: string; length: { state: string } } };
    expect(answer.film).toMatchObject({ id: 'new1/3', columns: 500, rows: 1000, length: { state: 'DETECTOR' } });
    expect((await viewOf('new1')).films.map((f) => f.blob)).toEqual([answer.film.blob]);
    const file = await store.load('new1');
    const kept = file.ok ? file.value.blobs.get(answer.film.blob)! : new Uint8Array();
    expect(sha256Of(kept)).toBe(answer.film.blob);
    expect(new TextDecoder('latin1').decode(kept)).not.toContain('INVENTED');
  });

  it.each([
    { why: 'another side', said: { side: 'right' }, status: 422, says: /RIGHT.*LEFT/ },
    { why: 'a letter of the other side', said: { letter: 'R' }, status: 422, says: /letter.*R/ },
    { why: 'an unknown view', said: { view: 'oblique' }, status: 400, says: /view/ },
    { why: 'no file name', said: { fileName: '' }, status: 400, says: /fileName/ },
    { why: 'mirrored by a word', said: { mirrored: 'perhaps' }, status: 400, says: /mirrored/ },
  ])('of $why is refused and leaves the case as it was', async ({ said, status, says }) => {
    const { json, begin, bring, store } = await server();
    await json('/api/cases', begin);
    const before = await count(store, 'new1');
    const answer = await bring('new1', filmFile(), said);
    expect(answer).toMatchObject({ status, body: { message: expect.stringMatching(says) } });
    expect(await count(store, 'new1')).toEqual(before);
  });

  it.each([
    { what: 'that is cut short', bytes: filmFile().subarray(0, 500_000), says: /ends early/ },
    { what: 'that is empty', bytes: new Uint8Array(), says: /empty/ },
    { what: 'that is text', bytes: new TextEncoder().encode('film'), says: /neither/ },
    { what: 'whose file names the other side', bytes: filmFile({ side: 'right' }), says: /RIGHT/ },
  ])('$what is refused and leaves the case as it was', async ({ bytes, says }) => {
    const { json, begin, bring, store } = await server();
    await json('/api/cases', begin);
    const answer = await bring('new1', bytes);
    expect(answer).toMatchObject({ status: 422, body: { message: expect.stringMatching(says) } });
    expect(await count(store, 'new1')).toEqual([3, 1]);
  });

  it('of a second patient is refused', async () => {
    const { json, begin, bring, store } = await server();
    await json('/api/cases', begin);
    await bring('new1', filmFile());
    const other = await bring('new1', filmFile({ patientId: 'K 0099', instanceUid: '2.25.4' }));
    expect(other).toMatchObject({ status: 422, body: { message: expect.stringContaining('another patient') } });
    expect(await count(store, 'new1')).toEqual([4, 2]);
  });

  it('is refused for its length before it is read, for its kind, and of a case that is none', async () => {
    const { json, begin, bring } = await server();
    await json('/api/cases', begin);
    const large = await bring('new1', filmFile(), {}, { 'content-length': String(221 * 1024 * 1024) });
    expect(large).toMatchObject({ status: 413, body: { message: expect.stringContaining('220 MB') } });
    expect((await bring('new1', filmFile(), {}, { 'content-type': 'application/json' })).status).toBe(415);
    expect((await bring('nobody', filmFile())).status).toBe(404);
  });

  it('is given up while it comes, when it is larger than it said', async () => {
    const { app, json, begin, store } = await server();
    await json('/api/cases', begin);
    let sent = 0;
    const body = new ReadableStream<Uint8Array>({
      pull(stream) {
        sent += 1;
        stream.enqueue(new Uint8Array(16 * 1024 * 1024));
      },
    });
    const init = {
      method: 'POST',
      body,
      duplex: 'half',
      headers: { ...here, 'content-type': 'application/octet-stream' },
    };
    const answer = await app.request(
      'http://localhost/api/cases/new1/films?fileName=x&view=long-leg&side=left&posture=lying&letter=L&mirrored=false',
      init as RequestInit,
    );
    expect(answer.status).toBe(413);
    expect(sent).toBeLessThan(20);
    expect(await count(store, 'new1')).toEqual([3, 1]);
  });

  it('is added behind what somebody else added meanwhile', async () => {
    const store = memoryStore();
    const { json, begin, bring, viewOf } = await server(store);
    await json('/api/cases', begin);
    const append = store.append;
    const late = vi.fn<CaseStore['append']>(async (id, head, statements, at, blobs) => {
      if (late.mock.calls.length === 1) {
        await append(id, head, [{ kind: 'aim', body: { philosophy: 'kinematic' } }], stamp);
      }
      return append(id, head, statements, at, blobs);
    });
    const slow = await server({ ...store, append: late });
    const brought = await slow.bring('new1', filmFile());
    expect(brought.body).toMatchObject({ film: { id: 'new1/4' } });
    expect((await viewOf('new1')).films.map((f) => f.id)).toEqual(['new1/4']);
    expect((await bring('new1', filmFile())).status).toBe(422);
  });
});

describe('the files of a case', () => {
  it('are given as they are where the case names them, and no others', async () => {
    const { app, json, begin, bring, call, viewOf } = await server();
    await json('/api/cases', begin);
    await json('/api/cases', begin);
    await bring('new1', filmFile());
    const [{ blob } = { blob: '' }] = (await viewOf('new1')).films;
    const answer = await app.request(`http://localhost/api/cases/new1/blobs/${blob}`, { headers: here });
    expect(answer.status).toBe(200);
    expect(answer.headers.get('content-type')).toBe('application/octet-stream');
    expect(answer.headers.get('cache-control')).toBe('no-store');
    expect(sha256Of(new Uint8Array(await answer.arrayBuffer()))).toBe(blob);
    expect((await call(`/api/cases/new2/blobs/${blob}`)).status).toBe(404);
    expect((await call('/api/cases/new1/blobs/..%2F..%2Fetc')).status).toBe(404);
  });

  it('are not given when no entry names them', async () => {
    const { json, begin, call, store } = await server();
    await json('/api/cases', begin);
    const file = await store.load('new1');
    if (!file.ok) throw new Error(file.error.message);
    const stray = new Uint8Array([1, 2, 3]);
    const { ledger, blobs } = file.value;
    const other = memoryStore();
    await other.begin({ ledger, blobs: new Map([...blobs, [sha256Of(stray), stray]]) });
    const more = await server(other);
    expect((await more.call(`/api/cases/new1/blobs/${sha256Of(stray)}`)).status).toBe(404);
    expect((await call(`/api/cases/new1/blobs/${sha256Of(stray)}`)).status).toBe(404);
  });

  it('answer only pages of this machine', async () => {
    const { json, begin, call } = await server();
    await json('/api/cases', begin);
    expect((await call('/api/kits', { headers: { host: 'elsewhere.example' } })).status).toBe(403);
  });
});

describe('the leg of a case with bones', () => {
  it('stays that of its bones when a film comes beside them, and says so', async () => {
    const bytes = new Uint8Array(await readFile(new URL('../../../kits/demo/kit.json', import.meta.url)));
    const demo = demoCase(bytes, { name: 'demo', version: '2' }, stamp);
    const taken = takenFilm(filmFile(), 'long.dcm', filmSalt(demo.ledger));
    if (!taken.ok) throw new Error(taken.error.message);
    const shown = { view: 'long-leg', side: 'left', posture: 'standing', letter: 'none', mirrored: false } as const;
    const ledger = appended(demo.ledger, filmStatement(taken.value, shown), stamp);
    const filmed = { ledger, blobs: new Map([...demo.blobs, [taken.value.blob, taken.value.bytes]]) };
    const [without, beside] = [measuredCase(demo).answer, measuredCase(filmed).answer];
    if (!('leg' in without && without.leg && 'leg' in beside && beside.leg)) throw new Error('no leg');
    expect(beside.leg.belief).toEqual(without.leg.belief);
    expect(beside).toMatchObject({ hasBones: true, films: [{ blob: taken.value.blob }] });
    const codes = beside.leg.findings.map((f) => f.code);
    expect(codes.filter((code) => code === 'films-beside-bones')).toHaveLength(1);
    expect(without.leg.findings.map((f) => f.code)).not.toContain('films-beside-bones');
  });
});

describe('the leg of a case with films', () => {
  it('is measured on the marks, without the files of the films, and keeps what the files say beside it', async () => {
    const { json, begin, bring, call, viewOf, measure } = await server();
    await json('/api/cases', begin);
    await bring('new1', filmFile());
    const { head } = await viewOf('new1');
    const places: readonly (readonly [string, number, number])[] = [
      ['hipCentre', 250, 80],
      ['femoralKneeCentre', 250, 500],
      ['distalMedial', 226, 509],
      ['distalLateral', 274, 507],
      ['tibialKneeCentre', 250, 510],
      ['plateauMedial', 228, 520],
      ['plateauLateral', 272, 518],
      ['plafondCentre', 250, 880],
    ];
    const marks = places.map(([name, column, row]) => ({
      kind: 'mark',
      body: { film: 'new1/3', name, pixel: [column, row], by: 'hand' },
    }));
    expect((await json('/api/cases/new1/entries', { head, statements: marks })).status).toBe(200);
    const leg = await call('/api/cases/new1/leg');
    expect(leg).toMatchObject({
      status: 200,
      body: { leg: { side: 'left' }, hasBones: false, films: [{ columns: 500 }] },
    });
    const given = measure.mock.calls.at(-1)!;
    expect(given[0].blobs.size).toBe(1);
    expect([...given[1]!.keys()]).toEqual((await viewOf('new1')).films.map((f) => f.blob));
    // A mark beyond the film is refused with the number found and the size of the film.
    const { head: now } = await viewOf('new1');
    const off = { kind: 'mark', body: { film: 'new1/3', name: 'hipCentre', pixel: [900, 5], by: 'hand' } };
    const refused = await json('/api/cases/new1/entries', { head: now, statements: [off] });
    expect(refused).toMatchObject({ status: 422, body: { message: expect.stringMatching(/column 900.*500 columns/) } });
  });
});
