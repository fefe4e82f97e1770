import { readFileSync } from 'node:fs';
import { env } from 'node:process';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom } from '../kits/kit.fixture.ts';
import { shin, thigh } from './bone-by-hand.fixture.ts';
import type { Guide, Link } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { type OutputName, outputsOf, resectionFromIntact } from './outputs.ts';
import { nothingMade } from './placement.ts';
import type { Setting } from './setting.ts';
import { type OutputTarget, solveGuide } from './solve.ts';
import { walk } from './walker.ts';

/** Solved settings against the slow obvious way: every combination of steps, slides by a grid that is made finer and finer. */

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const mast = guideOf(demo, 'shin-mast');
const core = guideOf(demo, 'canal-core');
const full = env.KERFLINE_FULL === '1';
const rad = (value: number): number => (value * Math.PI) / 180;
const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
type Settings = Readonly<Record<string, Setting>>;

const outputs = (guide: Guide, leg: LegView, settings: Settings): Partial<Record<OutputName, number>> =>
  outputsOf(walk(guide, leg, settings, demo.components, nothingMade), leg);

const angle = (output: OutputName, deg: number): OutputTarget => ({ output, value: rad(deg), tolerance: rad(1) });

const costOf = (found: Partial<Record<OutputName, number>>, targets: readonly OutputTarget[]): number =>
  targets.reduce((sum, t) => sum + ((found[t.output]! - t.value) / t.tolerance) ** 2, 0);

/** Least of a function of two numbers in a box: the best point of a grid, then a smaller grid about it, and so on. */
function finest(of: (x: number, y: number) => number, box: readonly [number, number, number, number]) {
  let [x0, x1, y0, y1] = box;
  let best = { x: x0, y: y0, cost: Infinity };
  for (let level = 0; level < 26; level += 1) {
    const n = level === 0 ? 20 : 6;
    for (let i = 0; i <= n; i += 1)
      for (let j = 0; j <= n; j += 1) {
        const [x, y] = [x0 + ((x1 - x0) * i) / n, y0 + ((y1 - y0) * j) / n];
        const cost = of(x, y);
        if (cost < best.cost) best = { x, y, cost };
      }
    const [rx, ry] = [(x1 - x0) / (level === 0 ? 10 : 4), (y1 - y0) / (level === 0 ? 10 : 4)];
    [x0, x1] = [Math.max(box[0], best.x - rx), Math.min(box[1], best.x + rx)];
    [y0, y1] = [Math.max(box[2], best.y - ry), Math.min(box[3], best.y + ry)];
  }
  return best;
}

const standing = {
  yokeTurn: { value: 0 },
  headTurn: { value: 0 },
  feeler: { value: 0, site: 'plateauLateral' },
  fine: { value: 0 },
  seat: { value: 0, seat: 'middle' },
  pins: { value: 0, row: 'm0' },
};

describe('the shin mast', () => {
  it('is set for angles as well as any head with any slides, and with the least travel where several are exact', {
    timeout: 300_000,
  }, () => {
    fc.assert(
      fc.property(
        fc.record({ c: number(-2, 6), span: number(290, 430), xp: number(-3, 3) }),
        number(-6, 7),
        number(-2, 15),
        (build, v, p) => {
          const leg = shin(build);
          const targets = [angle('tibiaVarus', v), angle('tibiaSlope', p)];
          const tried = [0, 3, 5, 7].map((head) => {
            const cost = (m: number, a: number): number =>
              costOf(
                outputs(mast, leg, {
                  ...standing,
                  head: { value: head },
                  ankleSlide: { value: m },
                  frontSlide: { value: a },
                }),
                targets,
              );
            const best = finest(cost, [-20, 20, 0, 40]);
            return { cost: best.cost, travel: Math.abs(best.x) + Math.abs(best.y) };
          });
          const least = Math.min(...tried.map((t) => t.cost));
          const solved = solveGuide({ guide: mast, leg, components: demo.components, made: nothingMade, targets });
          expect(solved.cost).toBeLessThan(least + 1e-9);
          // Where a head alone decides, its travel is that of the best; where several are exact, the least of them.
          const travel = Math.min(...tried.filter((t) => t.cost < least + 1e-10).map((t) => t.travel));
          expect(solved.travel).toBeLessThan(travel + 1e-3);
        },
      ),
      { numRuns: full ? 300 : 40 },
    );
  });

  it('with a second ring and a hinge in steps is set as well as every one of their 60 combinations', () => {
    const more: readonly Link[] = [
      { kind: 'ring', id: 'lean', on: 'headTurn', says: 'Lean', turn: 'varus', values: [-2, 0, 1.5], sd: 0.1 },
      {
        kind: 'swing',
        id: 'tip',
        on: 'lean',
        says: 'Tip',
        turn: 'anteriorSlope',
        range: [-2, 2],
        zero: 0,
        step: 1,
        sd: 0.1,
      },
    ];
    const fixed = mast.links.map((link): Link => {
      if (link.kind === 'slide') return { ...link, setBy: 'sight' };
      return link.id === 'head' ? { ...link, on: 'tip' } : link;
    });
    const guide: Guide = { ...mast, links: [...fixed.slice(0, 6), ...more, ...fixed.slice(6)] };
    fc.assert(
      fc.property(number(-5, 5), number(-4, 12), number(-2, 6), (v, p, c) => {
        const leg = shin({ c });
        const targets = [angle('tibiaVarus', v), angle('tibiaSlope', p)];
        let least = Infinity;
        for (const head of [0, 3, 5, 7])
          for (const lean of [-2, 0, 1.5])
            for (const tip of [-2, -1, 0, 1, 2]) {
              const set = { head, lean, tip, ankleSlide: 0, frontSlide: 0 };
              const settings = Object.fromEntries(Object.entries(set).map(([id, value]) => [id, { value }]));
              least = Math.min(least, costOf(outputs(guide, leg, { ...standing, ...settings }), targets));
            }
        const solved = solveGuide({ guide, leg, components: demo.components, made: nothingMade, targets });
        expect(Math.abs(solved.cost - least)).toBeLessThan(1e-9);
      }),
      { numRuns: full ? 500 : 60 },
    );
  });
});

