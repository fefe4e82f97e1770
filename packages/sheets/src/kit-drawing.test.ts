import { readFileSync } from 'node:fs';
import { checkKit, type Kit } from '@kerfline/knee';
import { describe, expect, it } from 'vitest';
import type { Drawing, Mark, PathMark, Point, TextMark } from './drawing.ts';
import { type KitSheet, kitSheets } from './kit-drawing.ts';

/** Small kit, made by hand for this test: every engraved number below is chosen here. */
const raw = {
  kit: 1,
  name: 'small',
  says: 'Small kit',
  version: '3',
  guides: [
    {
      id: 'mast',
      says: 'Mast',
      bone: 'tibia',
      mountsOn: 'bone',
      links: [
        { kind: 'frame', id: 'foot', says: 'Foot', at: 'malleolarMidpoint', sd: 0 },
        {
          kind: 'slide',
          id: 'across',
          on: 'foot',
          says: 'Across',
          toward: 'medial',
          range: [-21, 14],
          zero: 0,
          step: null,
          marks: { everyMm: 7, says: 'one' },
          sd: 1,
        },
        {
          kind: 'swing',
          id: 'turn',
          on: 'across',
          says: 'Turn',
          turn: 'external',
          range: [0, 6],
          zero: 0,
          step: 2,
          hand: 'printedPair',
          sd: 0.4,
        },
        {
          kind: 'ring',
          id: 'head',
          on: 'turn',
          says: 'Head',
          turn: 'posteriorSlope',
          values: [2, 4, 11],
          hand: 'flips',
          faces: { left: 'PORT', right: 'STAR' },
          sd: 0.2,
        },
        { kind: 'peg', id: 'row', on: 'head', says: 'Row', toward: 'distal', values: [-3, 0, 5], sd: 0.1 },
      ],
      outputs: [],
      prepare: { parts: [], order: [], openAtHandOver: [], closedAtHandOver: [] },
    },
  ],
  components: { femur: [{ size: 60 }] },
};
const kit = raw as unknown as Kit;
const demo = (): Kit => {
  const checked = checkKit(JSON.parse(readFileSync(new URL('../../../kits/demo/kit.json', import.meta.url), 'utf8')));
  if (!checked.ok) throw new Error('the demo kit is not sound');
  return checked.value;
};

/** Marks with the places they have on the page. */
const placed = (marks: readonly Mark[], [dx, dy]: Point = [0, 0]): readonly Mark[] =>
  marks.flatMap((mark): readonly Mark[] => {
    const at = ([x, y]: Point): Point => [x + dx, y + dy];
    if (mark.kind === 'group') return placed(mark.marks, at(mark.move));
    if (mark.kind === 'path') return [{ ...mark, points: mark.points.map(at) }];
    return mark.kind === 'text' || mark.kind === 'circle' ? [{ ...mark, at: at(mark.at) }] : [mark];
  });
const texts = (drawing: Drawing): readonly TextMark[] =>
  placed(drawing.marks).filter((m): m is TextMark => m.kind === 'text');
const words = (sheets: readonly KitSheet[]): readonly string[] =>
  sheets.flatMap((s) => texts(s.drawing).map((t) => t.text));
const paths = (drawing: Drawing): readonly PathMark[] =>
  placed(drawing.marks).filter((m): m is PathMark => m.kind === 'path');
const sheet = (side?: 'left' | 'right'): Drawing => kitSheets(kit, 'f'.repeat(64), side)[0]!.drawing;

/** Upright strokes of one ruler, between the heading of its part and the next. */
function strokes(drawing: Drawing, part: string): readonly number[] {
  const headings = texts(drawing).filter((t) => t.bold && t.size === 4.2 && t.at[0] === 15);
  const from = headings.find((t) => t.text === part)!.at[1];
  const to = Math.min(...headings.map((t) => t.at[1]).filter((y) => y > from));
  return paths(drawing)
    .filter((p) => p.tone === undefined && p.points.length === 2 && p.points.every(([, y]) => y > from && y < to))
    .filter((p) => p.points[0]![0] === p.points[1]![0])
    .map((p) => p.points[0]![0])
    .sort((a, b) => a - b);
}

