import { describe, expect, it } from 'vitest';
import { checkBar } from './check-bar.ts';
import { box, type Drawing, line, text } from './drawing.ts';
import { toSvg } from './to-svg.ts';

const drawing = (more: Partial<Drawing>): Drawing => ({ label: 'a drawing', box: [0, 0, 40, 10], marks: [], ...more });

describe('a drawing as SVG', () => {
  it('has its true size: 1 mm of drawing is 1 mm of paper', () => {
    const svg = toSvg(drawing({ box: [-2.5, 1, 96.25, 30] }), 'a');
    expect(svg).toContain('viewBox="-2.5 1 96.25 30"');
    expect(svg).toContain('width="96.25mm" height="30mm"');
  });

  it('says what it is to those who cannot see it', () => {
    expect(toSvg(drawing({ label: 'set 2 marks' }), 'a')).toContain('role="img" aria-label="set 2 marks"');
  });

  it('lets no words act as markup, in marks or in the label', () => {
    const words = '<script>"x" & y</script>';
    const svg = toSvg(drawing({ label: words, marks: [text([0, 0], words, 3, 'metal')] }), 'a');
    expect(svg).not.toContain('<script');
    expect(svg).toContain('&lt;script&gt;&quot;x&quot; &amp; y&lt;/script&gt;');
  });

  it('keeps names apart that stand on one page', () => {
    const smudge = { kind: 'smudge', centre: 5, sd: 1, top: 0, height: 2, clip: [0, 10] } as const;
    const names = (id: string): readonly string[] =>
      [...toSvg(drawing({ marks: [smudge, smudge] }), id).matchAll(/ id="([^"]+)"/g)].map(([, name]) => name!);
    const both = [...names('a'), ...names('b')];
    expect(new Set(both).size).toBe(both.length);
  });

  it('draws a spread to three deviations, and not beyond its ends', () => {
    const rect = (clip: readonly [number, number]): string | undefined =>
      /<rect [^>]*>/.exec(
        toSvg(drawing({ marks: [{ kind: 'smudge', centre: 10, sd: 2, top: 0, height: 2, clip }] }), 'a'),
      )?.[0];
    expect(rect([0, 40])).toContain('x="4" y="0" width="12"');
    expect(rect([8, 11])).toContain('x="8" y="0" width="3"');
    expect(rect([30, 40])).toBeUndefined();
  });

  it('shows M in a square and L in a round, never the other way', () => {
    const letter = (which: 'M' | 'L'): string =>
      toSvg(drawing({ marks: [{ kind: 'letter', letter: which, at: [5, 5], size: 4 }] }), 'a').split('</defs>')[1]!;
    expect(letter('M')).toMatch(/<rect.*>M<\/text>/);
    expect(letter('M')).not.toContain('<circle');
    expect(letter('L')).toMatch(/<circle.*>L<\/text>/);
    expect(letter('L')).not.toContain('<rect');
  });

  it('passes a smooth line through its points', () => {
    const points = [
      [0, 0],
      [5, 3],
      [9, 1],
    ] as const;
    const [, drawn] = toSvg(drawing({ marks: [line(points, { smooth: true })] }), 'a').split('</defs>');
    const path = /d="(M[^"]+)"/.exec(drawn!)![1]!;
    const ends = [...path.matchAll(/(-?[\d.]+) (-?[\d.]+)(?=C|$)/g)].map(([, x, y]) => [Number(x), Number(y)]);
    expect(ends).toEqual(points.map((p) => [...p]));
  });

  it('closes a box at its four corners', () => {
    expect(toSvg(drawing({ marks: [box(1, 2, 3, 4, { weight: 'outline' })] }), 'a')).toContain('M1 2L4 2L4 6L1 6Z');
  });
});

describe('the bar that checks a print', () => {
  it('is 50 mm long, between its end strokes', () => {
    const bar = checkBar(50, '50 mm: lay a ruler here');
    const xs = bar.marks.flatMap((mark) => (mark.kind === 'path' ? mark.points.map(([x]) => x) : []));
    expect(Math.max(...xs) - Math.min(...xs)).toBe(50);
    expect(bar.marks.some((mark) => mark.kind === 'text' && mark.text.includes('50 mm'))).toBe(true);
  });
});
