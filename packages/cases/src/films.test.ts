import { expectOk } from '@kerfline/geometry';
import { type WritableFilm, writtenFilm } from '@kerfline/imaging';
import { markPlaces, quantity, quantityDefinition } from '@kerfline/knee';
import { describe, expect, it } from 'vitest';
import { begun, ledgerOf, stamp, typed } from './case.fixture.ts';
import { type Blobs, blobsNamed, caseFileText, readCaseFile } from './case-file.ts';
import { type CaseLeg, caseLeg, filmLeg, legKey } from './case-leg.ts';
import { type CaseView, replay } from './case-view.ts';
import { checkStatement } from './check-statement.ts';
import { readStatement, type Statement } from './entry.ts';
import { ctSlice, filmFile, marksAt, marksByHand, pngHeader } from './film.fixture.ts';
import { factsOfFilms, filmFacts } from './film-facts.ts';
import { filmFindings, filmReadings } from './film-readings.ts';
import { appended, type Ledger } from './ledger.ts';
import { filmSalt, filmStatement, takenFilm } from './taken-film.ts';

const begin = ledgerOf('c', [begun]);
const salt = filmSalt(begin);
const shown = { view: 'long-leg', side: 'left', posture: 'standing', letter: 'none', mirrored: false } as const;

interface Growing {
  readonly ledger: Ledger;
  readonly blobs: Blobs;
}
const empty: Growing = { ledger: begin, blobs: new Map() };

/** A case with a film more, taken in as from outside. */
function withFilm(bytes: Uint8Array, said: object = {}, name = 'long.dcm', so: Growing = empty): Growing {
  const film = expectOk(takenFilm(bytes, name, salt), 'film');
  const statement = filmStatement(film, { ...shown, ...said });
  const blobs = new Map([...so.blobs, [film.blob, film.bytes]]);
  expectOk(checkStatement(so.ledger, blobs, statement), 'statement');
  return { ledger: appended(so.ledger, statement, stamp), blobs };
}
const and = (so: Growing, ...statements: readonly Statement[]): Growing => ({
  ...so,
  ledger: statements.reduce((ledger, statement) => {
    expectOk(checkStatement(ledger, so.blobs, statement), 'statement');
    return appended(ledger, statement, stamp);
  }, so.ledger),
});
const mark = (name: string, pixel: readonly [number, number], more: object = {}, film = 'c/1'): Statement =>
  ({ kind: 'mark', body: { film, name, pixel, by: 'hand', ...more } }) as Statement;
const marked = (so: Growing, marks = marksByHand, film = 'c/1'): Growing =>
  and(so, ...marks.map(({ name, pixel }) => mark(name, pixel, {}, film)));
const viewOf = (so: Growing): CaseView => replay(so.ledger);
const legOf = (so: Growing): CaseLeg => expectOk(caseLeg(viewOf(so), so.blobs), 'leg');
const numberIn = ({ leg }: CaseLeg, name: string): number => quantity(leg, quantityDefinition(name)!).value!;
const refusedOf = (so: Growing, statement: Statement): { kind: string; message: string } => {
  const checked = checkStatement(so.ledger, so.blobs, statement);
  if (checked.ok) throw new Error('it was taken');
  return checked.error;
};
const one = withFilm(filmFile());

