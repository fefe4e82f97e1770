import { type Polygon, polygonArea, rad } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { TraySize } from '../kits/kit.ts';
import { ellipse, rectangle } from './prism.fixture.ts';
import {
  bestTrayPlace,
  placedTray,
  type TrayFamily,
  type TrayPlace,
  trayChoices,
  trayChoicesByNumbers,
  trayFit,
  trayLimits,
} from './tray-fit.ts';

const size = (size: number, depthMm: number): TraySize => ({
  size,
  depthMm,
  thicknessMm: 4,
  keelMm: 35,
  drillMm: 13,
  wingMm: 18,
});
const place = (l: number, a: number, turnDeg = 0): TrayPlace => ({ l, a, turn: rad((turnDeg * Math.PI) / 180) });

/** Outlines by shares: a rectangle, an ellipse, and one with a notch at the back that leans to one side. */
const square: Polygon = rectangle(-0.5, 0.5, -0.5, 0.5);
const round: Polygon = ellipse(0.5, 0.5, [0, 0], 360);
const leaning: Polygon = [
  [-0.5, 0],
  [-0.3, -0.5],
  [-0.1, -0.45],
  [0, -0.3],
  [0.1, -0.45],
  [0.35, -0.48],
  [0.5, 0.1],
  [0.2, 0.5],
  [-0.25, 0.45],
];
/** A tibia with a wide medial and a narrow lateral side. */
const tibia: Polygon = ellipse(36, 24, [0, 0], 90).map(([x, y]) => [x + 2, y + 4 - 0.08 * x + 0.002 * x * x]);

const turnedAbout = (polygon: Polygon, turnDeg: number, [l, a]: readonly [number, number] = [0, 0]): Polygon => {
  const t = (turnDeg * Math.PI) / 180;
  // External: the front goes lateral.
  return polygon.map(([x, y]) => [l + x * Math.cos(t) + y * Math.sin(t), a - x * Math.sin(t) + y * Math.cos(t)]);
};
const mirrored = (polygon: Polygon): Polygon => polygon.map(([x, y]) => [-x, y] as const).reverse();

describe('a tray laid down', () => {
  it('turned 30 deg external has its front middle at sin 30 lateral and cos 30 in front of its middle', () => {
    const front: Polygon = [
      [0, 0.5],
      [-0.5, 0],
      [0.5, 0],
    ];
    const laid = placedTray(size(60, 40), front, place(3, -2, 30));
    expect(laid[0]![0]).toBeCloseTo(3 + 20 * 0.5, 12);
    expect(laid[0]![1]).toBeCloseTo(-2 + 20 * Math.sqrt(0.75), 12);
    // Its lateral end then lies toward the back.
    expect(laid[2]![1]).toBeCloseTo(-2 - 30 * 0.5, 12);
  });
});

