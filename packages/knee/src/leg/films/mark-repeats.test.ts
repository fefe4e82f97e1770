import { randomStream } from '@kerfline/uncertainty';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Pixel } from './film.ts';
import { markPlace, markPlaces } from './mark-catalogue.ts';
import { type MarkRepeats, markRepeats, type RepeatedFilm } from './mark-repeats.ts';

type Marks = Readonly<Record<string, Pixel>>;
const marks = (at: Marks) => Object.entries(at).map(([name, pixel]) => ({ name, pixel }));

const film = (repeats: readonly Marks[], more: Partial<RepeatedFilm> = {}): RepeatedFilm => ({
  id: 'film 1',
  view: 'long-leg',
  spacing: { rowMm: 1, columnMm: 1 },
  repeats: repeats.map(marks),
  ...more,
});

function found(films: readonly RepeatedFilm[]): MarkRepeats {
  const result = markRepeats(films);
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
}
const kindsRefused = (films: readonly RepeatedFilm[]): readonly string[] => {
  const result = markRepeats(films);
  return result.ok ? [] : result.error.map((fault) => fault.kind);
};
const codes = ({ findings }: MarkRepeats): readonly string[] => findings.map((f) => f.code);

describe('the spread of repeated marks', () => {
  it('of pairs is the root of their squared differences over twice their number, by hand', () => {
    // Two places, 0.6 and 0.8 mm apart up and down, 2 and 4 mm sideways: sqrt((0.36 + 0.64) / 4), sqrt((4 + 16) / 4).
    const { kinds } = found([
      film([
        { plateauMedial: [100, 500], plateauLateral: [150, 500] },
        { plateauMedial: [102, 500.6], plateauLateral: [146, 499.2] },
      ]),
    ]);
    expect(kinds.contact!.acrossMm).toBeCloseTo(0.5, 12);
    expect(kinds.contact!.alongMm).toBeCloseTo(Math.sqrt(5), 12);
    expect(kinds.contact).toMatchObject({ pairs: 2, places: 2, used: false });
  });

  it('of three repeats counts two degrees of freedom', () => {
    // 1, 2, 3: squares about the mean are 2, on 2 degrees of freedom.
    const { kinds } = found([film([{ distalMedial: [5, 1] }, { distalMedial: [5, 2] }, { distalMedial: [5, 3] }])]);
    expect(kinds.contact!.acrossMm).toBeCloseTo(1, 12);
    expect(kinds.contact!.pairs).toBe(2);
  });

  it('is in millimetres of each way of a pixel', () => {
    const { kinds } = found([
      film([{ distalMedial: [0, 0] }, { distalMedial: [2, 2] }], { spacing: { rowMm: 0.1, columnMm: 0.3 } }),
    ]);
    expect(kinds.contact!.acrossMm).toBeCloseTo(0.1 * Math.SQRT2, 12);
    expect(kinds.contact!.alongMm).toBeCloseTo(0.3 * Math.SQRT2, 12);
  });

  it.each([
    { view: 'long-leg', name: 'distalMedial', loose: 'sideways', why: 'a lowest point slides sideways' },
    { view: 'knee-lateral', name: 'posteriorMedial', loose: 'up and down', why: 'a rearmost point slides up and down' },
    { view: 'knee-lateral', name: 'distalMedial', loose: 'sideways', why: 'a lowest point slides front to back' },
    { view: 'long-leg', name: 'femoralCanalHigh', loose: 'up and down', why: 'a canal has no ends' },
    { view: 'long-leg', name: 'malleolusMedial', loose: 'up and down', why: 'a side point slides up and down' },
    { view: 'long-leg', name: 'fibulaHead', loose: 'sideways', why: 'a top slides sideways' },
    {
      view: 'skyline',
      name: 'patellaEdgeMedial',
      loose: 'up and down',
      why: 'seen along the limb an edge slides front to back',
    },
    { view: 'skyline', name: 'patellaRear', loose: 'sideways', why: 'seen along the limb a ridge slides sideways' },
  ] as const)('$name on a $view film: $why', ({ view, name, loose }) => {
    const moved: Pixel = loose === 'sideways' ? [13, 10] : [10, 13];
    const { kinds } = found([film([{ [name]: [10, 10] }, { [name]: moved }], { view })]);
    const kind = kinds[markPlace(name)!.kind]!;
    expect(kind.acrossMm).toBe(0);
    expect(kind.alongMm).toBeCloseTo(3 / Math.SQRT2, 12);
  });

  it('turns with the bone where its axis is marked: on a bent side view a rearmost point slides along the shaft', () => {
    // The canal runs (3, -4) / 5 up the film; the mark moves 5 mm that way.
    const canal = { femoralCanalLow: [100, 100], femoralCanalHigh: [160, 20] } as const;
    const { kinds } = found([
      film(
        [
          { ...canal, posteriorMedial: [50, 90] },
          { ...canal, posteriorMedial: [53, 86] },
        ],
        { view: 'knee-lateral' },
      ),
    ]);
    expect(kinds.contact!.acrossMm).toBeCloseTo(0, 12);
    expect(kinds.contact!.alongMm).toBeCloseTo(5 / Math.SQRT2, 12);
  });

  it('follows a canal by its own marks though the limb has another axis', () => {
    const { kinds } = found([
      film([
        { hipCentre: [0, 0], femoralKneeCentre: [0, 400], femoralCanalHigh: [30, 100], femoralCanalLow: [6, 300] },
        {
          hipCentre: [0, 0.1],
          femoralKneeCentre: [0, 400],
          femoralCanalHigh: [30 - 2.4, 120],
          femoralCanalLow: [6, 300],
        },
      ]),
    ]);
    expect(kinds.canalMiddle!.acrossMm).toBeCloseTo(0, 9);
  });

  it('is the one that marks were drawn with: 0.3 mm across and 3 mm along from 200 films', () => {
    const random = randomStream(7, 'marks');
    const once = (): Marks => ({
      distalMedial: [100 + 3 * random.normal(), 500 + 0.3 * random.normal()],
      distalLateral: [150 + 3 * random.normal(), 500 + 0.3 * random.normal()],
    });
    const films = Array.from({ length: 200 }, (_, k) => film([once(), once()], { id: `film ${k}` }));
    const { contact } = found(films).kinds;
    // 400 pairs: one deviation of the spread is 1 / sqrt(800) of it, 3.5 %.
    expect(Math.abs(contact!.acrossMm / 0.3 - 1)).toBeLessThan(0.1);
    expect(Math.abs(contact!.alongMm / 3 - 1)).toBeLessThan(0.1);
    expect(contact).toMatchObject({ pairs: 400, places: 400, used: true });
  });
});