describe('a film that is taken into a case', () => {
  it('is kept without its patient: neither name nor identifier is in the case file', () => {
    const text = caseFileText(one);
    const [kept] = [...one.blobs.values()];
    for (const secret of ['INVENTED', 'K 0081', '20200101']) {
      expect(new TextDecoder('latin1').decode(filmFile())).toContain(secret);
      expect(new TextDecoder('latin1').decode(kept)).not.toContain(secret);
    }
    expect(viewOf(one).films[0]!.removed).toBeGreaterThan(3);
    expect(expectOk(readCaseFile(text), 'case')).toEqual(one);
    expect(blobsNamed(one.ledger)).toEqual([...one.blobs.keys()]);
  });

  it.each([
    { why: 'it is said to be of the other side', film: filmFile(), said: { side: 'right' }, says: /RIGHT.*LEFT/ },
    { why: 'its file names the other side', film: filmFile({ side: 'right' }), said: {}, says: /file.*RIGHT.*LEFT/ },
    { why: 'its letter is that of the other side', film: filmFile(), said: { letter: 'R' }, says: /letter.*R.*LEFT/ },
  ])('is refused when $why', ({ film, said, says }) => {
    const taken = expectOk(takenFilm(film, 'x.dcm', salt), 'film');
    const blobs = new Map([[taken.blob, taken.bytes]]);
    const refused = refusedOf({ ...empty, blobs }, filmStatement(taken, { ...shown, ...said } as typeof shown));
    expect(refused).toMatchObject({ kind: 'other-side', message: expect.stringMatching(says) });
  });

  it('is taken when its letter is that of the side, or its file shows both sides', () => {
    expect(viewOf(withFilm(filmFile(), { letter: 'L' })).films).toHaveLength(1);
    expect(viewOf(withFilm(filmFile({ side: 'both' }))).films).toHaveLength(1);
  });

  it('is refused when another film is of another patient, and taken when of the same', () => {
    const again = { instanceUid: '2.25.9', rows: 900 };
    const same = withFilm(filmFile(again), { view: 'knee-lateral' }, 'side.dcm', one);
    expect(viewOf(same).films).toHaveLength(2);
    const other = expectOk(
      takenFilm(filmFile({ ...again, patientId: 'K 0082', patientName: 'INVENTED^OTHER' }), 'other.dcm', salt),
      'film',
    );
    const blobs = new Map([...one.blobs, [other.blob, other.bytes]]);
    const refused = refusedOf({ ...one, blobs }, filmStatement(other, shown));
    expect(refused.kind).toBe('other-patient');
    expect(refused.message).toMatch(/other\.dcm is of another patient than long\.dcm/);
  });

  it('is refused a second time, and when its file is not enclosed', () => {
    const again = viewOf(one).films[0]!;
    const { id: _, marks: _m, calibration: _c, remarks: _r, ...body } = again;
    expect(refusedOf(one, { kind: 'film', body }).kind).toBe('film-twice');
    expect(refusedOf({ ...one, blobs: new Map() }, { kind: 'film', body }).kind).toBe('blob-missing');
  });

  it('is looked at by its file when it is a picture, and says that nothing in it can be checked', () => {
    const film = expectOk(takenFilm(pngHeader(400, 900), 'film.png', salt), 'film');
    expect(film).toMatchObject({ removed: [], facts: { kind: 'picture', columns: 400, rows: 900, sideTag: 'none' } });
    expect(film.facts.length).toMatchObject({ state: 'UNKNOWN', spacing: null });
    expect(film.facts.findings.map((f) => f.code)).toEqual(['picture-file']);
    expect(film.facts.findings[0]!.message).toMatch(/photograph/);
  });

  it.each([
    { what: 'a file cut short', bytes: filmFile().subarray(0, 700_000), says: /ends early/ },
    { what: 'a file cut in its header', bytes: filmFile().subarray(0, 300), says: /x\.dcm/ },
    { what: 'a slice of a CT series', bytes: ctSlice(), says: /no film/ },
    { what: 'nothing', bytes: new Uint8Array(), says: /empty/ },
    { what: 'text', bytes: new TextEncoder().encode('a film of a knee'.repeat(50)), says: /neither a DICOM file/ },
    { what: 'a picture cut short', bytes: pngHeader(4, 4).subarray(0, 20), says: /cut short/ },
    { what: 'a spacing of 0', bytes: filmFile({ spacing: { rowMm: 0, columnMm: 0 } }), says: /Pixel Spacing.*"0\\0"/ },
    { what: 'a spacing below 0', bytes: filmFile({ spacing: { rowMm: -1, columnMm: 1 } }), says: /Pixel Spacing/ },
  ])('is none when it is $what, with what was found', ({ bytes, says }) => {
    const found = takenFilm(bytes, 'x.dcm', salt);
    expect(found).toMatchObject({ ok: false, error: { kind: 'bad-film', message: expect.stringMatching(says) } });
  });
});

