import { err, ok } from '@kerfline/geometry';
import type { CaseFile } from './case-file.ts';
import { type CaseStore, existsAlready, grown, noSuchCase } from './case-store.ts';

/** A store that lives as long as the program. */
export function memoryStore(): CaseStore {
  const cases = new Map<string, CaseFile>();
  return {
    async list() {
      return [...cases.keys()].sort();
    },
    async load(id) {
      const file = cases.get(id);
      return file ? ok(file) : err(noSuchCase(id));
    },
    async begin(file) {
      const id = file.ledger.case;
      if (cases.has(id)) return err(existsAlready(id));
      cases.set(id, file);
      return ok(file.ledger);
    },
    async append(id, head, statements, stamp, blobs) {
      const file = cases.get(id);
      if (!file) return err(noSuchCase(id));
      const more = grown(file, head, statements, stamp, blobs);
      if (!more.ok) return more;
      cases.set(id, more.value);
      return ok(more.value.ledger);
    },
  };
}