// Whole pixels, so that moving a film is exact.
const anyPixel = fc.tuple(fc.integer({ min: 0, max: 3000 }), fc.integer({ min: 0, max: 3000 }));
const longMarks = markPlaces.filter((p) => p.views.includes('long-leg')).map((p) => p.name);
const anyMarks = fc.record(Object.fromEntries(longMarks.map((name) => [name, anyPixel])));

describe('laws of repeated marks', () => {
  it('a film moved, or the repeats in another order, changes nothing', () => {
    fc.assert(
      fc.property(anyMarks, anyMarks, anyPixel, (a, b, by) => {
        fc.pre(JSON.stringify(a) !== JSON.stringify(b));
        const move = (at: Marks): Marks =>
          Object.fromEntries(Object.entries(at).map(([name, p]) => [name, [p[0] + by[0], p[1] + by[1]] as const]));
        const seen = found([film([a, b])]);
        for (const other of [found([film([move(a), move(b)])]), found([film([b, a])])]) {
          for (const [kind, { acrossMm, alongMm }] of Object.entries(seen.kinds)) {
            const spread = other.kinds[kind as keyof typeof seen.kinds]!;
            expect(spread.acrossMm).toBeCloseTo(acrossMm, 6);
            expect(spread.alongMm).toBeCloseTo(alongMm, 6);
          }
        }
      }),
      { numRuns: 50 },
    );
  });

  it('larger pixels scale every spread, and a film looked at from behind leaves it', () => {
    fc.assert(
      fc.property(anyMarks, anyMarks, fc.double({ min: 0.05, max: 5, noNaN: true }), (a, b, size) => {
        fc.pre(JSON.stringify(a) !== JSON.stringify(b));
        const seen = found([film([a, b])]);
        const scaled = found([film([a, b], { spacing: { rowMm: size, columnMm: size } })]);
        const turned = (at: Marks): Marks =>
          Object.fromEntries(Object.entries(at).map(([name, p]) => [name, [3000 - p[0], p[1]] as const]));
        const behind = found([film([turned(a), turned(b)])]);
        for (const [kind, { acrossMm }] of Object.entries(seen.kinds)) {
          expect(scaled.kinds[kind as keyof typeof seen.kinds]!.acrossMm).toBeCloseTo(acrossMm * size, 6);
          expect(behind.kinds[kind as keyof typeof seen.kinds]!.acrossMm).toBeCloseTo(acrossMm, 6);
        }
      }),
      { numRuns: 50 },
    );
  });
});

