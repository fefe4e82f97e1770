import { readFileSync } from 'node:fs';
import { expectOk } from '@kerfline/geometry';
import { randomStream } from '@kerfline/uncertainty';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom, linkOf } from './kit.fixture.ts';
import type { Kit } from './kit.ts';
import { type FormStep, formSteps, heard, type KitMade, kitFromAnswers, unknownPlaces } from './kit-form.ts';
import { answerLine, answersIn } from './kit-form-file.ts';
import { parseNumbers } from './kit-form-numbers.ts';
import { type Plain, valueAt } from './kit-form-path.ts';
import type { Question } from './kit-form-questions.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const plain = demo as unknown as Plain;
const defaults = { name: 'mine' };
const everything: readonly (readonly [string, string])[] = [
  ['form', 'full'],
  ...['femur', 'tray', 'insert', 'button'].map((family) => [`components.${family}`, 'yes'] as const),
];
const answered = (...more: readonly (readonly [string, string])[]): ReadonlyMap<string, string> => new Map(more);
const steps = (...more: readonly (readonly [string, string])[]): readonly FormStep[] =>
  formSteps(demo, answered(...more), defaults);
const questions = (of: readonly FormStep[]): readonly Question[] =>
  of.flatMap((step) => (step.kind === 'question' ? [step.question] : []));
const all = questions(steps(...everything));
const make = (...more: readonly (readonly [string, string])[]): KitMade =>
  kitFromAnswers(demo, answered(...more), defaults);
const five = (value: number): string => Array.from({ length: 5 }, () => String(value)).join(' ');
const made = (result: KitMade): Kit => expectOk(result.kit, 'kit');

/** The kit without what only describes it, and without every spread of a setting. */
const withoutSpreads = (kit: Kit): unknown =>
  JSON.parse(JSON.stringify({ guides: kit.guides, components: kit.components }), (key, value) =>
    key === 'sd' || key === 'kerfSdMm' ? undefined : value,
  );