describe('the drawing of a kit', () => {
  it('has the strokes of a slide at their true distances: marks of 7 mm and their halves, over 35 mm', () => {
    const at = strokes(sheet(), 'Across');
    // Closed form: from -21 to 14 in halves of 7 is 11 strokes, 3.5 mm apart.
    expect(at).toHaveLength(11);
    expect(at.at(-1)! - at[0]!).toBeCloseTo(35, 9);
    for (let k = 1; k < at.length; k += 1) expect(at[k]! - at[k - 1]!).toBeCloseTo(3.5, 9);
  });

  it('has the lines of a ring at its engraved angles', () => {
    const seen = paths(sheet())
      .filter((p) => p.points.length === 2 && p.tone === undefined && p.dash === undefined)
      .map((p) => {
        const [[x0, y0], [x1, y1]] = p.points as readonly [Point, Point];
        return { length: Math.hypot(x1 - x0, y1 - y0), deg: (Math.atan2(y0 - y1, x1 - x0) * 180) / Math.PI };
      })
      .filter((l) => Math.abs(l.length - 100) < 1e-6)
      .map((l) => Number(l.deg.toFixed(6)) + 0);
    for (const deg of [2, 4, 11]) expect(seen).toContain(deg);
    // Turn: both printed scales, one the mirror image of the other.
    for (const deg of [2, 4, 6]) expect(seen).toEqual(expect.arrayContaining([deg, -deg]));
  });

  it('has the holes of a row 3 and 5 mm from the row engraved 0', () => {
    const holes = placed(sheet().marks).flatMap((m) => (m.kind === 'circle' && m.radius === 1.5 ? [m.at[0]] : []));
    const [a, b, c] = holes.sort((x, y) => x - y);
    expect(holes).toHaveLength(3);
    expect(b! - a!).toBeCloseTo(3, 9);
    expect(c! - b!).toBeCloseTo(5, 9);
  });

  it('says what is engraved, what it is called, both faces, both scales, the kit, its version and its hash', () => {
    const all = words(kitSheets(kit, 'f'.repeat(64)));
    for (const word of ['Across', 'Turn', 'Head', 'Row', 'PORT', 'STAR', '2', '4', '11', '-3', '5'])
      expect(all).toContain(word);
    const joined = all.join('\n');
    for (const part of [
      'LEFT knee: face PORT up',
      'RIGHT knee: face STAR up',
      'scale marked LEFT',
      'scale marked RIGHT',
      'version 3',
      'f'.repeat(64),
      'EITHER KNEE',
      '\u2190 lateral | medial \u2192',
    ]) {
      expect(joined).toContain(part);
    }
  });

  it('of one side says that side, its face and its scale only, and how its directions look', () => {
    const left = words(kitSheets(kit, 'f', 'left')).join('\n');
    expect(left).toContain('LEFT KNEE');
    expect(left).toContain('face PORT up');
    expect(left).not.toContain('STAR');
    expect(left).not.toContain('scale marked RIGHT');
    // Frames: external carries the front toward lateral, clockwise on a left knee seen from the foot.
    expect(left).toContain('clockwise seen from the foot');
    expect(left).not.toContain('anticlockwise');
    expect(left).toContain('toward the other leg');
  });

  it('runs sideways slides the other way on the other side, as the reader faces the patient', () => {
    // Medial of a left leg is to the reader's left: the long end, 21 mm lateral, is to the right.
    const zeroOf = (side: 'left' | 'right'): readonly [number, number] => {
      const drawing = sheet(side);
      const at = strokes(drawing, 'Across');
      const zero = texts(drawing).find((t) => t.text === '0' && t.at[1] < 80)!.at[0];
      return [zero - at[0]!, at.at(-1)! - zero];
    };
    expect(zeroOf('left').map((v) => Math.round(v * 1e6) / 1e6)).toEqual([14, 21]);
    expect(zeroOf('right').map((v) => Math.round(v * 1e6) / 1e6)).toEqual([21, 14]);
  });

  it('has a check bar of 50 mm on each page, red nowhere, and every word on the paper', () => {
    for (const side of [undefined, 'left', 'right'] as const) {
      for (const { name, drawing } of kitSheets(demo(), '0'.repeat(64), side)) {
        const bar = paths(drawing).filter(
          (p) => p.points.length === 2 && Math.abs(Math.abs(p.points[1]![0] - p.points[0]![0]) - 50) < 1e-9,
        );
        expect(bar.length, name).toBeGreaterThan(0);
        expect(
          paths(drawing).some((p) => p.tone === 'set' || p.fill === 'set'),
          name,
        ).toBe(false);
        for (const t of texts(drawing)) {
          const width = t.text.length * t.size * 0.5;
          const from = t.anchor === 'end' ? t.at[0] - width : t.anchor === 'middle' ? t.at[0] - width / 2 : t.at[0];
          expect(from, `${name}: ${t.text}`).toBeGreaterThan(5);
          expect(from + width, `${name}: ${t.text}`).toBeLessThan(205);
          expect(t.at[1], `${name}: ${t.text}`).toBeLessThan(292);
        }
      }
    }
  });

  it('has a page for every guide of the demo kit, with the numerals of its rings', () => {
    const sheets = kitSheets(demo(), '0'.repeat(64));
    for (const guide of demo().guides) {
      const own = sheets.filter((s) => s.name === guide.id || s.name.startsWith(`${guide.id}-`));
      expect(own.length, guide.id).toBeGreaterThan(0);
      for (const link of guide.links) {
        if (link.kind === 'ring') for (const value of link.values) expect(words(own)).toContain(String(value));
      }
    }
  });
});
