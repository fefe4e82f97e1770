import { open, readdir, readFile, rename, unlink } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { err, ok, type Result } from '@kerfline/geometry';
import { type CaseFile, type CaseFileFault, caseFileText, readCaseFile } from './case-file.ts';
import { type CaseStore, existsAlready, grown, noSuchCase, type StoreFault } from './case-store.ts';

const ending = '.kerf.json';

const isMissing = (e: unknown): boolean => (e as NodeJS.ErrnoException).code === 'ENOENT';

/** Reads a case file from disk; a file that is not there is `undefined`. */
export async function loadCaseFile(path: string): Promise<Result<CaseFile, CaseFileFault> | undefined> {
  try {
    return readCaseFile(await readFile(path, 'utf8'));
  } catch (e) {
    if (isMissing(e)) return undefined;
    throw e;
  }
}

/**
 * Writes a case file so that at any moment the old or the new one is whole on disk: a new file is written and synced beside
 * it, then takes its name, then the folder is synced.
 */
export async function saveCaseFile(path: string, file: CaseFile): Promise<void> {
  const fresh = `${path}.${process.pid}.new`;
  const handle = await open(fresh, 'w');
  try {
    try {
      await handle.writeFile(caseFileText(file), 'utf8');
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(fresh, path);
  } catch (e) {
    await unlink(fresh);
    throw e;
  }
  const folder = await open(dirname(path), 'r');
  try {
    await folder.sync();
  } finally {
    await folder.close();
  }
}

/**
 * A store in a folder: one self-contained `.kerf.json` for each case. Writers of one program take turns; it is for one
 * program at a time.
 *
 * @param folder must exist
 */
export function fileStore(folder: string): CaseStore {
  const pathOf = (id: string): string | undefined =>
    /^[A-Za-z0-9][A-Za-z0-9-]*$/.test(id) ? join(folder, `${id}${ending}`) : undefined;
  let turn: Promise<unknown> = Promise.resolve();
  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const mine = turn.then(work, work);
    turn = mine;
    return mine;
  };
  const load = async (id: string): Promise<Result<CaseFile, StoreFault>> => {
    const path = pathOf(id);
    const read = path === undefined ? undefined : await loadCaseFile(path);
    if (!read) return err(noSuchCase(id));
    return read.ok ? read : err({ kind: 'unreadable', message: read.error.message });
  };
  return {
    async list() {
      const names = await readdir(folder);
      return names
        .filter((name) => name.endsWith(ending))
        .map((name) => name.slice(0, -ending.length))
        .sort();
    },
    load,
    begin: (file) =>
      inTurn(async () => {
        const id = file.ledger.case;
        const path = pathOf(id);
        if (path === undefined) return err({ kind: 'unreadable', message: `${id} cannot name a file.` });
        if (await loadCaseFile(path)) return err(existsAlready(id));
        await saveCaseFile(path, file);
        return ok(file.ledger);
      }),
    append: (id, head, statements, stamp, blobs) =>
      inTurn(async () => {
        const file = await load(id);
        if (!file.ok) return file;
        const more = grown(file.value, head, statements, stamp, blobs);
        if (!more.ok) return more;
        await saveCaseFile(pathOf(id)!, more.value);
        return ok(more.value.ledger);
      }),
  };
}

/** A store that holds one case: the file at `path`, wherever it lies. */
export function oneFileStore(path: string): CaseStore {
  let turn: Promise<unknown> = Promise.resolve();
  const load = async (): Promise<Result<CaseFile, StoreFault>> => {
    const read = await loadCaseFile(path);
    if (!read) return err({ kind: 'no-such-case', message: `There is no file ${path}.` });
    return read.ok ? read : err({ kind: 'unreadable', message: read.error.message });
  };
  return {
    async list() {
      const file = await load();
      return file.ok ? [file.value.ledger.case] : [];
    },
    async load(id) {
      const file = await load();
      return file.ok && file.value.ledger.case !== id ? err(noSuchCase(id)) : file;
    },
    begin: async (file) => err(existsAlready(file.ledger.case)),
    append(id, head, statements, stamp, blobs) {
      const mine = turn.then(async () => {
        const file = await load();
        if (!file.ok) return file;
        if (file.value.ledger.case !== id) return err(noSuchCase(id));
        const more = grown(file.value, head, statements, stamp, blobs);
        if (!more.ok) return more;
        await saveCaseFile(path, more.value);
        return ok(more.value.ledger);
      });
      turn = mine.catch(() => undefined);
      return mine;
    },
  };
}
