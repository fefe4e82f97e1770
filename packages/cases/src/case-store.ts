import { err, ok, type Result } from '@kerfline/geometry';
import { type Blobs, type CaseFile, tooLarge } from './case-file.ts';
import type { Statement } from './entry.ts';
import { appended, headOf, type Ledger, type Stamp } from './ledger.ts';

export type StoreFault =
  | { readonly kind: 'no-such-case'; readonly message: string }
  | { readonly kind: 'exists'; readonly message: string }
  /** Somebody else wrote meanwhile: the case is not as the writer thought. */
  | { readonly kind: 'stale'; readonly message: string; readonly head: string }
  | { readonly kind: 'unreadable'; readonly message: string }
  /** The case would hold more than one file can. */
  | { readonly kind: 'too-large'; readonly message: string };

/** Where cases are kept. Nothing is ever changed: a case is begun, entries are added to its end, files are put beside it. */
export interface CaseStore {
  list(): Promise<readonly string[]>;
  load(id: string): Promise<Result<CaseFile, StoreFault>>;
  begin(file: CaseFile): Promise<Result<Ledger, StoreFault>>;
  /**
   * Adds statements after the entry whose hash is `head`.
   *
   * @param blobs files that the statements name
   */
  append(
    id: string,
    head: string,
    statements: readonly Statement[],
    stamp: Stamp,
    blobs?: ReadonlyMap<string, Uint8Array>,
  ): Promise<Result<Ledger, StoreFault>>;
}

/** The one way in which a case grows, whatever the store. */
export function grown(
  file: CaseFile,
  head: string,
  statements: readonly Statement[],
  stamp: Stamp,
  blobs: ReadonlyMap<string, Uint8Array> = new Map(),
): Result<CaseFile, StoreFault> {
  const now = headOf(file.ledger);
  if (now !== head) {
    return err({
      kind: 'stale',
      head: now,
      message: `The case has changed since it was read (${now.slice(0, 12)}, not ${head.slice(0, 12)}): read it again.`,
    });
  }
  const all: Blobs = blobs.size === 0 ? file.blobs : new Map([...file.blobs, ...blobs]);
  const large = tooLarge(all);
  if (large !== undefined) return err({ kind: 'too-large', message: large });
  return ok({
    ledger: statements.reduce((ledger, statement) => appended(ledger, statement, stamp), file.ledger),
    blobs: all,
  });
}

export const noSuchCase = (id: string): StoreFault => ({ kind: 'no-such-case', message: `There is no case ${id}.` });
export const existsAlready = (id: string): StoreFault => ({
  kind: 'exists',
  message: `There is a case ${id} already.`,
});
