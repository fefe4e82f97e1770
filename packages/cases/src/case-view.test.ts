import { describe, expect, it } from 'vitest';
import { begun, ledgerOf, typed } from './case.fixture.ts';
import { replay } from './case-view.ts';
import type { Statement } from './entry.ts';

const readBack = (link: string, value: number): Statement => ({
  kind: 'readBack',
  body: { guide: 'canal-core', link, value, unit: 'deg' },
});
const retract = (entry: string): Statement => ({ kind: 'retract', body: { entry, why: 'misread' } });
const view = (...statements: readonly Statement[]) => replay(ledgerOf('c', [begun, ...statements]));

describe('replay', () => {
  it('has the side and label of the beginning, and counts every entry', () => {
    expect(view(typed('LDFA', 88), retract('c/1'))).toMatchObject({
      case: 'c',
      side: 'left',
      label: 'invented',
      revision: 3,
    });
  });

  it('keeps the last statement of each name, and of each link', () => {
    const found = view(
      typed('LDFA', 88),
      typed('MPTA', 87),
      typed('LDFA', 89),
      readBack('collar', 7),
      readBack('collar', 8),
    );
    expect(found.stated.map((s) => [s.name, s.value])).toEqual([
      ['LDFA', 89],
      ['MPTA', 87],
    ]);
    expect(found.readBacks.map((s) => s.value)).toEqual([8]);
  });

  it('of a retracted entry is as if it had not been said, and the one before it stands again', () => {
    const found = view(typed('LDFA', 88), typed('LDFA', 98), readBack('collar', 8), retract('c/2'), retract('c/3'));
    expect(found.stated.map((s) => s.value)).toEqual([88]);
    expect(found.readBacks).toEqual([]);
    expect(found.revision).toBe(6);
  });

  it('of an aim that is retracted has none left, and of two has the first again', () => {
    const aim = (philosophy: string): Statement => ({ kind: 'aim', body: { philosophy } });
    expect(view(aim('kinematic'), retract('c/1')).aim).toBeUndefined();
    expect(view(aim('kinematic'), aim('mechanical'), retract('c/2')).aim).toEqual({
      philosophy: 'kinematic',
      wanted: [],
    });
  });

  it('of a retraction that names no entry of the case changes nothing', () => {
    expect(view(typed('LDFA', 88), retract('d/1')).stated).toHaveLength(1);
  });

  it('keeps every belief, and the last spread of each name', () => {
    const spread = (sd: number): Statement => ({ kind: 'spread', body: { name: 'kerf', sd, unit: 'mm' } });
    const belief: Statement = {
      kind: 'belief',
      body: { names: ['ankleOffset'], units: ['mm'], mean: [2], covariance: [1] },
    };
    const found = view(spread(0.1), belief, spread(0), belief);
    expect(found.spreads.map((s) => s.sd)).toEqual([0]);
    expect(found.beliefs).toHaveLength(2);
  });

  it('is the same again from the same entries', () => {
    const ledger = ledgerOf('c', [begun, typed('LDFA', 88), readBack('collar', 8), retract('c/2')]);
    expect(replay(JSON.parse(JSON.stringify(ledger)))).toEqual(replay(ledger));
  });
});
