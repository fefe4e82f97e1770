import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { caseWith, typed } from './case.fixture.ts';
import { blobsNamed, caseFileText, readCaseFile } from './case-file.ts';

const kitText = readFileSync(new URL('../../../kits/demo/kit.json', import.meta.url), 'utf8');
const file = caseWith(kitText, 'f1', [{ kind: 'retract', body: { entry: 'f1/2', why: 'déjà vu € 😀' } }]);
const text = caseFileText(file);
interface Raw {
  kerf: number;
  case: string;
  entries: { schema: number }[];
  blobs: Record<string, string>;
}
const raw = (): Raw => JSON.parse(text);
const read = (value: unknown) => readCaseFile(JSON.stringify(value));
const only = (found: ReturnType<typeof readCaseFile>) => {
  if (found.ok) throw new Error('the file was read');
  return found.error;
};

describe('a case file', () => {
  it('reads back as what was written, and writes the same text again', () => {
    const back = readCaseFile(text);
    expect(back).toEqual({ ok: true, value: file });
    if (back.ok) expect(caseFileText(back.value)).toBe(text);
  });

  it('holds any bytes and any words', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ maxLength: 100 }),
        fc.string({ minLength: 1, maxLength: 40, unit: 'grapheme' }),
        (bytes, why) => {
          const own = caseWith(new TextDecoder('latin1').decode(bytes), 'f2', [
            { kind: 'retract', body: { entry: 'f2/2', why } },
          ]);
          expect(readCaseFile(caseFileText(own))).toEqual({ ok: true, value: own });
        },
      ),
    );
  });

  it('has one entry to a line', () => {
    expect(text.split('\n').filter((line) => line.startsWith('{"at":'))).toHaveLength(file.ledger.entries.length);
  });

  it('encloses what its entries name', () => {
    expect(blobsNamed(file.ledger)).toEqual([...file.blobs.keys()]);
  });

  it('of a newer version is refused with both versions', () => {
    const error = only(read({ ...raw(), kerf: 2 }));
    expect(error.kind).toBe('newer-file');
    expect(error.message).toMatch(/version 2.*up to 1/);
  });

  it('with an entry of a newer version is refused with both versions', () => {
    const newer = raw();
    newer.entries[3]!.schema = 2;
    const error = only(read(newer));
    expect(error.kind).toBe('newer-schema');
    expect(error.message).toMatch(/version 2.*up to 1/);
  });

  it('with a blob whose bytes were changed is refused, naming it', () => {
    const changed = raw();
    const [name, coded] = Object.entries(changed.blobs)[0]!;
    for (const other of [
      (coded[10] === 'A' ? 'B' : 'A') + coded.slice(1),
      coded.slice(4),
      `${coded}AAAA`,
      `!${coded.slice(1)}`,
      '',
    ]) {
      if (other === coded) continue;
      const error = only(read({ ...changed, blobs: { [name]: other } }));
      expect(error.kind).toBe('blob-changed');
      expect(error.message).toContain(name.slice(0, 12));
    }
  });

  it('with a blob that is missing, or under another name, is refused, naming it', () => {
    const [name, coded] = Object.entries(raw().blobs)[0]!;
    const missing = only(read({ ...raw(), blobs: {} }));
    expect(missing.kind).toBe('blob-missing');
    expect(missing.message).toContain(name.slice(0, 12));
    const other = `${name.startsWith('0') ? '1' : '0'}${name.slice(1)}`;
    expect(only(read({ ...raw(), blobs: { [other]: coded } })).kind).toBe('blob-changed');
  });

  it('with any line of an entry touched is refused as changed, naming the entry', () => {
    const touched = raw() as unknown as { entries: { body: { value: number } }[] };
    touched.entries[2]!.body.value = 89;
    const error = only(read(touched));
    expect(error.kind).toBe('tampered');
    expect(error.message).toContain('entry 2');
  });

  it.each([
    '',
    'x',
    'null',
    '[]',
    '{}',
    '{"kerf":1}',
    '{"kerf":0,"case":"a","entries":[],"blobs":{}}',
    '{"kerf":1,"case":"a","entries":[],"blobs":{},"x":1}',
  ])('%j is none', (other) => {
    expect(readCaseFile(other)).toMatchObject({ ok: false, error: { kind: 'not-a-case' } });
  });

  it('cut short anywhere is refused, never read in part', () => {
    for (let end = 0; end < text.length - 1; end += 97) expect(readCaseFile(text.slice(0, end)).ok).toBe(false);
  });

  it('of another case is refused', () => {
    expect(only(read({ ...raw(), case: 'other' })).kind).toBe('tampered');
  });

  it('replayed from its text works out the same numbers, bit for bit', async () => {
    const { replay } = await import('./case-view.ts');
    const { workCase } = await import('./worked-case.ts');
    const own = caseWith(kitText, 'f3', [typed('cortexDepth', 61, 'mm', 1)]);
    const back = readCaseFile(caseFileText(own));
    if (!back.ok) throw new Error(back.error.message);
    const [a, b] = [workCase(replay(own.ledger), own.blobs), workCase(replay(back.value.ledger), back.value.blobs)];
    if (!a.ok || !b.ok) throw new Error('the case cannot be worked');
    expect(JSON.stringify(b.value.plan.settings)).toBe(JSON.stringify(a.value.plan.settings));
    expect(JSON.stringify(b.value.proof)).toBe(JSON.stringify(a.value.proof));
  });
});
