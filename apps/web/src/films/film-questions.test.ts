import { describe, expect, it } from 'vitest';
import { likelyView, sideConflict } from './film-questions.ts';

const length = { state: 'UNKNOWN', spacing: null, description: null, findings: [] } as const;

describe('what a dropped film is probably', () => {
  it('is a long leg by its height in millimetres, or by its shape where there are none', () => {
    const spacing = { rowMm: 0.14, columnMm: 0.14 };
    expect(likelyView({ columns: 3000, rows: 5000, length: { ...length, state: 'DETECTOR', spacing } })?.view).toBe(
      'long-leg',
    );
    expect(likelyView({ columns: 1000, rows: 3000, length })?.view).toBe('long-leg');
  });

  it('is not guessed where size and shape fit several', () => {
    expect(likelyView({ columns: 2000, rows: 2400, length })).toBeUndefined();
  });
});

describe('which side a film is of', () => {
  const nothing = { sideTag: 'none' } as const;
  it.each(['left', 'right'] as const)('is held against a %s case by the tag of the file and by the letter', (side) => {
    const other = side === 'left' ? 'right' : 'left';
    const [own, foreign] = side === 'left' ? (['L', 'R'] as const) : (['R', 'L'] as const);
    expect(sideConflict(side, { sideTag: other }, { letter: own, mirrored: false })).toMatch(other.toUpperCase());
    expect(sideConflict(side, nothing, { letter: foreign, mirrored: false })).toMatch(`letter ${foreign}`);
    expect(sideConflict(side, { sideTag: side }, { letter: own, mirrored: false })).toBeUndefined();
    expect(sideConflict(side, { sideTag: 'both' }, { letter: 'none', mirrored: false })).toBeUndefined();
  });
});
