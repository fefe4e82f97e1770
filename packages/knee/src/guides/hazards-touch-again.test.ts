import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom } from '../kits/kit.fixture.ts';
import { touchAgain } from './touch-again.ts';

/** Hazard 30 of the trade notes, section 7: a depth that a later angle has moved. */
const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));

const orders = <T>(items: readonly T[]): readonly (readonly T[])[] =>
  items.length === 0
    ? [[]]
    : items.flatMap((item, k) => orders([...items.slice(0, k), ...items.slice(k + 1)]).map((rest) => [item, ...rest]));

/**
 * By hand, from the guides of the demo kit: which parts each depth hangs under. On the shin mast the slit hangs under the yoke,
 * both slides and the head; on the canal core under the collar.
 */
describe.each([
  {
    guide: 'shin-mast',
    angles: { ankleSlide: 'Ankle slide', head: 'Head' },
    depths: { feeler: 'Feeler', fine: 'Fine screw' },
  },
  { guide: 'shin-mast', angles: { frontSlide: 'Front slide', yokeTurn: 'Yoke turn' }, depths: { feeler: 'Feeler' } },
  { guide: 'canal-core', angles: { collar: 'Collar', headTurn: 'Head' }, depths: { dial: 'Dial' } },
] as const)('on the $guide, in every order of $angles and $depths', ({ guide: id, angles, depths }) => {
  const guide = guideOf(demo, id);
  const [angleIds, depthIds] = [Object.keys(angles), Object.keys(depths)];

  it('a depth is to be touched again when an angle over it was set later, and not else', () => {
    let asked = 0;
    for (const order of orders([...angleIds, ...depthIds])) {
      const found = touchAgain(
        guide,
        (link) => (order.includes(link) ? order.indexOf(link) : undefined),
        (link) => order.includes(link),
      );
      for (const depth of depthIds) {
        const says = (depths as Readonly<Record<string, string>>)[depth]!;
        const later = angleIds.filter((angle) => order.indexOf(angle) > order.indexOf(depth));
        const own = found.filter((f) => f.code === 'touch-again' && f.message.includes(`after ${says} was touched`));
        expect(own, `${order.join(', ')}: ${depth}`).toHaveLength(later.length > 0 ? 1 : 0);
        for (const angle of later) {
          expect(own[0]!.message).toContain((angles as Readonly<Record<string, string>>)[angle]!);
        }
        asked += own.length;
      }
    }
    expect(asked).toBeGreaterThan(0);
  });

  it('a depth that was only called, not read back, is not', () => {
    for (const order of orders([...angleIds, ...depthIds])) {
      const lastSet = (link: string): number | undefined => (order.includes(link) ? order.indexOf(link) : undefined);
      expect(touchAgain(guide, lastSet, () => false)).toEqual([]);
    }
  });
});
