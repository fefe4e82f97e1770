import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom, linkOf } from '../kits/kit.fixture.ts';
import type { Side } from '../side.ts';
import { opposite, type Sense, senseSeen, senseWord, slideAxis, slideSenses, turnAxes, turnSenses } from './sense.ts';
import { callText, spoken, unspoken } from './speak.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const all: readonly Sense[] = [...slideSenses, ...turnSenses];

/** Source: trade notes, 3.6 and exercise 12: external is anticlockwise on a right knee, clockwise on a left, from the foot. */
describe('what a direction looks like to the hands', () => {
  it.each([
    { sense: 'medial', left: 'toward the other leg', right: 'toward the other leg' },
    { sense: 'lateral', left: 'away from the other leg', right: 'away from the other leg' },
    { sense: 'external', left: 'clockwise seen from the foot', right: 'anticlockwise seen from the foot' },
    { sense: 'internal', left: 'anticlockwise seen from the foot', right: 'clockwise seen from the foot' },
    ...(
      [
        'anterior',
        'posterior',
        'proximal',
        'distal',
        'varus',
        'valgus',
        'posteriorSlope',
        'anteriorSlope',
        'flex',
        'extend',
      ] as const
    ).map((sense) => ({ sense, left: undefined, right: undefined })),
  ] as const)('$sense: left "$left", right "$right"', ({ sense, left, right }) => {
    expect(senseSeen(sense, 'left')).toBe(left);
    expect(senseSeen(sense, 'right')).toBe(right);
  });

  /**
   * The same by geometry. Source: trade notes, 0.1 and 3.6: the patient's left is x, the back y, the head z; a femur bent to
   * 90 deg points its end at the foot of the table, so a viewer there with the front side up has the patient's right on the
   * right hand for either knee, L = -s x.
   */
  it('external carries the front of the component toward lateral, seen as the table says', () => {
    for (const side of ['left', 'right'] as const) {
      const s = side === 'right' ? 1 : -1;
      // A small external turn moves the front (up, on the drawing) toward lateral: x = -s on the patient.
      const x = -s;
      // The viewer faces the patient: the patient's left (x = +1) is on the viewer's right hand.
      const toViewersRight = x > 0;
      expect(senseSeen('external', side)).toContain(toViewersRight ? 'clockwise' : 'anticlockwise');
      expect(senseSeen('external', side)?.startsWith('anti')).toBe(!toViewersRight);
    }
  });
});

describe('a direction word', () => {
  it('has one opposite, which has it back, and a word of its own', () => {
    for (const sense of all) {
      expect(opposite(sense)).not.toBe(sense);
      expect(opposite(opposite(sense))).toBe(sense);
    }
    expect(new Set(all.map(senseWord)).size).toBe(all.length);
  });

  it('goes the other way along the same axis than its opposite', () => {
    for (const sense of slideSenses) {
      expect(slideAxis(opposite(sense)).axis).toBe(slideAxis(sense).axis);
      expect(slideAxis(opposite(sense)).sign).toBe(-slideAxis(sense).sign);
    }
    for (const sense of turnSenses)
      for (const bone of ['tibia', 'femur'] as const) {
        const [one, other] = [turnAxes(sense, bone), turnAxes(opposite(sense), bone)];
        expect([other.from, other.to, other.sign]).toEqual([one.from, one.to, -one.sign]);
      }
  });

  /**
   * Source: trade notes, 0.2, by what the retained surfaces do: tibia P = L tan v - ..., femur P = L tan phi - ... so varus of a
   * tibial cut and valgus of a femoral one lean the cut's upward normal to medial; slope leans it forward... backward edge lower.
   */
  it.each([
    { turn: 'varus', bone: 'tibia', normal: [-1, 0] },
    { turn: 'valgus', bone: 'tibia', normal: [1, 0] },
    { turn: 'valgus', bone: 'femur', normal: [-1, 0] },
    { turn: 'varus', bone: 'femur', normal: [1, 0] },
    { turn: 'posteriorSlope', bone: 'tibia', normal: [0, -1] },
    { turn: 'anteriorSlope', bone: 'tibia', normal: [0, 1] },
    { turn: 'flex', bone: 'femur', normal: [0, 1] },
    { turn: 'extend', bone: 'femur', normal: [0, -1] },
  ] as const)('$turn of a $bone leans the upward normal by $normal in L and A', ({ turn, bone, normal }) => {
    const { from, to, sign } = turnAxes(turn, bone);
    expect(from).toBe(2);
    expect([to === 0 ? sign : 0, to === 1 ? sign : 0]).toEqual(normal);
  });
});

