import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { err, ok, type Result } from '@kerfline/geometry';
import { type CaseFile, type CaseFileFault, tooLarge } from './case-file.ts';
import { type CaseStore, existsAlready, grown, noSuchCase, type StoreFault } from './case-store.ts';
import { keptFiles } from './kept-files.ts';

const ending = '.kerf.json';

/** Reads a case file from disk; a file that is not there is `undefined`. */
export const loadCaseFile = (path: string): Promise<Result<CaseFile, CaseFileFault> | undefined> =>
  keptFiles().load(path);

/** Writes a case file so that at any moment the old or the new one is whole on disk. */
export const saveCaseFile = (path: string, file: CaseFile): Promise<void> => keptFiles().save(path, file);

/**
 * A store in a folder: one self-contained `.kerf.json` for each case. Writers of one program take turns; it is for one
 * program at a time.
 *
 * @param folder must exist
 */
export function fileStore(folder: string): CaseStore {
  const files = keptFiles();
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
    const read = path === undefined ? undefined : await files.load(path);
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
        const large = tooLarge(file.blobs);
        if (large !== undefined) return err({ kind: 'too-large', message: large });
        if (await files.load(path)) return err(existsAlready(id));
        await files.save(path, file);
        return ok(file.ledger);
      }),
    append: (id, head, statements, stamp, blobs) =>
      inTurn(async () => {
        const file = await load(id);
        if (!file.ok) return file;
        const more = grown(file.value, head, statements, stamp, blobs);
        if (!more.ok) return more;
        await files.save(pathOf(id)!, more.value);
        return ok(more.value.ledger);
      }),
  };
}

/** A store that holds one case: the file at `path`, wherever it lies. */
export function oneFileStore(path: string): CaseStore {
  const files = keptFiles();
  let turn: Promise<unknown> = Promise.resolve();
  const load = async (): Promise<Result<CaseFile, StoreFault>> => {
    const read = await files.load(path);
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
        await files.save(path, more.value);
        return ok(more.value.ledger);
      });
      turn = mine.catch(() => undefined);
      return mine;
    },
  };
}
