import { readFileSync } from 'node:fs';
import { env } from 'node:process';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { philosophies } from '../aims/philosophy.ts';
import { proveLeg } from '../cuts/proof.ts';
import { kitFrom, withLinks } from '../kits/kit.fixture.ts';
import type { Kit } from '../kits/kit.ts';
import { quantities } from '../leg/quantities.ts';
import { typedRanges, typedValues } from '../leg/stated-leg.fixture.ts';
import { legFromStated } from '../leg/stated-leg.ts';
import type { Side } from '../side.ts';
import { calledOf, planLeg } from './plan.ts';

/** Law of design 3, and hazard 4 of the trade notes: one knee as left and as right has the same numbers and other side words. */

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const cases = env.KERFLINE_FULL === '1' ? 10_000 : 2_000;

const anyValues = fc.record(
  Object.fromEntries(
    Object.entries(typedRanges).map(([name, [min, max]]) => [name, fc.double({ min, max, noNaN: true })]),
  ),
);

/** A demo kit with fewer rings and shims: the law is the same, and the search for the settings shorter. */
const shorter = (collar: number, head: number): Kit => ({
  ...demo,
  guides: demo.guides.map((guide) =>
    withLinks(guide, { collar: { values: [collar] }, head: { values: [head] }, foot: { shimsMm: [] } }),
  ),
});

/** Words of a left leg as they are on a right one. */
const swap: Readonly<Record<string, string>> = {
  'anticlockwise seen from the foot': 'clockwise seen from the foot',
  'clockwise seen from the foot': 'anticlockwise seen from the foot',
  LEFT: 'RIGHT',
  RIGHT: 'LEFT',
};
const mirrored = (text: string): string =>
  text.replace(
    /anticlockwise seen from the foot|clockwise seen from the foot|\bLEFT\b|\bRIGHT\b/g,
    (word) => swap[word]!,
  );

/** Two trees of data are alike: numbers to 1e-9, texts but for the side words, everything else the same. */
function alike(left: unknown, right: unknown, path: string): void {
  if (typeof left === 'number' && typeof right === 'number') {
    if (!(Math.abs(left - right) <= 1e-9)) expect(left, path).toBe(right);
  } else if (typeof left === 'string' && typeof right === 'string') {
    if (mirrored(left) !== right) expect(mirrored(left), path).toBe(right);
  } else if (left !== null && right !== null && typeof left === 'object' && typeof right === 'object') {
    const keys = Object.keys(left);
    if (keys.join() !== Object.keys(right).join()) expect(keys, path).toEqual(Object.keys(right));
    for (const key of keys) alike(left[key as never], right[key as never], `${path}.${key}`);
  } else if (left !== right) {
    expect(left, path).toBe(right);
  }
}

describe('one knee as left and as right', () => {
  it(`has the same plan and proof to 1e-9, with the side words exchanged, in ${cases} cases`, {
    timeout: 600_000,
  }, () => {
    let seen = 0;
    let turned = 0;
    fc.assert(
      fc.property(
        anyValues,
        fc.constantFrom(...philosophies),
        fc.integer({ min: 3, max: 9 }),
        fc.constantFrom(0, 3, 5, 7),
        (values, philosophy, collar, head) => {
          const kit = shorter(collar, head);
          const worked = (side: Side) => {
            const leg = legFromStated(side, typedValues(values));
            const plan = planLeg(leg, kit, philosophy);
            // Every eighth case to its end; the proof of a plan has no other way to know the side than its leg.
            const proof = seen % 8 === 0 ? proveLeg(leg, kit, calledOf(plan)) : undefined;
            const { guides: _, ...shown } = plan;
            return { shown, proof, quantities: seen % 8 === 0 ? quantities(leg) : undefined };
          };
          const [left, right] = [worked('left'), worked('right')];
          seen += 1;
          alike(left, right, 'case');
          if (JSON.stringify(left.shown.settings).includes('clockwise')) turned += 1;
        },
      ),
      { numRuns: cases },
    );
    // The law is not kept by silence: side words were spoken.
    expect(turned).toBeGreaterThan(cases / 20);
  });

  it('says the sides it is for: LEFT and clockwise on a left knee, RIGHT and anticlockwise on a right one', () => {
    const texts = (side: Side): string => {
      const values = Object.fromEntries(
        Object.entries(typedRanges).map(([name, [min, max]]) => [name, (min + max) / 2]),
      );
      const plan = planLeg(legFromStated(side, typedValues(values)), demo, philosophies[0]!);
      return plan.settings.map((s) => s.text).join('\n');
    };
    expect(texts('left')).toContain('face LEFT up');
    expect(texts('left')).toContain('Turn 3 external, clockwise seen from the foot, on the scale marked LEFT');
    expect(texts('left')).not.toContain('RIGHT');
    expect(texts('right')).toContain('face RIGHT up');
    expect(texts('right')).toContain('Turn 3 external, anticlockwise seen from the foot, on the scale marked RIGHT');
    expect(texts('right')).not.toContain('LEFT');
  });
});
