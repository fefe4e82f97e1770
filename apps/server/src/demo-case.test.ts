import { readFile } from 'node:fs/promises';
import { type CaseFile, checkStatement, kitFromBytes, type Ledger, readLedger, sha256Of } from '@kerfline/cases';
import { type Leg, quantity, quantityDefinition } from '@kerfline/knee';
import { beforeAll, describe, expect, it } from 'vitest';
import { demoCase, demoCaseId } from './demo-case.ts';
import { measuredCase } from './measured-case.ts';

let file: CaseFile;
let leg: Leg;
beforeAll(async () => {
  const bytes = new Uint8Array(await readFile(new URL('../../../kits/demo/kit.json', import.meta.url)));
  const kit = kitFromBytes(bytes);
  if (!kit.ok) throw new Error(kit.error.map((refusal) => refusal.message).join(' '));
  file = demoCase(bytes, kit.value, { at: '2026-03-02T08:30:00Z', by: 'tester' });
  const { answer } = measuredCase(file);
  if ('messages' in answer) throw new Error(answer.messages.join(' '));
  leg = answer.leg;
  expect(answer.hasBones).toBe(true);
});

describe('the demo case', () => {
  it('has a chain that verifies, under its own name', () => {
    expect(file.ledger.case).toBe(demoCaseId);
    expect(readLedger(file.ledger)).toEqual({ ok: true, value: file.ledger });
  });

  it('holds nothing that a person could not have entered: each statement stands the check of the server', () => {
    let so: Ledger = { case: demoCaseId, entries: [] };
    for (const entry of file.ledger.entries) {
      const { kind, body } = entry;
      expect(checkStatement(so, file.blobs, { kind, body } as Parameters<typeof checkStatement>[2])).toEqual({
        ok: true,
        value: true,
      });
      so = { ...so, entries: [...so.entries, entry] };
    }
  });

  it('encloses every file that it names and no other, each under the hash of what it holds', () => {
    const named = file.ledger.entries.flatMap((entry) =>
      entry.kind === 'bone' || entry.kind === 'kit' ? [entry.body.blob] : [],
    );
    expect(named).toHaveLength(5);
    expect([...file.blobs.keys()].sort()).toEqual([...named].sort());
    for (const [name, bytes] of file.blobs) expect(sha256Of(bytes)).toBe(name);
  });

  it('measures without a finding of level error, and every quantity of the bones is a number with a spread', () => {
    expect(leg.findings.filter((finding) => finding.severity === 'error')).toEqual([]);
    for (const name of ['LDFA', 'MPTA', 'HKA', 'JLCA', 'shaftMechanical', 'slope', 'femurLength', 'tibiaLength']) {
      const found = quantity(leg, quantityDefinition(name)!);
      expect(Number.isFinite(found.value), name).toBe(true);
      expect(found.sd, name).toBeGreaterThan(0);
    }
  });

  // What the virtual knee was built to (the numbers in demo-case.ts), within the marks of real bones: LDFA, HKA and
  // shaftMechanical 1 degree, MPTA and JLCA 1.5, sides of the femur's axis 3 mm.
  it.each([
    { name: 'LDFA', value: 88.4, within: 1 },
    { name: 'MPTA', value: 87.4, within: 1.5 },
    { name: 'JLCA', value: 2.5, within: 1.5 },
    { name: 'shaftMechanical', value: 5.6, within: 1 },
    { name: 'ankleOffset', value: 2.6, within: 3 },
  ])('is the knee it was made from: $name $value, give or take $within', ({ name, value, within }) => {
    expect(Math.abs(quantity(leg, quantityDefinition(name)!).value! - value)).toBeLessThan(within);
  });

  it('is a left leg in varus, by as much as bones and joint line add up to', () => {
    expect(leg.side).toBe('left');
    // By hand: 180 - (88.4 - 87.4) - 2.5 = 176.5.
    expect(Math.abs(quantity(leg, quantityDefinition('HKA')!).value! - 176.5)).toBeLessThan(1);
  });
});