describe('a tray on a bone', () => {
  it('of its own shape, smaller by 0.9, covers 0.81 of it', () => {
    const fit = trayFit(ellipse(40, 26), size(72, 46.8), round, place(0, 0));
    expect(fit.cover).toBeCloseTo(0.81, 4);
    expect(fit.beside).toBeCloseTo(0, 6);
  });

  /** Closed form: a round tray of radius 25 with its middle d medial of that of a round bone of radius 24. */
  it.each([0, 1.5, 3])('both round, %d mm off to medial, stands out by what the circles say', (d) => {
    const fit = trayFit(ellipse(24, 24), size(50, 50), round, place(-d, 0));
    // The same by the formula of two circles, tried all round: what stands out goes straight out from the bone's middle.
    const out = (way: (p: readonly [number, number]) => number, radius: number, over: number, off: number): number =>
      Array.from({ length: 3600 }, (_, k): readonly [number, number] => [
        radius * Math.cos((k * Math.PI) / 1800) + off,
        radius * Math.sin((k * Math.PI) / 1800),
      ]).reduce((most, p) => {
        const far = Math.hypot(...p);
        return far > over ? Math.max(most, (way(p) * (far - over)) / far) : most;
      }, 0);
    const toMedial = ([x]: readonly [number, number]): number => -x;
    const toLateral = ([x]: readonly [number, number]): number => x;
    const toFront = ([, y]: readonly [number, number]): number => y;
    expect(fit.overhangMm.medial).toBeCloseTo(25 + d - 24, 2);
    expect(fit.overhangMm.lateral).toBeCloseTo(out(toLateral, 25, 24, -d), 2);
    expect(fit.overhangMm.front).toBeCloseTo(out(toFront, 25, 24, -d), 2);
    expect(fit.overhangMm.back).toBeCloseTo(fit.overhangMm.front, 2);
    // Bare bone shows laterally: seen from the tray the bone's middle lies d lateral.
    expect(fit.underCoverMm.lateral).toBeCloseTo(Math.max(0, 24 + d - 25), 2);
    expect(fit.underCoverMm.medial).toBeCloseTo(out(toMedial, 24, 25, d), 2);
  });

  it('both rectangles turned 10 deg external: 76 x 46 on 80 x 50 leaves 2 mm bare at every edge', () => {
    const bone = turnedAbout(rectangle(-40, 40, -25, 25), 10, [4, -3]);
    const fit = trayFit(bone, size(76, 46), square, place(4, -3, 10));
    expect(fit.cover).toBeCloseTo((76 * 46) / (80 * 50), 6);
    for (const side of ['medial', 'lateral', 'front', 'back'] as const) {
      expect(fit.overhangMm[side]).toBe(0);
      expect(fit.underCoverMm[side]).toBeCloseTo(2, 9);
    }
  });

  it('turned 10 deg on a bone that is not, stands out at its corners by what they swing', () => {
    // Closed form, seen along the bone: the lateral front corner (38, 23) swings to 38 cos 10 + 23 sin 10 lateral, past 40; the
    // lateral rear one to 38 sin 10 + 23 cos 10 behind, past 25. Sides are the tray's: each is seen under 10 deg.
    const t = (10 * Math.PI) / 180;
    const fit = trayFit(rectangle(-40, 40, -25, 25), size(76, 46), square, place(0, 0, 10));
    const across = 38 * Math.cos(t) + 23 * Math.sin(t) - 40;
    const along = 38 * Math.sin(t) + 23 * Math.cos(t) - 25;
    expect(fit.overhangMm.lateral).toBeCloseTo(across * Math.cos(t), 9);
    expect(fit.overhangMm.medial).toBeCloseTo(across * Math.cos(t), 9);
    expect(fit.overhangMm.front).toBeCloseTo(along * Math.cos(t), 9);
    expect(fit.overhangMm.back).toBeCloseTo(along * Math.cos(t), 9);
  });

  it('with a notch leaves bare what the notch shows, and reaches as far as without', () => {
    // By hand: a notch 16 wide and 6 deep, a triangle of 48 mm2 of 80 x 50.
    const notched: Polygon = [
      [-0.5, -0.5],
      [-0.1, -0.5],
      [0, -0.38],
      [0.1, -0.5],
      [0.5, -0.5],
      [0.5, 0.5],
      [-0.5, 0.5],
    ];
    const fit = trayFit(rectangle(-40, 40, -25, 25), size(80, 50), notched, place(0, 0));
    expect(fit.cover).toBeCloseTo(1 - 48 / 4000, 6);
    for (const side of ['medial', 'lateral', 'front', 'back'] as const) {
      expect(fit.underCoverMm[side]).toBeCloseTo(0, 9);
      expect(fit.overhangMm[side]).toBeCloseTo(0, 9);
    }
  });

  const anyPlace = fc.record({
    l: fc.double({ min: -15, max: 15, noNaN: true }),
    a: fc.double({ min: -15, max: 15, noNaN: true }),
    turnDeg: fc.double({ min: -30, max: 30, noNaN: true }),
  });
  const anyTray = fc.record({
    width: fc.double({ min: 55, max: 85, noNaN: true }),
    depth: fc.double({ min: 35, max: 55, noNaN: true }),
  });

  it('seen in a mirror has medial and lateral changed over and all else the same', () => {
    fc.assert(
      fc.property(anyPlace, anyTray, ({ l, a, turnDeg }, { width, depth }) => {
        const fit = trayFit(tibia, size(width, depth), leaning, place(l, a, turnDeg));
        const seen = trayFit(mirrored(tibia), size(width, depth), mirrored(leaning), place(-l, a, -turnDeg));
        expect(seen.cover).toBeCloseTo(fit.cover!, 7);
        for (const what of ['overhangMm', 'underCoverMm'] as const) {
          expect(seen[what].medial).toBeCloseTo(fit[what].lateral, 9);
          expect(seen[what].lateral).toBeCloseTo(fit[what].medial, 9);
          expect(seen[what].front).toBeCloseTo(fit[what].front, 9);
          expect(seen[what].back).toBeCloseTo(fit[what].back, 9);
        }
      }),
    );
  });

  it('moved and turned with its bone fits as before', () => {
    fc.assert(
      fc.property(anyPlace, anyPlace, anyTray, (on, by, { width, depth }) => {
        const tray = size(width, depth);
        const fit = trayFit(tibia, tray, leaning, place(on.l, on.a, on.turnDeg));
        const [moved] = turnedAbout([[on.l, on.a]], by.turnDeg, [by.l, by.a]);
        const there = place(moved![0], moved![1], on.turnDeg + by.turnDeg);
        const again = trayFit(turnedAbout(tibia, by.turnDeg, [by.l, by.a]), tray, leaning, there);
        expect(again.cover).toBeCloseTo(fit.cover!, 7);
        for (const side of ['medial', 'lateral', 'front', 'back'] as const) {
          expect(again.overhangMm[side]).toBeCloseTo(fit.overhangMm[side], 7);
          expect(again.underCoverMm[side]).toBeCloseTo(fit.underCoverMm[side], 7);
        }
      }),
    );
  });

  it('covers from none to all of it, and what it covers and what lies beside make up the tray', () => {
    fc.assert(
      fc.property(anyPlace, anyTray, ({ l, a, turnDeg }, { width, depth }) => {
        const there = place(4 * l, 4 * a, turnDeg);
        const { cover, beside } = trayFit(tibia, size(width, depth), leaning, there);
        expect(cover).toBeGreaterThanOrEqual(0);
        expect(cover).toBeLessThanOrEqual(1 + 1e-9);
        const laid = placedTray(size(width, depth), leaning, there);
        expect((cover! + beside!) * polygonArea(tibia)).toBeCloseTo(polygonArea(laid), 6);
      }),
    );
  });
});

