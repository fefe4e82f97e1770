import { err, ok, type Result } from '@kerfline/geometry';
import { currentSchema, type Entry, entryHash, readEntry, type Statement } from './entry.ts';

/** All that is recorded of one case, in order. */
export interface Ledger {
  readonly case: string;
  readonly entries: readonly Entry[];
}

export interface LedgerFault {
  readonly kind: 'tampered' | 'bad-entry' | 'unknown-kind' | 'newer-schema' | 'bad-body' | 'empty';
  /** Sequence number of the first entry that is wrong. */
  readonly seq: number;
  readonly message: string;
}

/** When and by whom something is recorded. */
export interface Stamp {
  readonly at: string;
  readonly by: string;
}

/** A ledger with one more entry at its end. */
export function appended(ledger: Ledger, statement: Statement, stamp: Stamp): Ledger {
  const seq = ledger.entries.length;
  const open = {
    ...statement,
    id: `${ledger.case}/${seq}`,
    case: ledger.case,
    seq,
    at: stamp.at,
    by: stamp.by,
    schema: currentSchema,
    prev: ledger.entries.at(-1)?.hash ?? null,
  } as Omit<Entry, 'hash'>;
  return { ...ledger, entries: [...ledger.entries, { ...open, hash: entryHash(open) } as Entry] };
}

/** Hash of the last entry: one number that stands for the whole case as it is. */
export const headOf = (ledger: Ledger): string => ledger.entries.at(-1)?.hash ?? '';

/**
 * Reads a ledger and checks its chain: every hash, every link to the entry before, every sequence number.
 *
 * @returns the ledger, or the first entry that is wrong and how
 */
export function readLedger(raw: {
  readonly case: string;
  readonly entries: readonly unknown[];
}): Result<Ledger, LedgerFault> {
  if (raw.entries.length === 0) return err({ kind: 'empty', seq: 0, message: 'The case has no entries.' });
  const entries: Entry[] = [];
  let prev: string | null = null;
  for (const [seq, item] of raw.entries.entries()) {
    const entry = readEntry(item);
    if (!entry.ok) return err({ kind: entry.error.kind, seq, message: `Entry ${seq}: ${entry.error.message}` });
    const tampered = (what: string): Result<Ledger, LedgerFault> =>
      err({ kind: 'tampered', seq, message: `The case file was changed: entry ${seq} ${what}.` });
    if (entry.value.hash !== entryHash(entry.value)) {
      return tampered(
        `has hash ${entry.value.hash.slice(0, 12)}, its content makes ${entryHash(entry.value).slice(0, 12)}`,
      );
    }
    if (entry.value.seq !== seq) return tampered(`says it is number ${entry.value.seq}`);
    if (entry.value.prev !== prev) return tampered('does not follow the entry before it');
    if (entry.value.case !== raw.case) return tampered(`belongs to case ${entry.value.case}`);
    if (seq === 0 && entry.value.kind !== 'created') return tampered('does not begin the case');
    prev = entry.value.hash;
    entries.push(entry.value);
  }
  return ok({ case: raw.case, entries });
}
