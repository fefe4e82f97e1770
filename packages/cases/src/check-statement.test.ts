import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { begun, caseWith, ledgerOf, typed } from './case.fixture.ts';
import { checkStatement } from './check-statement.ts';
import type { Statement } from './entry.ts';
import { sha256Of } from './sha256.ts';

const kitText = readFileSync(new URL('../../../kits/demo/kit.json', import.meta.url), 'utf8');
const file = caseWith(kitText, 'k', [{ kind: 'retract', body: { entry: 'k/4', why: 'x' } }]);
const check = (statement: Statement, of = file) => checkStatement(of.ledger, of.blobs, statement);
const setting = (guide: string, link: string, value: number, unit: 'mm' | 'deg', more: object = {}): Statement => ({
  kind: 'readBack',
  body: { guide, link, value, unit, ...more },
});
const aim = (philosophy: string, ...wanted: readonly [string, number, 'mm' | 'deg', string?][]): Statement =>
  ({
    kind: 'aim',
    body: {
      philosophy,
      wanted: wanted.map(([name, value, unit, positive]) => ({ name, value, unit, ...(positive ? { positive } : {}) })),
    },
  }) as Statement;
const belief = (names: string[], units: ('mm' | 'deg')[], mean: number[], covariance: number[]): Statement => ({
  kind: 'belief',
  body: { names, units, mean, covariance },
});
const spread = (name: string, sd: number, unit: 'mm' | 'deg'): Statement => ({
  kind: 'spread',
  body: { name, sd, unit },
});

/** Source: design 6 and 8, trade notes 3.8: nothing is recorded that a guide cannot be, a fence forbids or nothing refers to. */
describe('a statement that cannot be added', () => {
  it.each([
    {
      why: 'the collar clicks in whole degrees',
      statement: setting('canal-core', 'collar', 7.5, 'deg'),
      kind: 'off-detent',
      says: '3, 4, 5',
    },
    {
      why: 'the slide ends at 20',
      statement: setting('shin-mast', 'ankleSlide', 25, 'mm', { sense: 'medial' }),
      kind: 'off-detent',
      says: '20 mm',
    },
    {
      why: 'a slide needs a word',
      statement: setting('shin-mast', 'ankleSlide', 7, 'mm'),
      kind: 'wrong-sense',
      says: 'medial or lateral',
    },
    {
      why: 'a collar is in degrees',
      statement: setting('canal-core', 'collar', 7, 'mm'),
      kind: 'wrong-unit',
      says: 'deg',
    },
    {
      why: 'there is no such guide',
      statement: setting('canal', 'collar', 7, 'deg'),
      kind: 'unknown-guide',
      says: 'canal-core',
    },
    { why: 'LDFA is in degrees', statement: typed('LDFA', 88, 'mm'), kind: 'wrong-unit', says: 'deg' },
    { why: 'LDFA is not 8.8', statement: typed('LDFA', 8.8), kind: 'out-of-range', says: '70 to 110' },
    { why: 'nothing is called so', statement: typed('LDFB', 88), kind: 'unknown-name', says: 'LDFB' },
    { why: 'no philosophy is called so', statement: aim('kinetic'), kind: 'unknown-philosophy', says: 'kinematic' },
    {
      why: '6 valgus lies outside the fence',
      statement: aim('restricted-kinematic', ['femurValgus', 6, 'deg', 'valgus']),
      kind: 'outside-fence',
      says: 'LDFA 85 to 95',
    },
    {
      why: 'an aim is in its unit',
      statement: aim('kinematic', ['femurValgus', 2, 'mm', 'valgus']),
      kind: 'wrong-unit',
      says: 'deg',
    },
    {
      why: 'an aim needs a word',
      statement: aim('kinematic', ['femurValgus', 2, 'deg']),
      kind: 'no-sense',
      says: 'valgus',
    },
    { why: 'the case has begun', statement: begun, kind: 'begun', says: 'begun already' },
    {
      why: 'there is no such entry',
      statement: { kind: 'retract', body: { entry: 'k/99', why: 'x' } },
      kind: 'unknown-entry',
      says: 'k/99',
    },
    {
      why: 'the entry is of another case',
      statement: { kind: 'retract', body: { entry: 'j/2', why: 'x' } },
      kind: 'unknown-entry',
      says: 'j/2',
    },
    {
      why: 'a beginning stays',
      statement: { kind: 'retract', body: { entry: 'k/0', why: 'x' } },
      kind: 'not-retractable',
      says: 'created',
    },
    {
      why: 'a retraction stays',
      statement: { kind: 'retract', body: { entry: 'k/9', why: 'x' } },
      kind: 'not-retractable',
      says: 'retract',
    },
    {
      why: 'the bone is not enclosed',
      statement: { kind: 'bone', body: { role: 'femur', blob: '0'.repeat(64), fileName: 'f.ply' } },
      kind: 'blob-missing',
      says: 'femur',
    },
    {
      why: 'the kit is not enclosed',
      statement: { kind: 'kit', body: { name: 'x', version: '1', blob: '0'.repeat(64) } },
      kind: 'blob-missing',
      says: 'kit x',
    },
    {
      why: 'a spread is in its unit',
      statement: spread('canal-core/collar', 0.2, 'mm'),
      kind: 'wrong-unit',
      says: 'deg',
    },
    {
      why: 'nothing has that spread',
      statement: spread('canal-core/colar', 0.2, 'deg'),
      kind: 'unknown-name',
      says: 'colar',
    },
    {
      why: 'nothing is believed of it',
      statement: belief(['colar'], ['mm'], [1], [1]),
      kind: 'unknown-name',
      says: 'colar',
    },
    {
      why: 'a belief has a mean for each name',
      statement: belief(['ankleOffset'], ['mm'], [1, 2], [1]),
      kind: 'belief-shape',
      says: '2',
    },
  ] as const)('because $why is refused as $kind', ({ statement, kind, says }) => {
    const checked = check(statement as Statement);
    expect(checked).toMatchObject({ ok: false, error: { kind } });
    if (!checked.ok) expect(checked.error.message).toContain(says);
  });

  /** Source: trade notes 0.4 and hazard 7, a unit on every stored value; style 6, NaN and nonsense fail at the edge. */
  it.each([
    { why: 'a length is stated in degrees', statement: belief(['ankleOffset'], ['deg'], [3], [1]) },
    { why: 'an angle is stated in millimetres', statement: belief(['tibialLineTurn'], ['mm'], [3], [1]) },
    {
      why: 'one unit stands for two names',
      statement: belief(['ankleOffset', 'tibialLineTurn'], ['mm'], [3, 1], [1, 0, 0, 1]),
    },
    { why: 'the variance is negative', statement: belief(['ankleOffset'], ['mm'], [3], [-1]) },
    {
      why: 'the covariance is not the same both ways',
      statement: belief(['ankleOffset', 'wearPlateauMedial'], ['mm', 'mm'], [3, 1], [1, 0.5, 0, 1]),
    },
    { why: 'the spread of a length is stated in degrees', statement: spread('ankleOffset', 1, 'deg') },
    { why: 'the spread of an angle is stated in millimetres', statement: spread('tibialLineTurn', 1, 'mm') },
  ])('because $why is refused', ({ statement }) => {
    expect(check(statement).ok).toBe(false);
  });

  it('because the kit it brings has a fault is refused with the place of the fault', () => {
    const bytes = new TextEncoder().encode(kitText.replace('"toward": "medial"', '"toward": "left"'));
    const blob = sha256Of(bytes);
    const checked = checkStatement(file.ledger, new Map([...file.blobs, [blob, bytes]]), {
      kind: 'kit',
      body: { name: 'demo', version: '1', blob },
    });
    expect(checked).toMatchObject({ ok: false, error: { kind: 'kit-fault' } });
    if (!checked.ok) expect(checked.error.message).toMatch(/guides\[3\]\.links\[2\]\.toward: found "left"/);
  });

  it('because there is no kit yet to set is refused', () => {
    const bare = { ledger: ledgerOf('n', [begun, typed('LDFA', 88)]), blobs: new Map() };
    expect(check(setting('canal-core', 'collar', 7, 'deg'), bare)).toMatchObject({
      ok: false,
      error: { kind: 'no-kit' },
    });
  });
});

