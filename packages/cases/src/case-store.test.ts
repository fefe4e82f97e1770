import { mkdir, mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { caseWith, stamp, typed } from './case.fixture.ts';
import { readCaseFile } from './case-file.ts';
import type { CaseStore, StoreFault } from './case-store.ts';
import { fileStore, oneFileStore, saveCaseFile } from './file-store.ts';
import { headOf, readLedger } from './ledger.ts';
import { memoryStore } from './memory-store.ts';
import { sha256Of } from './sha256.ts';

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'kerfline-store-'));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

const file = (id: string) => caseWith('{}', id);
const head = (id: string): string => headOf(file(id).ledger);

function fault(result: { readonly ok: boolean }): StoreFault {
  if (result.ok) throw new Error('the store did it');
  return (result as unknown as { readonly error: StoreFault }).error;
}

/** Appends after whatever is there, reading again as often as somebody else was faster. */
async function appendAnyhow(store: CaseStore, id: string, value: number): Promise<void> {
  for (;;) {
    const now = await store.load(id);
    if (!now.ok) throw new Error(now.error.message);
    const done = await store.append(id, headOf(now.value.ledger), [typed('LDFA', value)], stamp);
    if (done.ok) return;
    expect(done.error.kind).toBe('stale');
  }
}

/** One contract for all stores (design 8). */
const stores: readonly { readonly name: string; readonly make: () => CaseStore }[] = [
  { name: 'memory', make: memoryStore },
  { name: 'a folder of files', make: () => fileStore(folder) },
];

describe.each(stores)('a store in $name', ({ make }) => {
  it('begins a case once, and gives it back as it was', async () => {
    const store = make();
    expect(await store.list()).toEqual([]);
    expect(await store.begin(file('a'))).toEqual({ ok: true, value: file('a').ledger });
    expect(await store.load('a')).toEqual({ ok: true, value: file('a') });
    expect(fault(await store.begin(file('a'))).kind).toBe('exists');
    await store.begin(file('b'));
    expect(await store.list()).toEqual(['a', 'b']);
  });

  it('has no case that was not begun, and adds nothing to one', async () => {
    const store = make();
    expect(fault(await store.load('a')).kind).toBe('no-such-case');
    expect(fault(await store.append('a', head('a'), [typed('LDFA', 88)], stamp)).kind).toBe('no-such-case');
    expect(await store.list()).toEqual([]);
  });

  it('adds entries after the head that the writer read', async () => {
    const store = make();
    await store.begin(file('a'));
    const more = await store.append('a', head('a'), [typed('LDFA', 89), typed('MPTA', 86)], stamp);
    expect(more.ok && more.value.entries.length).toBe(file('a').ledger.entries.length + 2);
    const back = await store.load('a');
    expect(back.ok && more.ok && back.value.ledger).toEqual(more.ok && more.value);
    if (back.ok) expect(readLedger(back.value.ledger).ok).toBe(true);
  });

  it('refuses a stale head, says which is the head now, and keeps the case as it was', async () => {
    const store = make();
    await store.begin(file('a'));
    const first = await store.append('a', head('a'), [typed('LDFA', 89)], stamp);
    const refused = fault(await store.append('a', head('a'), [typed('LDFA', 90)], stamp));
    expect(refused.kind).toBe('stale');
    const back = await store.load('a');
    if (!first.ok || !back.ok) throw new Error('lost');
    expect(refused.kind === 'stale' && refused.head).toBe(headOf(first.value));
    expect(back.value.ledger).toEqual(first.value);
  });

  it('lets writers who come at once take turns: of ten with one head, one is taken and nine are stale', async () => {
    const store = make();
    await store.begin(file('a'));
    const all = await Promise.all(
      Array.from({ length: 10 }, (_, k) => store.append('a', head('a'), [typed('LDFA', 80 + k)], stamp)),
    );
    expect(all.filter((r) => r.ok)).toHaveLength(1);
    for (const r of all.filter((x) => !x.ok)) expect(fault(r).kind).toBe('stale');
  });

  it('loses nothing when twelve writers come at once and try again', async () => {
    const store = make();
    await store.begin(file('a'));
    await Promise.all(Array.from({ length: 12 }, (_, k) => appendAnyhow(store, 'a', 80 + k)));
    const back = await store.load('a');
    if (!back.ok) throw new Error('lost');
    const values = back.value.ledger.entries
      .slice(file('a').ledger.entries.length)
      .map((e) => (e.kind === 'typed' ? e.body.value : Number.NaN));
    expect(values.sort((x, y) => x - y)).toEqual(Array.from({ length: 12 }, (_, k) => 80 + k));
    expect(readLedger(back.value.ledger).ok).toBe(true);
  });

  it('keeps files that come with entries, and those that were there', async () => {
    const store = make();
    await store.begin(file('a'));
    const bytes = new Uint8Array([1, 2, 3]);
    const blob = sha256Of(bytes);
    await store.append(
      'a',
      head('a'),
      [{ kind: 'bone', body: { role: 'patella', blob, fileName: 'p.stl' } }],
      stamp,
      new Map([[blob, bytes]]),
    );
    const back = await store.load('a');
    expect(back.ok && [...back.value.blobs.keys()].sort()).toEqual([blob, ...file('a').blobs.keys()].sort());
    expect(back.ok && back.value.blobs.get(blob)).toEqual(bytes);
  });

  it('keeps cases apart', async () => {
    const store = make();
    await store.begin(file('a'));
    await store.begin(file('b'));
    await store.append('a', head('a'), [typed('LDFA', 89)], stamp);
    expect(await store.load('b')).toEqual({ ok: true, value: file('b') });
  });
});

