import type { CaseFile } from './case-file.ts';
import type { Statement } from './entry.ts';
import { appended, type Ledger, type Stamp } from './ledger.ts';
import { sha256Of } from './sha256.ts';

export const stamp: Stamp = { at: '2026-03-02T08:30:00Z', by: 'tester' };

export const begun: Statement = { kind: 'created', body: { side: 'left', label: 'invented' } };

export const typed = (name: string, value: number, unit: 'mm' | 'deg' = 'deg', sd = 0.7): Statement => ({
  kind: 'typed',
  body: { name, value, unit, sd, sdFrom: 'stated' },
});

/** A ledger of statements in their order, each a minute after the one before. */
export const ledgerOf = (id: string, statements: readonly Statement[]): Ledger =>
  statements.reduce<Ledger>(
    (so, statement, k) =>
      appended(so, statement, { ...stamp, at: `2026-03-02T08:${String(30 + (k % 30)).padStart(2, '0')}:00Z` }),
    { case: id, entries: [] },
  );

/** A case with a kit inside and a few values of the leg. */
export function caseWith(kitText: string, id: string, more: readonly Statement[] = []): CaseFile {
  const bytes = new TextEncoder().encode(kitText);
  const blob = sha256Of(bytes);
  return {
    ledger: ledgerOf(id, [
      begun,
      { kind: 'kit', body: { name: 'demo', version: '1', blob } },
      typed('LDFA', 88),
      typed('MPTA', 87),
      typed('slope', 6),
      typed('shaftMechanical', 5.6),
      typed('tibiaSpan', 330, 'mm', 2),
      typed('ankleOffset', 3, 'mm', 1),
      { kind: 'aim', body: { philosophy: 'restricted-kinematic' } },
      ...more,
    ]),
    blobs: new Map([[blob, bytes]]),
  };
}