describe('a film that is found to be turned over', () => {
  it('is so from then on, in its marks too, until that is taken back; another film is not', () => {
    const file = withFilm(filmFile());
    const [film] = viewOf(file).films;
    expect(film!.mirrored).toBe(false);
    const said = { kind: 'turnedOver', body: { film: film!.id, mirrored: true } } as const;
    const over = replay(appended(file.ledger, said, stamp));
    expect(over.films[0]!.mirrored).toBe(true);
    expect(legKey(over)).not.toBe(legKey(viewOf(file)));
    const back = { kind: 'turnedOver', body: { film: film!.id, mirrored: false } } as const;
    expect(replay(appended(appended(file.ledger, said, stamp), back, stamp)).films[0]!.mirrored).toBe(false);
    const unknown = { kind: 'turnedOver', body: { film: 'another', mirrored: true } } as const;
    expect(refusedOf(file, unknown)).toMatchObject({ kind: 'unknown-film' });
  });
});

describe('a mark on a film', () => {
  it('replaces the one of its name, and the older stands again when it is taken back', () => {
    const twice = and(one, mark('hipCentre', [250, 80]), mark('hipCentre', [251, 81], { radiusPx: 24 }));
    expect(viewOf(twice).films[0]!.marks).toEqual([
      { name: 'hipCentre', pixel: [251, 81], radiusPx: 24, by: 'hand', entries: ['c/2', 'c/3'] },
    ]);
    const back = and(twice, { kind: 'retract', body: { entry: 'c/3', why: 'slipped' } });
    expect(viewOf(back).films[0]!.marks.map((m) => m.pixel)).toEqual([[250, 80]]);
    const none = and(back, { kind: 'retract', body: { entry: 'c/2', why: 'unmarked' } });
    expect(viewOf(none).films[0]!.marks).toEqual([]);
  });

  it('is on the film that it names and on no other', () => {
    const two = withFilm(filmFile({ instanceUid: '2.25.9', rows: 900 }), { view: 'knee-front' }, 'front.dcm', one);
    const both = and(two, mark('distalMedial', [1, 2]), mark('distalMedial', [3, 4], {}, 'c/2'), ball(25));
    expect(viewOf(both).films.map((f) => f.marks.map((m) => m.pixel))).toEqual([[[1, 2]], [[3, 4]]]);
    expect(viewOf(both).films.map((f) => f.calibration?.entry)).toEqual(['c/5', undefined]);
  });

  it('goes with its film when that is taken back', () => {
    const gone = and(marked(one), { kind: 'retract', body: { entry: 'c/1', why: 'wrong film' } });
    expect(viewOf(gone).films).toEqual([]);
    expect(refusedOf(gone, mark('hipCentre', [1, 1])).kind).toBe('unknown-film');
  });

  it.each([
    { why: 'on no film', statement: mark('hipCentre', [1, 1], {}, 'c/7'), kind: 'unknown-film', says: 'c/1' },
    { why: 'of no place', statement: mark('hip', [1, 1]), kind: 'unknown-mark', says: 'hipCentre' },
    { why: 'of another view', statement: mark('tubercle', [1, 1]), kind: 'other-view', says: 'knee-lateral' },
    { why: 'right of the film', statement: mark('hipCentre', [500.1, 9]), kind: 'off-film', says: '500 columns' },
    { why: 'below the film', statement: mark('hipCentre', [9, 1200]), kind: 'off-film', says: 'row 1200' },
    { why: 'above the film', statement: mark('hipCentre', [9, -1]), kind: 'off-film', says: '1000 rows' },
    { why: 'nowhere', statement: mark('hipCentre', [Number.NaN, 1]), kind: 'off-film', says: 'NaN' },
    {
      why: 'with a spread that is none',
      statement: mark('hipCentre', [9, 9], {
        covPx2: [
          [1, 2],
          [2, 1],
        ],
      }),
      kind: 'not-a-spread',
      says: '[[1,2],[2,1]]',
    },
    {
      why: 'with a circle of radius 0',
      statement: mark('hipCentre', [9, 9], { radiusPx: 0 }),
      kind: 'bad-radius',
      says: '0 pixels',
    },
  ])('$why is refused', ({ statement, kind, says }) => {
    expect(refusedOf(one, statement)).toMatchObject({ kind, message: expect.stringContaining(says) });
  });

  it('is taken at the very edges of the film', () => {
    expect(
      viewOf(and(one, mark('hipCentre', [0, 0]), mark('plafondCentre', [500, 1000]))).films[0]!.marks,
    ).toHaveLength(2);
  });

  it.each(['pixel', 'film', 'name', 'by'])('without its %s is no entry', (key) => {
    const { [key]: _, ...body } = mark('hipCentre', [1, 1]).body as unknown as Record<string, unknown>;
    expect(readStatement({ kind: 'mark', body })).toMatchObject({ ok: false, error: { kind: 'bad-body' } });
  });

  it('that a person makes once more is kept beside and does not move the leg', () => {
    const leg = marked(one);
    const remark: Statement = {
      kind: 'remark',
      body: { film: 'c/1', session: 2, marks: [{ name: 'hipCentre', pixel: [240, 90] }] },
    };
    const again = and(leg, remark);
    expect(viewOf(again).films[0]!.remarks).toEqual([remark.body]);
    expect(legOf(again).leg.belief).toEqual(legOf(leg).leg.belief);
    const off: Statement = {
      kind: 'remark',
      body: { film: 'c/1', session: 2, marks: [{ name: 'hipCentre', pixel: [9000, 90] }] },
    };
    expect(refusedOf(leg, off).kind).toBe('off-film');
  });
});

