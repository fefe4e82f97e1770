import { readFileSync } from 'node:fs';
import {
  calledOf,
  checkKit,
  type Kit,
  legFromStated,
  parseStated,
  philosophy,
  planLeg,
  proveLeg,
  type Side,
  type StatedValue,
} from '@kerfline/knee';
import { describe, expect, it } from 'vitest';
import type { Drawing, Mark, PathMark, TextMark } from './drawing.ts';
import { type LinkScale, linkScales } from './link-scales.ts';

const text = readFileSync(new URL('../../../kits/demo/kit.json', import.meta.url), 'utf8');
const checked = checkKit(JSON.parse(text));
if (!checked.ok) throw new Error('the demo kit is not sound');
const kit: Kit = checked.value;

/** Source: reference case of the trade notes, 8.1. */
const said = 'LDFA=88deg MPTA=87deg JLCA=4deg slope=6deg shaftMechanical=5.6deg tibiaSpan=330mm ankleOffset=3mm';
const stated = said.split(' ').map((word): StatedValue => {
  const value = parseStated(word);
  if (!value.ok) throw new Error(value.error.message);
  return value.value;
});

function scalesOf(side: Side): ReadonlyMap<string, LinkScale> {
  const leg = legFromStated(side, stated);
  const plan = planLeg(leg, kit, philosophy('restricted-kinematic'));
  const settings = calledOf(plan);
  const proof = proveLeg(leg, kit, settings);
  return new Map(
    plan.guides.flatMap((guide) =>
      linkScales(guide, settings[guide.problem.guide.id]!, proof, side).map((scale): readonly [string, LinkScale] => [
        `${guide.problem.guide.id}/${scale.link.id}`,
        scale,
      ]),
    ),
  );
}

const left = scalesOf('left');
const right = scalesOf('right');
const flat = (marks: readonly Mark[]): readonly Mark[] =>
  marks.flatMap((mark) => (mark.kind === 'group' ? flat(mark.marks) : [mark]));
const texts = (drawing: Drawing): readonly TextMark[] =>
  flat(drawing.marks).filter((mark): mark is TextMark => mark.kind === 'text');
const numerals = (drawing: Drawing): readonly TextMark[] =>
  texts(drawing).filter((mark) => (mark.voice === 'metal' || mark.voice === 'set') && /^\d+$/.test(mark.text));
/** The red lines: where the hand sets. */
const red = (drawing: Drawing): readonly PathMark[] =>
  flat(drawing.marks).filter((mark): mark is PathMark => mark.kind === 'path' && mark.tone === 'set');

describe('the scale of a link', () => {
  it('is drawn for each link that is set by a scale, in the order of the guides; screws that stand at rest and rows of pegs have none', () => {
    expect([...left.keys()]).toEqual([
      'canal-core/collar',
      'canal-core/dial',
      'heel-frame/turn',
      'shin-mast/ankleSlide',
      'shin-mast/frontSlide',
      'shin-mast/head',
      'shin-mast/feeler',
      'shin-mast/seat',
      'shin-mast/pins',
    ]);
  });

  /** Source: trade notes 3.4-3.7: collars 3 to 9, heads 0/3/5/7, feelers 0/2/8/9/10. */
  it.each([
    ['canal-core/collar', '3 4 5 6 7 8 9'],
    ['shin-mast/head', '0 3 5 7'],
    ['shin-mast/feeler', '0 2 8 9 10'],
  ])('of %s has the numerals that are on the metal: %s', (name, list) => {
    const shown = numerals(left.get(name)!.scale).map((mark) => mark.text);
    expect([...shown].sort((a, b) => Number(a) - Number(b))).toEqual(list.split(' '));
  });

  /** Source: trade notes 8.1: 2.04 marks of 7 mm lateral, called as 2; a mark is 1.215 degrees on this leg. */
  it('puts the pointer two marks of 7 mm lateral of zero, and says so in words', () => {
    const { scale, now } = left.get('shin-mast/ankleSlide')!;
    expect(Math.abs(now)).toBe(14);
    expect(scale.label).toMatch(/^set 2 marks; gives 2\.9\d varus give or take \d\.\d$/);
    expect(texts(scale).some((mark) => mark.voice === 'set' && mark.text === 'set 2 marks')).toBe(true);
  });

  it('has its lower edge so that a mark of 7 mm is 1.215 degrees on a leg of 330 mm', () => {
    const { scale } = left.get('shin-mast/ankleSlide')!;
    // Numerals of whole degrees on the lower edge, and marks of the ruler above them: 1 degree is 7 / 1.215 mm of ruler, drawn 2 : 1.
    const ticks = flat(scale.marks)
      .filter((mark): mark is PathMark => mark.kind === 'path' && mark.tone === 'foretold' && mark.points.length === 2)
      .filter((mark) => mark.dash === undefined && mark.points[0]![0] === mark.points[1]![0])
      .map((mark) => mark.points[0]![0])
      .sort((a, b) => a - b);
    expect(ticks.length).toBeGreaterThan(3);
    for (let k = 1; k < ticks.length; k += 1) {
      expect(Math.abs((ticks[k]! - ticks[k - 1]!) / 2 - 7 / 1.215)).toBeLessThan(0.1);
    }
  });

  it('has red only where the hand sets: two strokes at one place, under the pointer', () => {
    for (const [name, { scale, now, range }] of left) {
      const places = red(scale).flatMap((mark) => mark.points.map(([x]) => x));
      expect(new Set(places.map((x) => x.toFixed(6))).size, name).toBe(1);
      expect(places[0]! === 0, name).toBe(now === range[0]);
    }
  });

  it('steps from stop to stop, and ends at the ends', () => {
    const collar = left.get('canal-core/collar')!;
    const [low, high] = [collar.left!.value, collar.right!.value].sort((a, b) => a - b);
    expect([low, high]).toEqual([7, 9]);
    const feeler = left.get('shin-mast/feeler')!;
    expect(feeler.now).toBe(10);
    expect(feeler.left!.value).toBe(9);
    expect(feeler.right).toBeUndefined();
  });

  it('gives the setting under a place of the drawing, at the nearest stop, inside the ends', () => {
    const { at, scale, link } = left.get('shin-mast/head')!;
    expect(link.kind).toBe('ring');
    const end = scale.box[2];
    const seen = new Set(Array.from({ length: 101 }, (_, k) => at((k / 100) * end).value));
    expect([...seen]).toEqual([0, 3, 5, 7]);
  });

  it('of a right leg is the mirror image where it lies across the leg, and the same where it does not', () => {
    const across = (scales: ReadonlyMap<string, LinkScale>): number => scales.get('shin-mast/ankleSlide')!.now;
    expect(across(right)).toBe(-across(left));
    const front = (scales: ReadonlyMap<string, LinkScale>): string => scales.get('shin-mast/frontSlide')!.scale.label;
    expect(front(right)).toBe(front(left));
    for (const name of left.keys()) expect(right.get(name)!.scale.label, name).toBe(left.get(name)!.scale.label);
  });
});
