import { createHash } from 'node:crypto';
import { env } from 'node:process';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { begun, ledgerOf, stamp, typed } from './case.fixture.ts';
import { bodies, type Entry, entryHash, entryKinds, readEntry, readStatement } from './entry.ts';
import { appended, headOf, readLedger } from './ledger.ts';

const ledger = ledgerOf('a1', [
  begun,
  typed('LDFA', 88),
  {
    kind: 'aim',
    body: {
      philosophy: 'kinematic',
      wanted: [{ name: 'tibiaSlope', value: 4.5, unit: 'deg', positive: 'posteriorSlope' }],
    },
  },
  { kind: 'readBack', body: { guide: 'canal-core', link: 'collar', value: 8, unit: 'deg' } },
  { kind: 'spread', body: { name: 'kerf', sd: 0, unit: 'mm' } },
  { kind: 'retract', body: { entry: 'a1/1', why: 'misread' } },
]);
const raw = (): { case: string; entries: Record<string, unknown>[] } => JSON.parse(JSON.stringify(ledger));

describe('a chain', () => {
  it('of entries as they were written is whole', () => {
    expect(readLedger(raw())).toEqual({ ok: true, value: ledger });
    expect(ledger.entries.map((e) => e.seq)).toEqual([0, 1, 2, 3, 4, 5]);
    expect(ledger.entries[0]!.prev).toBeNull();
    ledger.entries.slice(1).forEach((entry, k) => {
      expect(entry.prev).toBe(ledger.entries[k]!.hash);
    });
    expect(headOf(ledger)).toBe(ledger.entries[5]!.hash);
  });

  it('has the SHA-256 of the sorted JSON of each entry without its hash, by the platform', () => {
    for (const entry of ledger.entries) {
      const { hash, ...rest } = entry;
      const sorted = (v: unknown): unknown =>
        Array.isArray(v)
          ? v.map(sorted)
          : typeof v === 'object' && v !== null
            ? Object.fromEntries(
                Object.entries(v)
                  .sort(([a], [b]) => (a < b ? -1 : 1))
                  .map(([k, x]) => [k, sorted(x)]),
              )
            : v;
      expect(
        createHash('sha256')
          .update(JSON.stringify(sorted(rest)))
          .digest('hex'),
      ).toBe(hash);
      expect(entryHash(entry)).toBe(hash);
    }
  });

  it('shows any single letter of any entry that is changed to another', () => {
    const texts = ledger.entries.map((entry) => JSON.stringify(entry));
    const places = texts.flatMap((text, e) => Array.from({ length: text.length }, (_, i) => [e, i] as const));
    const broken = (e: number, i: number, letter: string): void => {
      const text = texts[e]!;
      const changed = text.slice(0, i) + letter + text.slice(i + 1);
      let entry: unknown;
      try {
        entry = JSON.parse(changed);
      } catch {
        return;
      }
      // What reads as the same data is the same data: 5e-1 and 5E-1.
      if (JSON.stringify(entry) === JSON.stringify(JSON.parse(text))) return;
      const all: unknown[] = raw().entries;
      all[e] = entry;
      expect(readLedger({ case: 'a1', entries: all }).ok, `entry ${e}, letter ${i} as ${letter}`).toBe(false);
    };
    for (const [e, i] of places) {
      const was = texts[e]!.charCodeAt(i);
      // Another digit, another letter, and the neighbouring code.
      for (const letter of ['0', 'x', String.fromCharCode(was ^ 1)]) if (letter !== texts[e]![i]) broken(e, i, letter);
    }
    fc.assert(
      fc.property(fc.constantFrom(...places), fc.string({ minLength: 1, maxLength: 1 }), ([e, i], letter) => {
        if (letter !== texts[e]![i]) broken(e, i, letter);
      }),
      { numRuns: env.KERFLINE_FULL === '1' ? 20_000 : 1000 },
    );
  });

  it.each([
    { why: 'an entry left out', change: (e: unknown[]) => void e.splice(2, 1), seq: 2 },
    { why: 'an entry twice', change: (e: unknown[]) => void e.splice(2, 0, e[2]), seq: 3 },
    { why: 'two entries exchanged', change: (e: unknown[]) => void e.splice(1, 2, e[2], e[1]), seq: 1 },
    { why: 'the beginning left out', change: (e: unknown[]) => void e.shift(), seq: 0 },
  ])('shows $why', ({ change, seq }) => {
    const all = raw();
    change(all.entries);
    expect(readLedger(all)).toMatchObject({ ok: false, error: { kind: 'tampered', seq } });
  });

  it('shows an entry that was changed and hashed anew, by the entry that follows it', () => {
    const all = raw();
    const entry = all.entries[1] as unknown as Entry;
    const forged = { ...entry, body: { ...entry.body, value: 89 } } as Entry;
    all.entries[1] = { ...forged, hash: entryHash(forged) };
    expect(readLedger(all)).toMatchObject({ ok: false, error: { kind: 'tampered', seq: 2 } });
  });

  it('of another case, or without a beginning or any entry, is none', () => {
    expect(readLedger({ ...raw(), case: 'b2' })).toMatchObject({ ok: false, error: { kind: 'tampered', seq: 0 } });
    expect(readLedger({ case: 'a1', entries: [] })).toMatchObject({ ok: false, error: { kind: 'empty' } });
    const headless = ledgerOf('a1', [typed('LDFA', 88)]);
    expect(readLedger(headless)).toMatchObject({ ok: false, error: { kind: 'tampered', seq: 0 } });
  });

  it('grows by one more entry and leaves what was there', () => {
    const more = appended(ledger, typed('MPTA', 87), stamp);
    expect(more.entries.slice(0, 6)).toEqual(ledger.entries);
    expect(ledger.entries).toHaveLength(6);
    expect(more.entries[6]).toMatchObject({
      id: 'a1/6',
      case: 'a1',
      seq: 6,
      kind: 'typed',
      prev: headOf(ledger),
      ...stamp,
    });
  });
});

