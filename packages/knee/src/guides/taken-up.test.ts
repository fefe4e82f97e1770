import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom, withLinks } from '../kits/kit.fixture.ts';
import { shin } from './bone-by-hand.fixture.ts';
import { isTakenUp } from './chain.ts';
import { shifts } from './choices.ts';
import type { Guide } from './guide.ts';
import { nothingMade } from './placement.ts';
import { recuts } from './recuts.ts';
import { solveGuide } from './solve.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const mast = guideOf(demo, 'shin-mast');

/** The mast with its fine screw before the feeler instead of behind it: the feeler then takes the screw up. */
const screwFirst: Guide = withLinks(mast, {
  fine: { on: 'head' },
  feeler: { on: 'fine' },
  seat: { on: 'feeler' },
});

/** By hand: a plate or a hook that moves until it touches stands where the bone is, wherever it came from. */
describe('a shift before a part that comes to rest on bone', () => {
  it('is known to be taken up, and one behind it is not', () => {
    const link = (guide: Guide, id: string) => guide.links.find((l) => l.id === id)!;
    expect(isTakenUp(screwFirst, link(screwFirst, 'fine'))).toBe(true);
    expect(isTakenUp(mast, link(mast, 'fine'))).toBe(false);
    expect(isTakenUp(mast, link(mast, 'pins'))).toBe(false);
  });

  it('is not counted on for a depth: the nearest that the rest can do is called, and never deeper', () => {
    const targets = [{ output: 'tibiaCutDepth' as const, value: 9.5, tolerance: 1 }];
    const solved = solveGuide({
      guide: screwFirst,
      leg: shin(),
      components: demo.components,
      made: nothingMade,
      targets,
    });
    // Hooks of 8, 9 and 10 and rows of -2 to 4 give whole millimetres.
    expect(solved.residuals.tibiaCutDepth).toBeCloseTo(-0.5, 9);
    expect(solved.settings.fine!.value).toBe(0);
    expect(shifts(screwFirst, solved.settings).map((s) => s.id)).toEqual(['pins']);
    const free = solveGuide({ guide: mast, leg: shin(), components: demo.components, made: nothingMade, targets });
    expect(free.residuals.tibiaCutDepth).toBeCloseTo(0, 9);
  });

  it('is no recut', () => {
    const before: Guide = {
      ...mast,
      links: [
        ...mast.links.map((l) => (l.id === 'feeler' ? { ...l, on: 'rungs' } : l)),
        { kind: 'peg', id: 'rungs', on: 'head', says: 'Rungs', toward: 'distal', values: [0, 2], sd: 0 },
      ],
    };
    const targets = [{ output: 'tibiaCutDepth' as const, value: 9, tolerance: 1 }];
    const problem = { guide: before, leg: shin(), components: demo.components, made: nothingMade, targets };
    const { settings } = solveGuide(problem);
    const planned = { problem, exact: settings, calledByPlan: settings, called: settings, sizes: [] };
    expect(recuts(planned, 'right').map((r) => r.link)).toEqual(['pins', 'pins']);
  });
});