describe('a store in a folder of files', () => {
  it('keeps the case whole when a write fails, says so, and takes the next writer', async () => {
    const store = fileStore(folder);
    await store.begin(file('a'));
    const before = await readFile(join(folder, 'a.kerf.json'), 'utf8');
    // A folder where the new file would be written: the write cannot be made.
    const inTheWay = join(folder, `a.kerf.json.${process.pid}.new`);
    await mkdir(inTheWay);
    const [failed, behind] = await Promise.allSettled([
      store.append('a', head('a'), [typed('LDFA', 89)], stamp),
      store.load('a'),
    ]);
    expect(failed.status).toBe('rejected');
    expect(behind.status).toBe('fulfilled');
    expect(await readFile(join(folder, 'a.kerf.json'), 'utf8')).toBe(before);
    await rm(inTheWay, { recursive: true });
    expect((await store.append('a', head('a'), [typed('LDFA', 89)], stamp)).ok).toBe(true);
    expect(await readdir(folder)).toEqual(['a.kerf.json']);
  });

  it('is read by another store on the same folder', async () => {
    await fileStore(folder).begin(file('a'));
    expect(await fileStore(folder).load('a')).toEqual({ ok: true, value: file('a') });
  });

  it('says of a file that was changed that it cannot be read, and does not write over it', async () => {
    const store = fileStore(folder);
    await store.begin(file('a'));
    const path = join(folder, 'a.kerf.json');
    const changed = (await readFile(path, 'utf8')).replace('"value":88', '"value":98');
    await writeFile(path, changed);
    expect(fault(await store.load('a'))).toMatchObject({
      kind: 'unreadable',
      message: expect.stringContaining('was changed'),
    });
    expect(fault(await store.append('a', head('a'), [typed('LDFA', 89)], stamp)).kind).toBe('unreadable');
    expect((await store.begin(file('a'))).ok).toBe(false);
    expect(await readFile(path, 'utf8')).toBe(changed);
  });

  it.each(['../a', 'a/b', '.a', '', 'a.b', 'a\u0000'])('has no case called %j: it would lie elsewhere', async (id) => {
    const store = fileStore(folder);
    expect(fault(await store.load(id)).kind).toBe('no-such-case');
    expect((await store.begin({ ...file('a'), ledger: { ...file('a').ledger, case: id } })).ok).toBe(false);
    expect(await readdir(folder)).toEqual([]);
  });

  it('lists case files only', async () => {
    const store = fileStore(folder);
    await store.begin(file('a'));
    await writeFile(join(folder, 'notes.txt'), 'x');
    expect(await store.list()).toEqual(['a']);
  });
});