describe('the form of a kit', () => {
  it('asks for dimensions by places that are in the kit, each once', () => {
    expect(all.length).toBeGreaterThan(100);
    for (const question of all) {
      for (const path of [question.path, ...question.also]) expect(valueAt(plain, path), path).toBeTypeOf('number');
    }
    const paths = all.flatMap((q) => [q.path, ...q.also]).filter((path) => !/range\[/.test(path));
    expect(new Set(paths).size).toBe(paths.length);
  });

  it('asks with what is engraved, the instrument and five readings', () => {
    const collar = all.find((q) => q.path === 'guides.canal-core.links.collar.values[3]')!;
    expect(collar).toMatchObject({
      asks: 'Angle of the collar engraved 6, between its two faces, with the protractor',
      unit: 'deg',
      instrument: 'protractor',
      engraved: 6,
      repeats: 5,
    });
    const marks = all.find((q) => q.path === 'guides.shin-mast.links.ankleSlide.marks.everyMm')!;
    // Closed form: marks of 7 mm from -20 to 20 stand at -14 to 14: four spacings, 28 mm.
    expect(marks).toMatchObject({ times: 4, expected: 28, goes: 'dimension' });
  });

  it('goes guide by guide and part by part in the order of use', () => {
    const guides = steps().flatMap((step) =>
      step.kind === 'entry' && step.entry.form.form === 'guide' ? [step.path] : [],
    );
    expect(guides).toEqual(demo.guides.map((guide) => `guides.${guide.id}`));
    const parts = [...new Set(steps().map((step) => step.part))];
    const order = demo.guides.flatMap((guide) => guide.links.map((link) => `guides.${guide.id}.links.${link.id}`));
    expect(parts.filter((part) => part.includes('.links.'))).toEqual(order);
  });

  it('in short asks the lowest, the middle and the highest of each part', () => {
    const asked = questions(steps()).filter((q) => q.part === 'guides.canal-core.links.dial');
    const values = linkOf(guideOf(demo, 'canal-core'), 'dial') as { readonly values: readonly number[] };
    const middle = values.values[Math.floor(values.values.length / 2)];
    expect(asked.map((q) => q.engraved)).toEqual([values.values[0], middle, values.values.at(-1)]);
  });

  it('always asks which face the saw leans on, and which way a set turn is seen to go', () => {
    const paths = steps().map((step) => step.path);
    expect(paths).toContain('guides.canal-core.links.slit.referenceFace');
    expect(paths).toContain('guides.heel-frame.links.turn.control.right');
    expect(make().notChecked).toContain('guides.canal-core.links.slit.referenceFace');
  });

  it('does not ask about a guide or a part that is not there', () => {
    const asked = steps(['guides.shin-mast', 'no'], ['guides.canal-core.links.dial', 'no']).map((step) => step.path);
    expect(asked.filter((path) => path.startsWith('guides.shin-mast'))).toEqual(['guides.shin-mast']);
    expect(asked.filter((path) => path.startsWith('guides.canal-core.links.dial'))).toEqual([
      'guides.canal-core.links.dial',
    ]);
  });
});

describe('what is typed', () => {
  it('gives a ring its own engraved numbers, faces and hand, and asks for those', () => {
    const own = [
      ['guides.canal-core.links.collar', 'values faces hand'],
      ['guides.canal-core.links.collar.values', '2 4 6,5'],
      ['guides.canal-core.links.collar.faces.left', 'L'],
      ['guides.canal-core.links.collar.hand', 'separatePart'],
    ] as const;
    const ring = linkOf(guideOf(made(make(...own)), 'canal-core'), 'collar');
    expect(ring).toMatchObject({ values: [2, 4, 6.5], hand: 'separatePart', faces: { left: 'L', right: 'RIGHT' } });
    const asked = questions(steps(...own)).filter((q) => q.part === 'guides.canal-core.links.collar');
    expect(asked.map((q) => q.engraved)).toEqual([2, 4, 6.5]);
  });

  it('hangs the children of a part that is not there on its parent', () => {
    const guide = guideOf(made(make(['guides.canal-core.links.headTurn', 'no'])), 'canal-core');
    expect(linkOf(guide, 'collar').on).toBe('rod');
    const two = make(['guides.canal-core.links.headTurn', 'no'], ['guides.canal-core.links.collar', 'no']);
    expect(linkOf(guideOf(made(two), 'canal-core'), 'foot').on).toBe('rod');
  });

  it('renames a part everywhere it is spoken of', () => {
    const kit = made(
      make(
        ['guides.canal-core.links.foot', 'id'],
        ['guides.canal-core.links.foot.id', 'plate'],
        ['guides.canal-core.links.slit.id', 'gap'],
        ['guides.canal-core.id', 'femurRod'],
      ),
    );
    const guide = guideOf(kit, 'femurRod');
    expect(linkOf(guide, 'dial')).toMatchObject({ on: 'plate', sets: 'plate' });
    expect(guide.outputs.map((output) => output.link)).toContain('gap');
    expect(JSON.stringify(kit)).not.toContain('canal-core');
  });

  it('brings the one word that a group of fields can have with the other', () => {
    const turn = linkOf(
      guideOf(made(make(['guides.heel-frame.links.turn.control.right', 'clockwise'])), 'heel-frame'),
      'turn',
    );
    expect(turn.control).toEqual({ viewedFrom: 'foot', right: 'clockwise' });
  });

  it('lists words, and says what is allowed where a word is not', () => {
    const kit = made(
      make(
        ['guides.canal-core.prepare.order', 'rod; collar on the rod; block'],
        ['guides.canal-core.prepare.next', 'my frame'],
      ),
    );
    expect(guideOf(kit, 'canal-core').prepare).toMatchObject({
      order: ['rod', 'collar on the rod', 'block'],
      next: 'my frame',
    });
    expect(make(['guides.canal-core.links.slit.referenceFace', 'upper']).unread).toEqual([
      { path: 'guides.canal-core.links.slit.referenceFace', found: 'upper', allowed: 'one of retained, piece' },
    ]);
  });

  it('takes own sizes of a component, with the pairs that still exist', () => {
    const kit = made(make(['components.tray', '62 66'], ['components.allowedPairs', '54-62 57-66']));
    expect(kit.components.tray.map((tray) => tray.size)).toEqual([62, 66]);
    expect(kit.components.allowedPairs).toEqual([
      { femur: 54, tray: 62 },
      { femur: 57, tray: 66 },
    ]);
  });

  it('names the place of what does not fit together any more', () => {
    const result = make(['guides.canal-core', 'no'], ['guides.heel-frame.links.heels', 'no']);
    expect(result.kit.ok).toBe(false);
    const paths = result.kit.ok ? [] : result.kit.error.map((fault) => fault.path);
    expect(paths).toContain('guides[0].mountsOn.cut');
  });
});

describe('what is measured', () => {
  it('as it is engraved gives the pattern back, but for spreads', () => {
    const result = make(...everything, ...all.map((q) => [q.path, five(q.expected)] as const));
    expect(result.faults).toEqual([]);
    expect(result.notMeasured).toEqual([]);
    expect(result.measured).toHaveLength(all.length);
    expect(withoutSpreads(made(result))).toEqual(withoutSpreads(demo));
  });

  it('goes in where the kit stores it, over as many as were measured together', () => {
    const kit = made(
      make(
        ['guides.shin-mast.links.fine.pitchMm', five(4)],
        ['guides.shin-mast.links.ankleSlide.marks.everyMm', five(24)],
        ['guides.shin-mast.links.slit.gapMm', five(1.6)],
      ),
    );
    const mast = guideOf(kit, 'shin-mast');
    // Closed form: four turns of 1 mm, four spacings of 6 mm.
    expect(linkOf(mast, 'fine')).toMatchObject({ pitchMm: 1 });
    expect(linkOf(mast, 'ankleSlide')).toMatchObject({ marks: { everyMm: 6 } });
    expect(linkOf(mast, 'slit')).toMatchObject({ gapMm: 1.6 });
  });

  it('of a test block gives kerf and its spread to every slit that the blade is used in', () => {
    // By hand: 1.3 1.4 1.4 1.4 1.5 has mean 1.4; squares 0.02 over 4, root 0.0707.
    const kit = made(make(['guides.canal-core.links.slit.kerfMm', '1,3 1,4 1,4 1,4 1,5']));
    for (const id of ['canal-core', 'shin-mast']) {
      expect(linkOf(guideOf(kit, id), 'slit')).toMatchObject({ kerfMm: 1.4, kerfSdMm: 0.0707 });
    }
  });

  it('off by the same on the whole part becomes its bias; the engraved numbers stay', () => {
    const dial = all.filter((q) => q.part === 'guides.canal-core.links.dial');
    const result = make(['form', 'full'], ...dial.map((q) => [q.path, five(q.engraved! + 0.25)] as const));
    const link = linkOf(guideOf(made(result), 'canal-core'), 'dial');
    expect(link).toMatchObject({ bias: 0.25, values: dial.map((q) => q.engraved) });
    expect(result.faults).toEqual([]);
  });

  it('on the other side of zero keeps its direction: rows all 0.2 mm toward the foot are a bias of -0.2', () => {
    const rows = all.filter((q) => q.part === 'guides.canal-core.links.extra');
    const answers = rows.map((q) => [q.path, five(q.sign * (q.sign * q.engraved! - 0.2))] as const);
    const result = make(['form', 'full'], ...answers);
    expect(linkOf(guideOf(made(result), 'canal-core'), 'extra')).toMatchObject({ bias: -0.2 });
    expect(result.faults).toEqual([]);
  });

  it('of a slide set to its marks is held against the spacing that was measured', () => {
    const slide = 'guides.shin-mast.links.ankleSlide';
    // Closed form: spacings of 24 / 4 = 6 mm; set to mark 2 it stands at 12, and 0.2 beyond is its bias.
    const kit = made(make([`${slide}.marks.everyMm`, five(24)], [`${slide}.sd`, five(12.2)]));
    expect(linkOf(guideOf(kit, 'shin-mast'), 'ankleSlide')).toMatchObject({ bias: 0.2, marks: { everyMm: 6 } });
  });

  it('off on one engraved number alone is a fault at its place, and no bias', () => {
    const collars = all.filter((q) => q.part === 'guides.canal-core.links.collar');
    const result = make(
      ['form', 'full'],
      ...collars.map((q) => [q.path, five(q.engraved === 6 ? 6.9 : q.engraved!)] as const),
    );
    expect(result.faults.map((fault) => fault.path)).toEqual(['guides.canal-core.links.collar.values[3]']);
    expect(result.faults[0]!.found).toBe('6.9 deg measured, 6 engraved');
    expect(linkOf(guideOf(made(result), 'canal-core'), 'collar').bias).toBeUndefined();
  });

  it('far off on a whole part is a fault too', () => {
    const dial = all.filter((q) => q.part === 'guides.canal-core.links.dial');
    const result = make(['form', 'full'], ...dial.map((q) => [q.path, five(q.engraved! + 1.5)] as const));
    expect(result.faults.map((fault) => fault.path)).toEqual(['guides.canal-core.links.dial.bias']);
  });

  it('gives a part the spread of one setting, pooled over its engraved numbers', () => {
    // By hand: two groups with squares 0.02 and 0.0548 over 4 + 4: root of 0.00935 is 0.0967.
    const kit = made(
      make(
        ['guides.canal-core.links.dial.values[0]', '5.9 6 6 6 6.1'],
        ['guides.canal-core.links.dial.values[8]', '13.85 13.93 14 14.07 14.15'],
      ),
    );
    expect(linkOf(guideOf(kit, 'canal-core'), 'dial').sd).toBe(0.0967);
  });

  it.each([
    ['too few', '8.01 8 8.02'],
    ['contradictory', '8 8.01 8 8.01 9.5'],
    ['a slip', '8 8.01 8 8.01 80'],
    ['inches throughout', '0.315 0.315 0.315 0.314 0.315'],
  ])('when it is %s stays out, and the place is listed as not measured', (_, readings) => {
    const place = 'guides.canal-core.links.rod.rodMm';
    const result = make([place, readings]);
    expect(linkOf(guideOf(made(result), 'canal-core'), 'rod')).toMatchObject({ rodMm: 8 });
    expect(result.notMeasured).toContain(place);
    expect(result.measured[0]!.used).toBe(false);
  });

  it('that looks like a slip goes in when the person stands by it', () => {
    const place = 'guides.canal-core.links.rod.rodMm';
    expect(make([place, '0.8 0.8 0.8 0.8 0.8']).measured[0]!.used).toBe(false);
    const kit = made(make([place, '0.8 0.8 0.8 0.8 0.8 !']));
    expect(linkOf(guideOf(kit, 'canal-core'), 'rod')).toMatchObject({ rodMm: 0.8 });
  });

  it('when it is not answered keeps the number of the pattern and is listed', () => {
    const result = make(...everything);
    expect(withoutSpreads(made(result))).toEqual(withoutSpreads(demo));
    expect([...result.notMeasured].sort()).toEqual(all.flatMap((q) => [q.path, ...q.also]).sort());
  });

  it('for a part that is then left out is set aside, not lost in silence', () => {
    const place = 'guides.shin-mast.links.head.values[1]';
    expect(make(['guides.shin-mast', 'no'], [place, five(3)]).setAside).toEqual([place]);
  });

  it('makes a sound kit of any readings, or names the place that does not fit', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const random = randomStream(seed, 'readings');
        const answers = all.flatMap((q): readonly (readonly [string, string])[] => {
          const kind = random.uniform();
          if (kind < 0.3) return [];
          const count = kind < 0.4 ? 3 : 5;
          const spread = kind > 0.9 ? 2 : 0.05;
          return [
            [q.path, Array.from({ length: count }, () => (q.expected + spread * random.normal()).toFixed(2)).join(' ')],
          ];
        });
        const result = make(...everything, ...answers);
        if (result.kit.ok) return;
        for (const fault of result.kit.error) expect(fault.path).toMatch(/^(guides\[\d+\]|components\.)/);
      }),
      { numRuns: 30 },
    );
  });

  it('does not depend on the order of the readings', () => {
    const readings = ['6.1', '6.0', '6.3', '5.9', '6.2'];
    const place = 'guides.canal-core.links.collar.values[3]';
    const forward = make(['form', 'full'], [place, readings.join(' ')]);
    const back = make(['form', 'full'], [place, [...readings].reverse().join(' ')]);
    expect(made(back)).toEqual(made(forward));
    expect(back.measured[0]!.repeats).toEqual(forward.measured[0]!.repeats);
  });
});

