import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { guideOf, kitFrom, withGuide, withLinks } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { planLeg } from './plan.ts';

/**
 * Hazard 12 of the trade notes, section 7: marks that are valid for another span. Closed form: on an upright mast with a flat
 * head, n marks of 7 mm cut atan((c + 7 n) / span) of varus, with the middle of the malleoli c mm lateral of the ankle centre.
 */
const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const flat = withGuide(demo, withLinks(guideOf(demo, 'shin-mast'), { head: { values: [0] } }));
const kit = { ...flat, guides: flat.guides.filter((guide) => guide.id === 'shin-mast') };
const deg = (value: number): number => (value * 180) / Math.PI;

const spans = Array.from({ length: 18 }, (_, k) => 280 + 10 * k);
const rows = spans.flatMap((span) =>
  [0, 3].flatMap((offset) => [1, 2, 3, -2].map((varus) => ({ span, offset, varus }))),
);

it('marks on spans of 280 to 450 mm are told with what counting them would cut, as a doubt beyond half a degree', () => {
  const seen = { doubt: 0, info: 0 };
  for (const { span, offset, varus } of rows) {
    const leg = typedLeg('left', 'MPTA=90deg', 'slope=3deg', `tibiaSpan=${span}mm`, `ankleOffset=${offset}mm`);
    const { findings } = planLeg(leg, kit, philosophy('kinematic'), { wanted: { tibiaVarus: varus } });
    const said = findings.filter((f) => f.code === 'marks-not-true' && f.message.includes('Ankle slide'));
    const where = `${varus} varus on ${span} mm, offset ${offset}`;
    expect(said, where).toHaveLength(1);
    const cuts = deg(Math.atan((offset + 7 * varus) / span));
    const severity = Math.abs(cuts - varus) > 0.5 ? 'doubt' : 'info';
    expect(said[0]!.severity, where).toBe(severity);
    expect(said[0]!.message, where).toContain(
      `on this leg (${span} mm) it is ${deg(Math.atan(7 / span)).toFixed(3)} deg`,
    );
    expect(said[0]!.message, where).toContain(
      `would cut ${Math.abs(cuts).toFixed(2)} ${cuts >= 0 ? 'varus' : 'valgus'}`,
    );
    seen[severity] += 1;
  }
  // Both are met: short shins mislead, those near 400 mm do not.
  expect(seen.doubt).toBeGreaterThan(20);
  expect(seen.info).toBeGreaterThan(20);
});