describe('a store that keeps the files it has read', () => {
  const path = () => join(folder, 'a.kerf.json');
  const bytes = Uint8Array.from({ length: 200_003 }, (_, i) => (i * 7) % 251);
  const blob = sha256Of(bytes);
  const film = {
    kind: 'film',
    body: {
      blob,
      fileName: 'f.dcm',
      view: 'long-leg',
      side: 'left',
      posture: 'standing',
      letter: 'none',
      mirrored: false,
      removed: 3,
    },
  } as const;

  it('writes what another program reads: entries and files after each addition', async () => {
    const store = fileStore(folder);
    await store.begin(file('a'));
    const filmed = await store.append('a', head('a'), [film], stamp, new Map([[blob, bytes]]));
    if (!filmed.ok) throw new Error(filmed.error.message);
    let at = headOf(filmed.value);
    for (const value of [81, 82, 83]) {
      const more = await store.append('a', at, [typed('LDFA', value)], stamp);
      if (!more.ok) throw new Error(more.error.message);
      at = headOf(more.value);
      const read = readCaseFile(await readFile(path(), 'utf8'));
      expect(read).toMatchObject({ ok: true, value: { ledger: more.value } });
      expect(read.ok && read.value.blobs.get(blob)).toEqual(bytes);
      expect(await fileStore(folder).load('a')).toEqual(await store.load('a'));
    }
  });

  it('adds to what another store wrote meanwhile, and loses nothing of it', async () => {
    const [one, two] = [fileStore(folder), fileStore(folder)];
    await one.begin(file('a'));
    await one.load('a');
    const added = await two.append('a', head('a'), [film], stamp, new Map([[blob, bytes]]));
    if (!added.ok) throw new Error(added.error.message);
    expect(fault(await one.append('a', head('a'), [typed('LDFA', 81)], stamp)).kind).toBe('stale');
    const more = await one.append('a', headOf(added.value), [typed('LDFA', 82)], stamp);
    expect(more.ok && more.value.entries.length).toBe(file('a').ledger.entries.length + 2);
    const back = await two.load('a');
    expect(back.ok && back.value.blobs.get(blob)).toEqual(bytes);
    expect(back.ok && more.ok && back.value.ledger).toEqual(more.ok && more.value);
  });

  it('notices a file that was taken away, and one that was changed at once in place', async () => {
    const store = fileStore(folder);
    await store.begin(file('a'));
    const whole = await readFile(path(), 'utf8');
    // The clock of files may stand still for a hundredth of a second: what is written here is dated back.
    expect((await stat(path())).mtimeMs).toBeLessThan(Date.now() - 900);
    await writeFile(path(), whole.replace('"value":88', '"value":89'));
    expect(fault(await store.load('a')).kind).toBe('unreadable');
    await writeFile(path(), whole);
    expect((await store.load('a')).ok).toBe(true);
    await rm(path());
    expect(fault(await store.load('a')).kind).toBe('no-such-case');
  });

  it('refuses more than one case file can hold, with both sizes, and keeps the case as it was', async () => {
    // Stands for 400 MB without having them.
    const vast = new Proxy(new Uint8Array(1), {
      get: (of, key) => (key === 'length' ? 400_000_000 : Reflect.get(of, key)),
    });
    for (const store of [fileStore(folder), memoryStore()]) {
      await store.begin(file('a'));
      const refused = fault(await store.append('a', head('a'), [film], stamp, new Map([[blob, vast]])));
      expect(refused).toMatchObject({ kind: 'too-large', message: expect.stringMatching(/401 MB.*380 MB/) });
      const back = await store.load('a');
      expect(back.ok && back.value.ledger.entries).toHaveLength(file('a').ledger.entries.length);
    }
  });
});

describe('a store of one file', () => {
  it('adds to its case in turns, and knows no other', async () => {
    const path = join(folder, 'anything.kerf.json');
    await saveCaseFile(path, file('a'));
    const store = oneFileStore(path);
    expect(await store.list()).toEqual(['a']);
    const all = await Promise.all([1, 2, 3].map((k) => store.append('a', head('a'), [typed('LDFA', 80 + k)], stamp)));
    expect(all.filter((r) => r.ok)).toHaveLength(1);
    await Promise.all([4, 5, 6].map((k) => appendAnyhow(store, 'a', 80 + k)));
    const back = await store.load('a');
    expect(back.ok && back.value.ledger.entries.length).toBe(file('a').ledger.entries.length + 4);
    expect(fault(await store.load('b')).kind).toBe('no-such-case');
    expect(fault(await store.append('b', head('a'), [typed('LDFA', 88)], stamp)).kind).toBe('no-such-case');
    expect((await store.begin(file('b'))).ok).toBe(false);
  });

  it('takes the next writer after a write that failed', async () => {
    const path = join(folder, 'one.kerf.json');
    await saveCaseFile(path, file('a'));
    const store = oneFileStore(path);
    await mkdir(`${path}.${process.pid}.new`);
    await expect(store.append('a', head('a'), [typed('LDFA', 89)], stamp)).rejects.toThrow();
    await rm(`${path}.${process.pid}.new`, { recursive: true });
    expect((await store.append('a', head('a'), [typed('LDFA', 89)], stamp)).ok).toBe(true);
  });
});