describe('answers as they are typed and kept', () => {
  it.each([
    ['6,02 6.01 6', [6.02, 6.01, 6]],
    ['6,02, 6,01', [6.02, 6.01]],
    ['6.0;6.1', [6, 6.1]],
    ['-2,5 mm \u22122.4', [-2.5, -2.4]],
    [' 6.1\u00b0  6 deg', [6.1, 6]],
  ])('"%s" is read as numbers', (text, numbers) => {
    expect(expectOk(parseNumbers(text), 'numbers')).toEqual(numbers);
  });

  it.each(['6.0 x', '1,234.5', '6..1', '0.25in', '', 'NaN'])('"%s" is refused', (text) => {
    expect(parseNumbers(text).ok).toBe(false);
  });

  it('come back from their file as they were, the last for a place counting, notes passed over', () => {
    const text = `# a note\r\nlike: demo\n${answerLine('a.b[1]', '6,1  6,2')}\n${answerLine('a.b[1]', '7')}${answerLine('x', '')}`;
    const read = expectOk(answersIn(text), 'answers');
    expect(read.like).toBe('demo');
    expect([...read.answers]).toEqual([
      ['a.b[1]', '7'],
      ['x', '-'],
    ]);
    expect(answersIn('a: 1\nwhat is this\n')).toEqual({ ok: false, error: [{ line: 2, found: 'what is this' }] });
  });

  it('for a place that no such kit has are named, those of parts left out are not', () => {
    const answers = answered(
      ['guides.shin-mast', 'no'],
      ['guides.shin-mast.links.head.values[9]', '9'],
      ['guides.shin-mast.links.haed.values[1]', '3'],
      ['components.femur[0].widthMm', '60'],
    );
    expect(unknownPlaces(demo, answers, defaults)).toEqual(['guides.shin-mast.links.haed.values[1]']);
  });

  it('are told at once when they are too few, odd or no numbers', () => {
    const step = steps().find((s) => s.path === 'guides.canal-core.links.rod.rodMm')!;
    const said = (answer: string) => heard(demo, answered(), step, answer, defaults);
    expect(said('8 8 8 8 8')).toEqual({ ok: true, value: { says: '8 mm, give or take 0.003: fine', again: false } });
    expect(said('8 8 8')).toMatchObject({
      ok: true,
      value: { says: expect.stringContaining('too few (3 of 5)'), again: true },
    });
    expect(said('8 8 8 8 80')).toMatchObject({
      ok: true,
      value: { says: expect.stringMatching(/80 looks ten times too large: 8\?/), again: true },
    });
    expect(said('8 8 eight')).toMatchObject({ ok: false });
  });
});