describe('a statement that can be added', () => {
  it.each([
    { statement: setting('canal-core', 'collar', 7, 'deg') },
    { statement: setting('shin-mast', 'ankleSlide', 14, 'mm', { sense: 'lateral' }) },
    {
      statement: {
        kind: 'setting',
        body: { guide: 'heel-frame', link: 'size', value: 63, unit: 'mm', keeps: 'front' },
      },
    },
    { statement: typed('MPTA', 86) },
    { statement: aim('restricted-kinematic', ['femurValgus', 3, 'deg', 'valgus'], ['tibiaVarus', 2, 'deg', 'varus']) },
    { statement: spread('kerf', 0, 'mm') },
    { statement: spread('canal-core/rod.coronal', 1, 'deg') },
    { statement: spread('ankleOffset', 0, 'mm') },
    { statement: belief(['ankleOffset', 'wearPlateauMedial'], ['mm', 'mm'], [3, 2], [1, 0.2, 0.2, 0.5]) },
    { statement: { kind: 'retract', body: { entry: 'k/2', why: 'misread' } } },
    { statement: { kind: 'kit', body: { name: 'demo', version: '1', blob: [...file.blobs.keys()][0]! } } },
  ])('$statement.kind $statement.body is taken', ({ statement }) => {
    expect(check(statement as Statement)).toEqual({ ok: true, value: true });
  });

  it('begins a case that has no entries', () => {
    expect(checkStatement({ case: 'z', entries: [] }, new Map(), begun)).toEqual({ ok: true, value: true });
  });
});