describe('the best place for a tray', () => {
  it('of the shape of the bone is the middle of the bone, at its turn', () => {
    const bone = turnedAbout(ellipse(37, 24), 8, [3, 5]);
    const best = bestTrayPlace(bone, size(72, 46), round, place(0, 0, 8).turn);
    expect(best.l).toBeCloseTo(3, 1);
    expect(best.a).toBeCloseTo(5, 1);
    expect(best.turn).toBe(place(0, 0, 8).turn);
  });

  it('of a tray too wide shares what is over the limits: 9 mm over, 2 and 3 allowed, stands 4 medial and 5 lateral', () => {
    expect(trayLimits.overhangMm).toMatchObject({ medial: 2, lateral: 3 });
    const bone = rectangle(-35, 35, -25, 25);
    const best = bestTrayPlace(bone, size(79, 40), square, rad(0));
    const { overhangMm } = trayFit(bone, size(79, 40), square, best);
    expect(Math.abs(overhangMm.medial - 4)).toBeLessThan(0.15);
    expect(Math.abs(overhangMm.lateral - 5)).toBeLessThan(0.15);
  });

  /** Brute force: every place of a fine grid about the one found. */
  it.each([
    { width: 66, depth: 44, turnDeg: 0 },
    { width: 72, depth: 47, turnDeg: 6 },
    { width: 76, depth: 50, turnDeg: -4 },
    { width: 84, depth: 54, turnDeg: 3 },
  ])('of $width x $depth turned $turnDeg has no better place within 3 mm', ({ width, depth, turnDeg }) => {
    const tray = size(width, depth);
    const { turn } = place(0, 0, turnDeg);
    const judged = (at: TrayPlace): { readonly excess: number; readonly cover: number } => {
      const { cover, overhangMm } = trayFit(tibia, tray, leaning, at);
      const over = (['medial', 'lateral', 'front', 'back'] as const).map((side) =>
        Math.max(0, overhangMm[side] - trayLimits.overhangMm[side]),
      );
      return { excess: Math.hypot(...over), cover: cover! };
    };
    const best = bestTrayPlace(tibia, tray, leaning, turn);
    const found = judged(best);
    for (let i = -6; i <= 6; i += 1) {
      for (let j = -6; j <= 6; j += 1) {
        const other = judged({ l: best.l + i / 2, a: best.a + j / 2, turn });
        // Within what the search keeps off limits and the length of its last step.
        expect(other.excess).toBeGreaterThan(found.excess - 0.1);
        if (other.excess <= found.excess) expect(other.cover).toBeLessThan(found.cover + 0.004);
      }
    }
  });
});