describe('an entry', () => {
  const good = (): Record<string, unknown> => JSON.parse(JSON.stringify(ledger.entries[1]));

  it('of a newer version is refused with both versions', () => {
    const newer = readEntry({ ...good(), schema: 2 });
    expect(newer).toMatchObject({ ok: false, error: { kind: 'newer-schema' } });
    if (!newer.ok) expect(newer.error.message).toMatch(/version 2.*up to 1/);
  });

  it.each([
    { why: 'without a zone', change: { at: '2026-03-02T08:30:00' } },
    { why: 'by nobody', change: { by: '' } },
    { why: 'with a short hash', change: { hash: 'abc' } },
    { why: 'with half a number', change: { seq: 0.5 } },
    { why: 'with another key', change: { note: 'x' } },
  ])('$why is refused', ({ change }) => {
    expect(readEntry({ ...good(), ...change })).toMatchObject({ ok: false, error: { kind: 'bad-entry' } });
  });

  it('of no known kind is told the kinds there are', () => {
    const unknown = readStatement({ kind: 'guess', body: {} });
    expect(unknown).toMatchObject({ ok: false, error: { kind: 'unknown-kind' } });
    if (!unknown.ok) for (const kind of entryKinds) expect(unknown.error.message).toContain(kind);
  });

  it.each(['toString', 'constructor', '__proto__', 'hasOwnProperty'])(
    'of the kind "%s", which every object has, is of no known kind either',
    (kind) => {
      expect(readStatement({ kind, body: {} })).toMatchObject({ ok: false, error: { kind: 'unknown-kind' } });
    },
  );

  it.each([
    { kind: 'typed', body: { name: 'LDFA', value: 88, unit: 'deg', sd: 1 } },
    { kind: 'typed', body: { name: 'LDFA', value: '88', unit: 'deg', sd: 1, sdFrom: 'stated' } },
    { kind: 'typed', body: { name: 'LDFA', value: 88, unit: 'rad', sd: 1, sdFrom: 'stated' } },
    { kind: 'typed', body: { name: 'LDFA', value: 88, unit: 'deg', sd: -1, sdFrom: 'stated' } },
    { kind: 'typed', body: { name: 'LDFA', value: 88, sd: 1, sdFrom: 'stated' } },
    { kind: 'created', body: { side: 'both', label: 'x' } },
    { kind: 'created', body: { side: 'left', label: '' } },
    { kind: 'bone', body: { role: 'hip', blob: '0'.repeat(64), fileName: 'x' } },
    { kind: 'bone', body: { role: 'femur', blob: 'zz', fileName: 'x' } },
    { kind: 'readBack', body: { guide: 'a', link: 'b', value: 1 } },
    { kind: 'readBack', body: { guide: 'a', link: 'b', value: 1, unit: 'mm', sense: 'up' } },
    { kind: 'spread', body: { name: 'kerf', sd: -0.1, unit: 'mm' } },
    { kind: 'retract', body: { entry: 'a1/1' } },
    { kind: 'aim', body: { philosophy: 'kinematic', wanted: [{ name: 'x', value: 1 }] } },
  ])('that says $kind $body is refused', (statement) => {
    const read = readStatement(statement);
    expect(read).toMatchObject({ ok: false, error: { kind: 'bad-body' } });
    if (!read.ok) expect(read.error.message).toContain(`A ${statement.kind} entry`);
  });

  it.each(
    [null, 7, 'x', [], {}, { kind: 'typed' }, { kind: 'typed', body: {}, hash: 'x' }].map((value) => ({ value })),
  )('$value is none', ({ value }) => {
    expect(readStatement(value).ok).toBe(false);
  });

  it.each([
    'varus',
    'valgus',
    'posteriorSlope',
    'flexion',
    'external',
    'lateral',
    'medial',
    'anterior',
    'proximal',
    'opensLaterally',
  ])('may say %s of a wanted value', (positive) => {
    const aim = { kind: 'aim', body: { philosophy: 'x', wanted: [{ name: 'y', value: 1, unit: 'deg', positive }] } };
    expect(readStatement(aim)).toEqual({ ok: true, value: aim });
  });

  it('has a shape for each of its kinds', () => {
    expect(Object.keys(bodies).sort()).toEqual(
      [
        'aim',
        'belief',
        'bone',
        'calibration',
        'created',
        'film',
        'kit',
        'mark',
        'markSpreads',
        'readBack',
        'remark',
        'retract',
        'setting',
        'spread',
        'turnedOver',
        'typed',
        'use',
      ].sort(),
    );
  });
});