const six = ['distalMedial', 'distalLateral', 'plateauMedial', 'plateauLateral'];
const shifted = (by: (k: number) => Pixel): Marks =>
  Object.fromEntries(six.map((name, k) => [name, [100 * k + by(k)[0], 500 + by(k)[1]] as const]));
const twoFilms = (second: (k: number) => Pixel): readonly RepeatedFilm[] => [
  film([shifted(() => [0, 0]), shifted((k) => [k - 1.5, 0.2 * (k + 1)])]),
  film([shifted(() => [0, 0]), shifted(second)], { id: 'film 2' }),
];

describe('what is said of repeated marks', () => {
  it('fewer than 5 pairs of a kind are shown but not used', () => {
    const seen = found([film([shifted(() => [0, 0]), shifted((k) => [k - 1.5, 0.2 * (k + 1)])])]);
    expect(seen.kinds.contact).toMatchObject({ pairs: 4, used: false });
    expect(codes(seen)).toEqual(['few-pairs']);
    const more = found(twoFilms((k) => [1.5 - k, 0.2]));
    expect(more.kinds.contact).toMatchObject({ pairs: 8, used: true });
    expect(codes(more)).toEqual([]);
  });

  it('a mark set on another place is named with its film and distance, and still counted', () => {
    const seen = found(twoFilms((k) => (k === 2 ? [80, 0] : [1.5 - k, 0.2])));
    expect(codes(seen)).toEqual(['far-apart']);
    expect(seen.findings[0]!.message).toMatch(/^film 2: plateauMedial .* 80\.0 mm apart/);
    expect(seen.kinds.contact!.alongMm).toBeGreaterThan(10);
  });

  it('a spread of nothing one way is not used', () => {
    const films = [1, 2].map((n) => film([shifted(() => [0, 0]), shifted((k) => [k + n, 0])], { id: `film ${n}` }));
    const seen = found(films);
    expect(seen.kinds.contact).toMatchObject({ acrossMm: 0, pairs: 8, used: false });
    expect(codes(seen)).toContain('no-spread');
  });

  it('a place marked only once is passed over and named', () => {
    const seen = found([film([{ hipCentre: [1, 1], distalMedial: [3, 3] }, { hipCentre: [2, 3] }])]);
    expect(Object.keys(seen.kinds)).toEqual(['headCentre']);
    expect(seen.findings.at(-1)).toMatchObject({
      code: 'marked-once',
      message: expect.stringContaining('distalMedial'),
    });
  });
});

describe('repeats that cannot be used are refused', () => {
  const a: Marks = { hipCentre: [1, 1], distalMedial: [3, 3] };
  it('one marking, no film, nothing in common', () => {
    expect(kindsRefused([film([a])])).toEqual(['too-few-repeats']);
    expect(kindsRefused([])).toEqual(['too-few-repeats']);
    expect(kindsRefused([film([{ hipCentre: [1, 1] }, { distalMedial: [1, 1] }])])).toEqual(['too-few-repeats']);
  });

  it('the same file given twice', () => {
    expect(kindsRefused([film([a, a])])).toEqual(['same-marks']);
  });

  it('all faults at once: an unknown mark, one of another view, no number, no size of a pixel', () => {
    expect(
      kindsRefused([
        film([{ ...a, nose: [1, 1], trayFront: [2, 2] }, { hipCentre: [Number.NaN, 2] }], {
          spacing: { rowMm: 0, columnMm: 1 },
        }),
      ]),
    ).toEqual(['bad-spacing', 'unknown-mark', 'mark-of-another-view', 'bad-mark']);
  });

  it('a mark that is there twice in one marking', () => {
    const twice = film([a, { hipCentre: [5, 5] }]);
    expect(
      kindsRefused([{ ...twice, repeats: [[...twice.repeats[0]!, twice.repeats[0]![0]!], twice.repeats[1]!] }]),
    ).toEqual(['marked-twice']);
  });
});
