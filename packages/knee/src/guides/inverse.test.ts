import { readFileSync } from 'node:fs';
import { env } from 'node:process';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom, withLinks } from '../kits/kit.fixture.ts';
import { boneByHand, shin, thigh } from './bone-by-hand.fixture.ts';
import type { Guide, Link } from './guide.ts';
import { outputsOf } from './outputs.ts';
import { nothingMade } from './placement.ts';
import { type GuideProblem, type OutputTarget, solveGuide } from './solve.ts';
import { walk } from './walker.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const mast = guideOf(demo, 'shin-mast');
const runs = env.KERFLINE_FULL === '1' ? 2000 : 200;
const rad = (value: number): number => (value * Math.PI) / 180;
const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** Outputs of a guide set so, as targets for the way back. */
function targetsAt(
  problem: Omit<GuideProblem, 'targets'>,
  settings: Parameters<typeof walk>[2],
  names: readonly OutputTarget['output'][],
): readonly OutputTarget[] {
  const out = outputsOf(walk(problem.guide, problem.leg, settings, problem.components, problem.made), problem.leg);
  return names.map((output) => ({ output, value: out[output]!, tolerance: output.endsWith('Depth') ? 1 : rad(1) }));
}

describe('solving undoes setting', () => {
  it('on the shin mast: both slides come back to 1e-9 mm, on any leg and with any sighted turns', () => {
    fc.assert(
      fc.property(
        fc.record({ c: number(-2, 6), span: number(290, 430), xp: number(-3, 3), w: number(38, 50) }),
        fc.record({ m: number(-19.9, 19.9), a: number(0.1, 39.9), rd: number(-15, 15), rp: number(-15, 15) }),
        fc.constantFrom(0, 3, 5, 7),
        (build, set, p0) => {
          const guide = withLinks(mast, { head: { values: [p0] } });
          const problem = { guide, leg: shin(build), components: demo.components, made: nothingMade };
          const settings = {
            yokeTurn: { value: set.rd },
            ankleSlide: { value: set.m },
            frontSlide: { value: set.a },
            headTurn: { value: set.rp },
            head: { value: p0 },
            feeler: { value: 9, site: 'plateauLateral' },
            fine: { value: 0 },
            seat: { value: 0, seat: 'middle' },
            pins: { value: 0, row: 'm0' },
          };
          const targets = targetsAt(problem, settings, ['tibiaVarus', 'tibiaSlope']);
          const sighted = { yokeTurn: settings.yokeTurn, headTurn: settings.headTurn };
          const back = solveGuide({ ...problem, targets }, sighted);
          expect(Math.abs(back.settings.ankleSlide!.value - set.m)).toBeLessThan(1e-9);
          expect(Math.abs(back.settings.frontSlide!.value - set.a)).toBeLessThan(1e-9);
          expect(Math.abs(back.residuals.tibiaVarus!)).toBeLessThan(1e-11);
          expect(Math.abs(back.residuals.tibiaSlope!)).toBeLessThan(1e-11);
        },
      ),
      { numRuns: runs },
    );
  });

  it('on the shin mast: the screw makes any depth from intact exact to 1e-9 mm', () => {
    fc.assert(
      fc.property(number(6, 14), number(-3, 3), number(-4, 4), (depth, lateralUp, v) => {
        const leg = shin({ lateralUp, c: 2 });
        const solved = solveGuide({
          guide: mast,
          leg,
          components: demo.components,
          made: nothingMade,
          targets: [
            { output: 'tibiaVarus', value: rad(v), tolerance: rad(1) },
            { output: 'tibiaSlope', value: rad(8), tolerance: rad(1) },
            { output: 'tibiaCutDepth', value: depth, tolerance: 1 },
          ],
        });
        expect(Math.abs(solved.residuals.tibiaCutDepth!)).toBeLessThan(1e-9);
      }),
      { numRuns: runs },
    );
  });

  it('on a core with a collar without steps: the collar comes back to 1e-9 deg on any canal and head turn', () => {
    const collar: Link = {
      kind: 'swing',
      id: 'collar',
      on: 'headTurn',
      says: 'Collar',
      turn: 'valgus',
      range: [-5, 15],
      zero: 6,
      step: null,
      sd: 0.2,
    };
    const core = guideOf(demo, 'canal-core');
    const guide: Guide = { ...core, links: core.links.map((l) => (l.id === 'collar' ? collar : l)) };
    fc.assert(
      fc.property(number(3, 9), number(-4, 4), number(-10, 10), number(-2, 12), (alpha, beta, rho, sigma) => {
        const problem = { guide, leg: thigh({ alpha, beta }), components: demo.components, made: nothingMade };
        const settings = {
          headTurn: { value: rho },
          collar: { value: sigma },
          foot: { value: 0 },
          dial: { value: 9 },
          extra: { value: 0 },
        };
        const targets = targetsAt(problem, settings, ['femurValgus']);
        const back = solveGuide({ ...problem, targets }, { headTurn: settings.headTurn });
        expect(Math.abs(back.settings.collar!.value - sigma)).toBeLessThan(1e-9);
      }),
      { numRuns: runs },
    );
  });

  /** Source: trade notes, 3.6: pieces P_M and P_L are a turn of asin((P_M - P_L) / 48). */
  it('on a heel frame with a turn without steps: pieces of 10.5 and 8 mm over 48 mm need asin(2.5 / 48)', () => {
    const guide = withLinks(guideOf(demo, 'heel-frame'), { turn: { step: null } });
    const leg = boneByHand('femur', {
      sites: { posteriorMedial: [-24, -30, 12], posteriorLateral: [24, -30, 12] },
    });
    const solved = solveGuide({
      guide,
      leg,
      components: demo.components,
      made: {
        ...nothingMade,
        cuts: new Map([['distalFemur', { cut: 'distalFemur', normal: [0, 0, 1], offset: 1, kerf: 1.4 }]]),
      },
      targets: [{ output: 'femurRotation', value: Math.asin(2.5 / 48), tolerance: rad(1) }],
    });
    expect(solved.settings.turn!.value).toBeCloseTo((Math.asin(2.5 / 48) * 180) / Math.PI, 9);
  });
});
