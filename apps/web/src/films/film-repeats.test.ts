import type { CaseFilm, CaseView, FilmFacts } from '@kerfline/cases';
import { describe, expect, it } from 'vitest';
import { caseRepeats, ownSpreads } from './film-repeats.ts';

const spacing = { rowMm: 0.5, columnMm: 0.5 };
const facts: FilmFacts = {
  kind: 'dicom',
  columns: 1000,
  rows: 2000,
  length: { state: 'FIDUCIAL', spacing, description: 'a ball', findings: [] },
  aspect: spacing,
  sideTag: 'left',
  stitched: false,
  findings: [],
};
type Marks = readonly { readonly name: string; readonly pixel: [number, number] }[];

/** Joint line at `degrees` to the level, hip straight above the middle of the knee. */
const marksAt = (degrees: number): Marks => {
  const rise = 100 * Math.tan((degrees * Math.PI) / 180);
  return [
    { name: 'hipCentre', pixel: [500, 100] },
    { name: 'femoralKneeCentre', pixel: [500, 1000] },
    { name: 'distalMedial', pixel: [400, 1050 - rise] },
    { name: 'distalLateral', pixel: [600, 1050 + rise] },
  ];
};

const film = (remarks: readonly Marks[], confirmed = true): CaseFilm => ({
  id: 'a/3',
  blob: '0'.repeat(64),
  fileName: 'f.dcm',
  view: 'long-leg',
  side: 'left',
  posture: 'standing',
  letter: 'L',
  mirrored: false,
  removed: 0,
  marks: marksAt(0).map((mark) => ({ ...mark, by: 'hand' as const, entries: [] })),
  calibration: confirmed
    ? { entry: 'a/9', by: 'x', at: '2026-01-01T00:00:00Z', body: { film: 'a/3', kind: 'confirmed' } }
    : undefined,
  remarks: remarks.map((marks, k) => ({ film: 'a/3', session: k + 2, marks: [...marks] })),
});
const view = (one: CaseFilm): CaseView => ({ films: [one] }) as unknown as CaseView;
const known = new Map([['0'.repeat(64), facts]]);

describe('films that were marked again', () => {
  it('tell nothing until one was', () => {
    expect(caseRepeats(view(film([])), known)).toBeUndefined();
  });

  it('tell the standard error of an angle: two readings 2 degrees apart have one of 2 / sqrt(2)', () => {
    const told = caseRepeats(view(film([marksAt(2)])), known);
    const ldfa = told?.ok ? told.value.quantities.find((q) => q.name === 'LDFA') : undefined;
    // By hand: sd within a pair is the difference over the root of 2.
    expect(ldfa?.repeatability.sem).toBeCloseTo(Math.SQRT2, 9);
    expect(ldfa?.agreement).toBeUndefined();
  });

  it("are no ground for spreads of one's own from fewer pairs than are asked for", () => {
    const told = caseRepeats(view(film([marksAt(2)])), known);
    if (!told?.ok) throw new Error('nothing told');
    expect(told.value.marks.kinds.contact?.pairs).toBe(2);
    expect(ownSpreads(told.value.marks, 'x')).toBeUndefined();
  });

  it('marked six times give spreads of contacts in millimetres, by hand: half a millimetre for each pixel', () => {
    const turns = [1, -1, 2, -2, 1.5];
    const told = caseRepeats(view(film(turns.map((d) => marksAt(d)))), known);
    if (!told?.ok) throw new Error('nothing told');
    const own = ownSpreads(told.value.marks, 'x');
    // Heights of one place: 0, then that of each turn, half a millimetre in a pixel.
    const heights = [0, ...turns.map((d) => 100 * Math.tan((d * Math.PI) / 180) * 0.5)];
    const mean = heights.reduce((sum, h) => sum + h, 0) / 6;
    const sd = Math.sqrt(heights.reduce((sum, h) => sum + (h - mean) ** 2, 0) / 5);
    expect(told.value.marks.kinds.contact?.acrossMm).toBeCloseTo(sd, 6);
    // They did not move along the joint at all: a spread of nothing is not used.
    expect(own).toBeUndefined();
  });

  it('that know no millimetres tell of angles only, and how many they are', () => {
    const told = caseRepeats(
      view(film([marksAt(2)], false)),
      new Map([['0'.repeat(64), { ...facts, length: { ...facts.length, state: 'UNKNOWN', spacing: null } }]]),
    );
    if (!told?.ok) throw new Error('nothing told');
    expect(told.value.without).toBe(1);
    expect(told.value.marks.kinds).toEqual({});
    expect(told.value.quantities.map((q) => q.name)).toContain('LDFA');
  });
});