describe('a call', () => {
  const line = (guide: string, link: string, value: number, side: Side, more: object = {}): string =>
    callText(linkOf(guideOf(demo, guide), link), { value, ...more }, side);

  it.each([
    {
      guide: 'shin-mast',
      link: 'ankleSlide',
      value: 14,
      left: 'Ankle slide 2 marks medial, toward the other leg: 14 mm on this ruler',
      right: 'Ankle slide 2 marks medial, toward the other leg: 14 mm on this ruler',
    },
    {
      guide: 'shin-mast',
      link: 'ankleSlide',
      value: -7,
      left: 'Ankle slide 1 mark lateral, away from the other leg: 7 mm on this ruler',
      right: 'Ankle slide 1 mark lateral, away from the other leg: 7 mm on this ruler',
    },
    {
      guide: 'heel-frame',
      link: 'turn',
      value: 3,
      left: 'Turn 3 external, clockwise seen from the foot, on the scale marked LEFT',
      right: 'Turn 3 external, anticlockwise seen from the foot, on the scale marked RIGHT',
    },
    {
      guide: 'heel-frame',
      link: 'turn',
      value: 0,
      left: 'Turn 0, on the scale marked LEFT',
      right: 'Turn 0, on the scale marked RIGHT',
    },
    { guide: 'canal-core', link: 'collar', value: 7, left: 'Collar 7, face LEFT up', right: 'Collar 7, face RIGHT up' },
    {
      guide: 'canal-core',
      link: 'extra',
      value: 2,
      left: 'Pin row 2 toward the hip',
      right: 'Pin row 2 toward the hip',
    },
    {
      guide: 'canal-core',
      link: 'extra',
      value: -2,
      left: 'Pin row 2 toward the foot',
      right: 'Pin row 2 toward the foot',
    },
    {
      guide: 'shin-mast',
      link: 'frontSlide',
      value: 6,
      left: 'Front slide 6 mm forward',
      right: 'Front slide 6 mm forward',
    },
    { guide: 'shin-mast', link: 'head', value: 5, left: 'Head 5', right: 'Head 5' },
    {
      guide: 'shin-mast',
      link: 'fine',
      value: -1.25,
      left: 'Fine screw 1 turn toward the hip: 1.25 mm',
      right: 'Fine screw 1 turn toward the hip: 1.25 mm',
    },
    { guide: 'shin-mast', link: 'fine', value: 0, left: 'Fine screw at its zero', right: 'Fine screw at its zero' },
    {
      guide: 'shin-mast',
      link: 'yokeTurn',
      value: 0,
      left: 'Yoke turn by eye: in line with the second toe',
      right: 'Yoke turn by eye: in line with the second toe',
    },
  ] as const)('$guide $link at $value', ({ guide, link, value, left, right }) => {
    expect(line(guide, link, value, 'left')).toBe(left);
    expect(line(guide, link, value, 'right')).toBe(right);
  });

  it('names the condyle that is touched or shimmed, and what a size keeps', () => {
    expect(line('shin-mast', 'feeler', 9, 'left', { site: 'plateauMedial' })).toBe('Feeler 9 on the medial plateau');
    expect(line('canal-core', 'foot', 0, 'left', { shimsMm: { distalMedial: 2 } })).toBe(
      'Foot shim 2 mm under the medial condyle',
    );
    expect(line('canal-core', 'foot', 0, 'left')).toBe('Foot without shim');
    expect(line('heel-frame', 'size', 60, 'left', { keeps: 'front' })).toBe('Size 60, front kept');
    expect(line('heel-frame', 'size', 63, 'right', { keeps: 'rear' })).toBe('Size 63, rear kept');
  });

  /** Source: trade notes, 3.6: how a control turns is stored beside what it does, as seen once on a right knee. */
  it('says how the control itself turns, where the kit knows: the other way on a left knee and for the other direction', () => {
    const geared = {
      ...linkOf(guideOf(demo, 'heel-frame'), 'turn'),
      control: { viewedFrom: 'foot', right: 'clockwise' },
    } as const;
    expect(callText(geared as never, { value: 3 }, 'right')).toContain('the control clockwise seen from the foot');
    expect(callText(geared as never, { value: 3 }, 'left')).toContain('the control anticlockwise seen from the foot');
    expect(callText(geared as never, { value: -3 }, 'right')).toContain('the control anticlockwise seen from the foot');
    expect(callText(geared as never, { value: 0 }, 'right')).not.toContain('control');
  });

  it('has no sign in it', () => {
    for (const guide of demo.guides)
      for (const link of guide.links)
        for (const value of 'values' in link
          ? link.values
          : 'sizes' in link || link.kind === 'sized'
            ? [54, 60]
            : [-8, -1, 0, 3]) {
          const text = callText(link, { value, site: 'plateauMedial' }, 'left');
          expect(text).not.toMatch(/(^|[^a-z])[-+\u2212]\d/);
        }
  });

  it('said and heard again is the same setting', () => {
    for (const guide of demo.guides)
      for (const link of guide.links)
        for (const value of [-7, -0.5, 0, 0.3125, 8]) {
          if ((link.kind === 'slide' && link.sizes) || link.kind === 'sized') continue;
          const { amount, sense } = spoken(link, value);
          if (sense !== undefined) expect(amount).toBeGreaterThanOrEqual(0);
          expect(unspoken(link, amount, sense)).toBeCloseTo(value, 12);
        }
  });

  it('of a slide without a word of direction is not understood; the engraved number of a ring is', () => {
    const slide = linkOf(guideOf(demo, 'shin-mast'), 'ankleSlide');
    expect(unspoken(slide, 7, undefined)).toBeUndefined();
    expect(unspoken(slide, 7, 'valgus')).toBeUndefined();
    expect(unspoken(linkOf(guideOf(demo, 'canal-core'), 'collar'), 7, undefined)).toBe(7);
    expect(unspoken(linkOf(guideOf(demo, 'canal-core'), 'collar'), 7, 'varus')).toBe(-7);
  });
});
