import { filmViews, marksOfView } from '@kerfline/knee';
import { describe, expect, it } from 'vitest';
import { markGlyph } from './mark-glyph.ts';

/** The middle of the cross: the mean of the ends of its four arms, which are drawn last. */
function crossAt(drawing: NonNullable<ReturnType<typeof markGlyph>>): readonly [number, number] {
  const arms = drawing.marks.slice(-4).flatMap((mark) => (mark.kind === 'path' ? mark.points : []));
  const mean = (k: 0 | 1): number => arms.reduce((sum, p) => sum + p[k], 0) / arms.length;
  return [mean(0), mean(1)];
}

describe('the drawing of where a mark lies', () => {
  it.each(filmViews)('exists for every mark of a %s film, with the cross inside', (view) => {
    for (const { name } of marksOfView(view)) {
      for (const side of ['left', 'right'] as const) {
        const drawing = markGlyph(name, view, side, 'unplaced');
        expect(drawing, name).toBeDefined();
        const [x, y] = crossAt(drawing!);
        const [left, top, width, height] = drawing!.box;
        expect(x).toBeGreaterThan(left);
        expect(x).toBeLessThan(left + width);
        expect(y).toBeGreaterThan(top);
        expect(y).toBeLessThan(top + height);
      }
    }
  });

  it("shows what is medial towards the other leg: of a left leg, which is at the reader's right, at the left", () => {
    const x = (name: string, side: 'left' | 'right'): number =>
      crossAt(markGlyph(name, 'long-leg', side, 'unplaced')!)[0];
    expect(x('distalMedial', 'left')).toBeLessThan(x('distalLateral', 'left'));
    expect(x('distalMedial', 'right')).toBeGreaterThan(x('distalLateral', 'right'));
  });

  it('has red for nothing but the mark that is suggested next', () => {
    const tones = (state: 'unplaced' | 'placed' | 'next'): readonly unknown[] =>
      markGlyph('hipCentre', 'long-leg', 'left', state)!.marks.map((mark) => ('tone' in mark ? mark.tone : undefined));
    expect(tones('unplaced')).not.toContain('set');
    expect(tones('placed')).not.toContain('set');
    expect(tones('next').filter((tone) => tone === 'set')).toHaveLength(4);
  });

  it('is not made up for a mark that a view does not have', () => {
    expect(markGlyph('hipCentre', 'skyline', 'left', 'unplaced')).toBeUndefined();
  });
});