/**
 * The rules of the settings, written out: the collar nearest to the wanted angle; then of every shim, dial and pin row the
 * depth that is nearest without being too deep (a twentieth of a millimetre is not), where a shim is worth half a millimetre.
 */
describe('the canal core', () => {
  it('has the collar and the depth of every one of its 1764 combinations, rounded to the shallower side', () => {
    const shims: readonly Readonly<Record<string, number>>[] = [
      {},
      ...['distalMedial', 'distalLateral'].flatMap((site) => [1, 2, 3].map((mm) => ({ [site]: mm }))),
    ];
    fc.assert(
      fc.property(
        fc.record({ alpha: number(3, 9), beta: number(-3, 3), lateralUp: number(-4, 4), w: number(42, 54) }),
        number(-4, 5),
        number(5, 15),
        (build, phi, depth) => {
          const leg = thigh(build);
          const deepest = (settings: Settings): number => {
            const plane = walk(core, leg, settings, demo.components, nothingMade).cuts[0]!;
            return Math.max(
              ...(['distalMedial', 'distalLateral'] as const).map((s) => resectionFromIntact(plane, leg, s)),
            );
          };
          const rest = { headTurn: { value: 0 }, dial: { value: 9 }, extra: { value: 0 }, foot: { value: 0 } };
          const off = [3, 4, 5, 6, 7, 8, 9].map((value) => ({
            value,
            by: Math.abs(outputs(core, leg, { ...rest, collar: { value } }).femurValgus! - rad(phi)),
          }));
          const collar = off.reduce((a, b) => (b.by < a.by ? b : a)).value;
          let least = Infinity;
          for (const shimsMm of shims)
            for (let dial = 6; dial <= 14; dial += 1)
              for (const extra of [-2, 0, 2, 4]) {
                const too =
                  deepest({
                    ...rest,
                    collar: { value: collar },
                    dial: { value: dial },
                    extra: { value: extra },
                    foot: { value: 0, shimsMm },
                  }) - depth;
                if (too <= 0.05) least = Math.min(least, too ** 2 + (Object.keys(shimsMm).length > 0 ? 0.25 : 0));
              }
          const targets = [angle('femurValgus', phi), { output: 'femurCutDepth' as const, value: depth, tolerance: 1 }];
          const solved = solveGuide({ guide: core, leg, components: demo.components, made: nothingMade, targets });
          expect(solved.settings.collar!.value).toBe(collar);
          const found = deepest(solved.settings) - depth;
          const shimmed = Object.values(solved.settings.foot!.shimsMm ?? {}).some((mm) => mm > 0);
          expect(found).toBeLessThanOrEqual(0.05 + 1e-9);
          expect(found ** 2 + (shimmed ? 0.25 : 0)).toBeCloseTo(least, 9);
        },
      ),
      { numRuns: full ? 300 : 40 },
    );
  });

  it('between depths that are equal takes no pin row but 0 and no shim', () => {
    const leg = thigh({ alpha: 6 });
    const { settings } = solveGuide({
      guide: core,
      leg,
      components: demo.components,
      made: nothingMade,
      targets: [angle('femurValgus', 0), { output: 'femurCutDepth', value: 9, tolerance: 1 }],
    });
    // 9 could be 9 + 0, 7 + 2, 11 - 2 or 9 over a shim.
    expect([settings.dial!.value, settings.extra!.value, settings.foot!.shimsMm ?? {}]).toEqual([9, 0, {}]);
  });
});