const rimOf = (diameter: number): readonly [number, number][] =>
  [0, 1, 2, 3, 4, 5].map((k) => [60 + (diameter / 2) * Math.cos(k), 400 + (diameter / 2) * Math.sin(k)]);
const ball = (sizeMm: number, change: object = {}): Statement =>
  ({
    kind: 'calibration',
    body: { film: 'c/1', kind: 'ball', sizeMm, rim: rimOf(28), depthMm: 0, depthSdMm: 10, ...change },
  }) as Statement;

describe('a calibration of a film', () => {
  const scaleOf = (so: Growing) => {
    const view = viewOf(so);
    const facts = factsOfFilms(view.films, so.blobs);
    return {
      scale: filmReadings(view, facts)[0]!.scale,
      codes: filmFindings(view, facts).map((f) => f.code),
    };
  };
  const of = (change: Partial<WritableFilm>): Growing => withFilm(filmFile(change));
  const confirm: Statement = { kind: 'calibration', body: { film: 'c/1', kind: 'confirmed' } };
  const spacing = { rowMm: 0.8, columnMm: 0.8 };
  const fiducial = of({ spacing, calibration: { type: 'FIDUCIAL', description: 'ball of 25 mm' } });
  const geometry = of({ spacing, calibration: { type: 'GEOMETRY', description: 'table at 80 mm' } });

  // Open-standards A1: only what was calibrated at the depth of the bone is a length of the bone.
  it.each([
    { state: 'DETECTOR', so: one, scale: { kind: 'detector', spacing: { rowMm: 1, columnMm: 1 } } },
    { state: 'CORRECTED_UNKNOWN', so: of({ spacing }), scale: { kind: 'detector', spacing } },
    { state: 'FIDUCIAL', so: fiducial, scale: { kind: 'detector', spacing } },
    { state: 'GEOMETRY', so: geometry, scale: { kind: 'bone', spacing, sd: 0.05 } },
    {
      state: 'UNKNOWN',
      so: withFilm(pngHeader(500, 1000)),
      scale: { kind: 'none', aspect: { rowMm: 1, columnMm: 1 } },
    },
  ])('is not there: a file in the state $state gives $scale.kind', ({ state, so, scale }) => {
    const [film] = viewOf(so).films;
    expect(factsOfFilms([film!], so.blobs).get(film!.blob)!.length.state).toBe(state);
    expect(scaleOf(so).scale).toMatchObject(scale);
  });

  it('that is confirmed makes the lengths of the file those of the bone', () => {
    expect(scaleOf(and(fiducial, confirm)).scale).toMatchObject({
      kind: 'bone',
      spacing,
      method: expect.stringContaining('ball of 25 mm'),
    });
    expect(scaleOf(and(geometry, confirm)).codes).not.toContain('assumed-magnification');
    expect(scaleOf(geometry).codes).toContain('assumed-magnification');
  });

  it('on a ball makes lengths those of the bone, whatever the file says', () => {
    for (const so of [one, fiducial, geometry, withFilm(pngHeader(500, 1000))]) {
      const { scale } = scaleOf(and(so, ball(25)));
      // mm of a pixel = true diameter / diameter on the film (trade notes 2.2, line 2).
      if (scale.kind !== 'bone') throw new Error(scale.kind);
      expect(scale.spacing.columnMm).toBeCloseTo(25 / 28, 9);
      expect(scale.method).toMatch(/25 mm.*tester, 2026-03-02/);
    }
  });

  it('that the file offers is taken only by hand', () => {
    const offers = of({ magnification: 1.15 });
    expect(scaleOf(offers).scale.kind).toBe('detector');
    const taken = scaleOf(and(offers, { kind: 'calibration', body: { film: 'c/1', kind: 'offered' } })).scale;
    if (taken.kind !== 'bone') throw new Error(taken.kind);
    expect(taken.spacing.rowMm).toBeCloseTo(1 / 1.15, 6);
  });

  it('is the last one made, and the one before when that is taken back', () => {
    const twice = and(one, ball(25), ball(30));
    const back = and(twice, { kind: 'retract', body: { entry: 'c/3', why: 'the ball has 25' } });
    const mm = (so: Growing): number => {
      const { scale } = scaleOf(so);
      return scale.kind === 'none' ? Number.NaN : scale.spacing.columnMm;
    };
    expect(mm(twice)).toBeCloseTo(30 / 28, 9);
    expect(mm(back)).toBeCloseTo(25 / 28, 9);
  });

  it.each([
    { why: 'a ball of 0 mm', statement: ball(0), kind: 'bad-size', says: '0 mm' },
    {
      why: 'a rim beyond the film',
      statement: ball(25, {
        rim: [
          [1, 1],
          [2, 2],
          [700, 1],
        ],
      }),
      kind: 'off-film',
      says: '700',
    },
    {
      why: 'a rim on a line',
      statement: ball(25, {
        rim: [
          [1, 1],
          [2, 2],
          [3, 3],
        ],
      }),
      kind: 'no-circle',
      says: 'line',
    },
    {
      why: 'a ruler of no length',
      statement: {
        kind: 'calibration',
        body: {
          film: 'c/1',
          kind: 'ruler',
          sizeMm: 100,
          ends: [
            [5, 5],
            [5, 5],
          ],
          depthMm: 0,
          depthSdMm: 5,
        },
      } as Statement,
      kind: 'ends-together',
      says: '0.0 pixels',
    },
    { why: 'confirming what the file does not say', statement: confirm, kind: 'nothing-to-confirm', says: 'DETECTOR' },
    {
      why: 'taking what is not offered',
      statement: { kind: 'calibration', body: { film: 'c/1', kind: 'offered' } } as Statement,
      kind: 'nothing-offered',
      says: 'offers no',
    },
    { why: 'of no film', statement: ball(25, { film: 'c/0' }), kind: 'unknown-film', says: 'c/0' },
  ])('is refused: $why', ({ statement, kind, says }) => {
    expect(refusedOf(one, statement)).toMatchObject({ kind, message: expect.stringContaining(says) });
  });

  it('with two points on its rim is no entry', () => {
    const { kind, body } = ball(25, {
      rim: [
        [1, 1],
        [2, 2],
      ],
    });
    const read = readStatement({ kind, body });
    expect(read).toMatchObject({ ok: false, error: { message: expect.stringContaining('at least 3 points') } });
  });
});

