import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { guideOf, kitFrom, withGuide, withLinks } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { shin } from './bone-by-hand.fixture.ts';
import { neutralSettings } from './choices.ts';
import { outputsOf } from './outputs.ts';
import { nothingMade } from './placement.ts';
import { planLeg } from './plan.ts';
import { walk } from './walker.ts';

/** Hazard 13 of the trade notes, section 7: a guide that is turned makes varus of its slope. Vectors of 3.4 are in shin-mast.test. */
const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const mast = guideOf(demo, 'shin-mast');
const rad = (value: number): number => (value * Math.PI) / 180;
const deg = (value: number): number => (value * 180) / Math.PI;

/** Closed form: a head of slope s turned out by r cuts atan(tan s sin r) of varus; 2.40 is exercise 4 of the trade notes. */
it.each([
  { turned: 10, varus: 1.22 },
  { turned: 20, varus: 2.4 },
  { turned: -20, varus: -2.4 },
])('a head of 7 deg turned $turned deg out cuts $varus varus', ({ turned, varus }) => {
  const leg = shin();
  const settings = {
    ...neutralSettings(mast, demo.components, 'right'),
    head: { value: 7 },
    headTurn: { value: turned },
  };
  const cut = outputsOf(walk(mast, leg, settings, demo.components, nothingMade), leg);
  expect(deg(cut.tibiaVarus!)).toBeCloseTo(varus, 2);
  expect(deg(cut.tibiaVarus!)).toBeCloseTo(deg(Math.atan(Math.tan(rad(7)) * Math.sin(rad(turned)))), 9);
});

describe('the plan says what a turn of 10 deg by eye would do', () => {
  const told = (slope: number, ankleOffset: number, heads: readonly number[]): readonly string[] => {
    const kit = withGuide(demo, withLinks(mast, { head: { values: heads } }));
    const leg = typedLeg('right', 'MPTA=90deg', `slope=${slope}deg`, 'tibiaSpan=350mm', `ankleOffset=${ankleOffset}mm`);
    return planLeg(leg, kit, philosophy('kinematic'))
      .findings.filter((f) => f.code === 'turn-couples' && !f.message.startsWith('Head,'))
      .map((f) => f.message);
  };

  it('to a head of 7 deg: 1.22 deg in the front view, and nothing to a yoke without slides', () => {
    expect(told(7, 0, [7])).toEqual(['Head turn, 10 deg off by eye, moves the tibial cut, front view by 1.22 deg.']);
  });

  /** Source: trade notes, 3.4: slide 3, forward 12.22, head 3: yoke turned 0.355, head turned 0.523; called at 3.5 and 12 mm. */
  it('to a head of 3 deg with 12 mm of front slide: 0.35 by the yoke and 0.52 by the head', () => {
    expect(told(5, 3, [3])).toEqual([
      'Yoke turn, 10 deg off by eye, moves the tibial cut, front view by 0.35 deg.',
      'Head turn, 10 deg off by eye, moves the tibial cut, front view by 0.52 deg.',
    ]);
  });

  it('to a square head without slides: nothing', () => {
    expect(told(0, 0, [0])).toEqual([]);
  });
});