describe('trays for a bone', () => {
  const family: TrayFamily = {
    tray: [62, 65, 68, 71, 74, 77, 80].map((width, k) => size(width, 41 + 2 * k)),
    trayOutline: round,
  };
  const all = family.tray.map((tray) => tray.size);

  it.each(family.tray)('$size x $depthMm of exactly a size take that size first, with nothing to say', (tray) => {
    const [first] = trayChoices(ellipse(tray.size / 2, tray.depthMm / 2, [2, 3]), family, rad(0), all);
    expect(first!.tray.size).toBe(tray.size);
    expect(first!.beyond).toEqual([]);
    expect(first!.fit.cover).toBeGreaterThan(0.99);
  });

  it('are only those allowed', () => {
    const sizes = trayChoices(ellipse(37, 24.5), family, rad(0), [65, 80]).map(({ tray }) => tray.size);
    expect([...sizes].sort()).toEqual([65, 80]);
  });

  it('say which limits they break, on which side and by how much', () => {
    // By hand, on a bone of 70 x 47: 71 fits; 62 leaves 4 mm bare to either side, 1 too many; 80 is 10 mm too wide, and of
    // those 5 are allowed, so that it stands out by 2.5 too many on both sides.
    const bone = ellipse(35, 23.5);
    const choices = trayChoices(bone, family, rad(0), [62, 71, 80]);
    expect(choices.map(({ tray }) => tray.size)).toEqual([71, 62, 80]);
    const of = (s: number) => choices.find(({ tray }) => tray.size === s)!;
    expect(of(71).beyond).toEqual([]);
    for (const { what, limitMm, side, valueMm } of of(80).beyond) {
      expect(what).toBe('overhang');
      expect(limitMm).toBe(side === 'medial' ? 2 : 3);
      expect(valueMm).toBe(of(80).fit.overhangMm[side]);
      expect(valueMm).toBeGreaterThan(limitMm);
    }
    const over = of(80).beyond.find(({ side }) => side === 'medial')!;
    expect(Math.abs(over.valueMm - 4.5)).toBeLessThan(0.15);
    expect(new Set(of(62).beyond.map(({ what, limitMm }) => `${what} ${limitMm}`))).toEqual(new Set(['underCover 3']));
  });

  it('by numbers stand out by half of what they are larger by', () => {
    // By hand: a bone of 72 x 48.
    const choices = trayChoicesByNumbers(72, 48, family, all);
    const of = (s: number) => choices.find(({ tray }) => tray.size === s)!;
    expect(of(74).fit).toEqual({
      cover: undefined,
      beside: undefined,
      overhangMm: { medial: 1, lateral: 1, front: 0.5, back: 0.5 },
      underCoverMm: { medial: 0, lateral: 0, front: 0, back: 0 },
    });
    expect(of(71).fit.underCoverMm).toEqual({ medial: 0.5, lateral: 0.5, front: 0.5, back: 0.5 });
    expect(of(74).place).toBeUndefined();
    // Keeping every limit, by what is left on all four sides: 71 by 2, 74 by 3, 68 by 7, then 77 with 2.5 medial, 65, 80, 62.
    expect(choices.map(({ tray }) => tray.size)).toEqual([71, 74, 68, 77, 65, 80, 62]);
    expect(of(77).beyond).toEqual([{ what: 'overhang', side: 'medial', valueMm: 2.5, limitMm: 2 }]);
    expect(of(65).beyond.map(({ side, valueMm }) => [side, valueMm])).toEqual([
      ['medial', 3.5],
      ['lateral', 3.5],
    ]);
  });

  it('put a limit kept before a better match: 0.5 mm too much to medial comes after bare bone within its limit', () => {
    // By hand, on 72 x 48: 77 x 48 stands out by 2.5 on two sides, 5 mm in all; 72 x 42.2 leaves 2.9 bare on two, 5.8 in all.
    const odd = { tray: [size(77, 48), size(72, 42.2)] };
    expect(trayChoicesByNumbers(72, 48, odd, [72, 77]).map(({ tray }) => tray.size)).toEqual([72, 77]);
  });
});