describe('the leg of a case with films', () => {
  // By hand, in the fixture: LDFA 88 and MPTA 87, bones in line. Angles of marks laid down without error come back to a small
  // part of their spread.
  it.each([
    { what: 'one pixel to a millimetre', across: 1, down: 1 },
    { what: 'pixels half as wide as high', across: 0.5, down: 1 },
    { what: 'pixels half as high as wide', across: 1, down: 0.5 },
  ])('has the angles that were laid out on a film with $what', ({ across, down }) => {
    const film = filmFile({
      columns: 500 / across,
      rows: 1000 / down,
      imagerSpacing: { rowMm: down, columnMm: across },
    });
    const leg = legOf(marked(withFilm(film), marksAt(across, down)));
    expect(Math.abs(numberIn(leg, 'LDFA') - 88)).toBeLessThan(0.5);
    expect(Math.abs(numberIn(leg, 'MPTA') - 87)).toBeLessThan(1);
    expect(leg.bones).toBeUndefined();
    expect(leg.films!.films.map((film) => film.id)).toEqual(['c/1']);
    expect(leg.films!.open.length).toBeGreaterThan(0);
  });

  it('is the same from facts alone, without the files', () => {
    const so = marked(one);
    const view = viewOf(so);
    const facts = factsOfFilms(view.films, so.blobs);
    expect(expectOk(filmLeg(view, facts), 'leg')).toEqual(legOf(so));
    expect(expectOk(caseLeg(view, new Map(), undefined, facts), 'leg')).toEqual(legOf(so));
  });

  it('has no lengths while its film is not calibrated, and has them after', () => {
    const edges = marked(one, [
      ...marksByHand,
      { name: 'femurEdgeMedial', pixel: [210, 499] },
      { name: 'femurEdgeLateral', pixel: [290, 499] },
    ]);
    expect(numberIn(legOf(edges), 'femurWidth')).toBeNull();
    // 80 pixels of 25/28 mm; what people in general have pulls by less than its spread.
    const calibrated = legOf(and(edges, ball(25)));
    expect(numberIn(calibrated, 'femurWidth')).toBeGreaterThan((80 * 25) / 28 - 1.5);
    expect(numberIn(calibrated, 'femurWidth')).toBeLessThan((80 * 25) / 28 + 1.5);
  });

  it('takes what was stated beside the films', () => {
    const stated = legOf(and(marked(one), typed('wearDistalMedial', 2.3, 'mm', 0.5)));
    expect(stated.leg.findings.map((f) => f.message).join(' ')).not.toMatch(/not stated for[^.]*distal medial/);
    const told = legOf(and(marked(one), typed('slope', 9, 'deg', 0.1)));
    expect(Math.abs(numberIn(told, 'slope') - 9)).toBeLessThan(0.2);
  });

  it('is none while nothing is marked, unless values are stated; then it says that the films are not used', () => {
    expect(caseLeg(viewOf(one), one.blobs)).toMatchObject({ ok: false, error: [{ kind: 'few-marks' }] });
    const stated = legOf(and(one, typed('LDFA', 85)));
    expect(numberIn(stated, 'LDFA')).toBeCloseTo(85, 6);
    expect(stated.leg.findings.map((f) => f.code)).toContain('films-not-marked');
  });

  it('says of two marks on the very same pixel that they are', () => {
    const both = marked(one, [...marksByHand, { name: 'epicondyleMedial', pixel: marksByHand[2]!.pixel }]);
    expect(legOf(both).leg.findings.map((f) => f.code)).toContain('marks-together');
  });

  it('of marks upside down is refused or doubted, never believed', () => {
    const turned = marked(
      one,
      marksByHand.map(({ name, pixel: [c, r] }) => ({ name, pixel: [c, 1000 - r] as const })),
    );
    const leg = caseLeg(viewOf(turned), turned.blobs);
    if (leg.ok) expect(leg.value.leg.findings.some((f) => f.severity !== 'info' && /mark/.test(f.code))).toBe(true);
    else expect(leg.error[0]!.message).toMatch(/c\/1/);
  });

  it('of medial and lateral mistaken is refused', () => {
    const other = (name: string): string =>
      name.endsWith('Medial') ? name.replace('Medial', 'Lateral') : name.replace('Lateral', 'Medial');
    const swapped = marked(
      one,
      marksByHand.map(({ name, pixel }) => ({ name: other(name), pixel })),
    );
    expect(caseLeg(viewOf(swapped), swapped.blobs)).toMatchObject({ ok: false, error: [{ kind: 'film-turned-over' }] });
  });

  it('takes the own spreads of who marks: ten times as steady, the angle is known better', () => {
    const kinds = Object.fromEntries(
      ['headCentre', 'jointCentre', 'contact', 'prominence'].map((kind) => [
        kind,
        { acrossMm: 0.05, alongMm: 0.05, pairs: 20 },
      ]),
    );
    const steady = and(marked(one), { kind: 'markSpreads', body: { by: 'tester', kinds } } as Statement);
    const sd = (so: Growing): number => quantity(legOf(so).leg, quantityDefinition('LDFA')!).sd!;
    expect(sd(steady)).toBeLessThan(0.7 * sd(marked(one)));
  });

  it('has another key after every entry that its films have', () => {
    const steps: readonly Statement[] = [
      mark('hipCentre', [250, 80]),
      mark('hipCentre', [250, 81]),
      ball(25),
      { kind: 'markSpreads', body: { by: 'tester', kinds: { contact: { acrossMm: 1, alongMm: 1, pairs: 9 } } } },
      { kind: 'retract', body: { entry: 'c/3', why: 'x' } },
    ];
    const keys = [empty, one, ...steps.map((_, k) => and(one, ...steps.slice(0, k + 1)))].map((so) =>
      legKey(viewOf(so)),
    );
    expect(new Set(keys).size).toBe(keys.length);
  });
});

it('a spread of marks is stated for kinds that there are', () => {
  const spreads = (kind: string) =>
    readStatement({ kind: 'markSpreads', body: { by: 'x', kinds: { [kind]: { acrossMm: 1, alongMm: 1, pairs: 3 } } } });
  for (const place of markPlaces) expect(spreads(place.kind).ok).toBe(true);
  expect(spreads('nose').ok).toBe(false);
});

it('facts of a film are the same before and after its patient is taken out', () => {
  const bytes = writtenFilmWithMore();
  const before = expectOk(filmFacts(bytes, 'x.dcm'), 'facts');
  const { facts } = expectOk(takenFilm(bytes, 'x.dcm', salt), 'film');
  const { patientCheck, ...rest } = facts;
  expect(rest).toEqual(before);
  expect(patientCheck).toMatch(/^check /);
});
const writtenFilmWithMore = (): Uint8Array =>
  writtenFilm({
    rows: 30,
    columns: 20,
    data: new Uint16Array(600),
    bitsStored: 12,
    monochrome: 1,
    imagerSpacing: { rowMm: 0.2, columnMm: 0.2 },
    spacing: { rowMm: 0.17, columnMm: 0.17 },
    calibration: { type: 'FIDUCIAL', description: 'ball' },
    sourceToDetectorMm: 1150,
    side: 'left',
    modality: 'CR',
    viewPosition: 'AP',
    patientOrientation: ['L', 'F'],
    stitched: true,
    studyUid: '2.25.1',
    seriesUid: '2.25.2',
    instanceUid: '2.25.3',
    patientName: 'A',
    patientId: 'B',
    date: '20200101',
    time: '120000',
    description: 'x',
    window: { centre: 1, width: 2 },
  });
