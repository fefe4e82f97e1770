import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { buttonFor, kneecapCut } from '../cuts/kneecap.ts';
import { proveLeg } from '../cuts/proof.ts';
import { guideOf, kitFrom, withGuide, withLinks } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { boneByHand } from './bone-by-hand.fixture.ts';
import { calledSettings } from './call.ts';
import { neutralSettings } from './choices.ts';
import { outputsOf } from './outputs.ts';
import { nothingMade } from './placement.ts';
import { calledOf, planLeg } from './plan.ts';
import { solveGuide } from './solve.ts';
import { walk } from './walker.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const jaw = guideOf(demo, 'kneecap-jaw');
const kneecap = (thickness: number, tilt = 0) =>
  boneByHand('patella', {
    sites: {
      patellaAnterior: [0, 0, 0],
      patellaFacetMedial: [-11, -thickness - tilt, 0],
      patellaFacetLateral: [11, -thickness + tilt, 0],
    },
  });
const remnant = (stop: number, screw: number, guide = jaw, bone = kneecap(22)): number =>
  outputsOf(
    walk(
      guide,
      bone,
      {
        ...neutralSettings(guide, demo.components, 'right'),
        stop: { value: stop, site: 'patellaAnterior' },
        fine: { value: screw },
      },
      demo.components,
      nothingMade,
    ),
    bone,
  ).kneecapRemnant!;

/** Source: trade notes, 3.7: the remnant reads the setting with the retained face as reference, the setting less kerf with the other. */
describe('the kneecap jaw', () => {
  it.each([12, 13, 15, 18])('with its stop at %d leaves that much bone', (stop) => {
    expect(remnant(stop, 0)).toBeCloseTo(stop, 12);
    expect(remnant(stop, 0.5)).toBeCloseTo(stop + 0.5, 12);
  });

  it('with the other face as reference leaves the kerf of 1.4 mm less', () => {
    expect(remnant(15, 0, withLinks(jaw, { slit: { referenceFace: 'piece' } }))).toBeCloseTo(13.6, 12);
  });

  it('lies along the facets that its jaws hold, and its stop still measures from the front', () => {
    expect(remnant(13, 0, jaw, kneecap(22, 2))).toBeCloseTo(13, 12);
  });

  it('is called on the thicker side for any wanted remnant, and never more than half a step off', () => {
    fc.assert(
      fc.property(fc.double({ min: 9.5, max: 20, noNaN: true }), (wanted) => {
        const leg = kneecap(24);
        const targets = [{ output: 'kneecapRemnant' as const, value: wanted, tolerance: 1 }];
        const solved = solveGuide({ guide: jaw, leg, components: demo.components, made: nothingMade, targets });
        expect(solved.residuals.kneecapRemnant).toBeCloseTo(0, 9);
        const called = calledSettings(jaw, solved.settings);
        const left = outputsOf(walk(jaw, leg, called, demo.components, nothingMade), leg).kneecapRemnant!;
        expect(left).toBeGreaterThanOrEqual(wanted - 1e-9);
        expect(left).toBeLessThan(wanted + 0.25);
      }),
    );
  });

  it('without a screw takes the next thicker stop', () => {
    const plain = {
      ...jaw,
      links: jaw.links.filter((l) => l.id !== 'fine').map((l) => (l.id === 'slit' ? { ...l, on: 'stop' } : l)),
    };
    const targets = [{ output: 'kneecapRemnant' as const, value: 13.2, tolerance: 1 }];
    const solved = solveGuide({
      guide: plain,
      leg: kneecap(22),
      components: demo.components,
      made: nothingMade,
      targets,
    });
    expect(solved.settings.stop!.value).toBe(14);
  });

  it('of a leg known by its thickness alone is planned and proved', () => {
    const leg = typedLeg('left', 'LDFA=88deg', 'MPTA=87deg', 'slope=6deg', 'patellaThickness=24mm');
    const plan = planLeg(leg, demo, philosophy('mechanical'));
    // 24 - 10 with the button of 35 leaves 14, no less than 12: that is the largest that leaves enough.
    expect(plan.settings.find((s) => s.guide === 'kneecap-jaw' && s.link === 'stop')).toMatchObject({
      call: 14,
      unit: 'mm',
    });
    expect(plan.settings.find((s) => s.link === 'button')).toMatchObject({ call: 35 });
    const proof = proveLeg(leg, demo, calledOf(plan));
    expect(proof.cuts.kneecap!.planes.kneecapRemnant).toMatchObject({ value: expect.closeTo(14, 9), unit: 'mm' });
  });

  it('of a leg whose kneecap nobody measured waits, and says what to state', () => {
    const plan = planLeg(typedLeg('left', 'LDFA=88deg'), demo, philosophy('mechanical'));
    const said = plan.findings.find((f) => f.code === 'leg-lacks' && f.message.startsWith('Kneecap jaw'));
    expect(said).toMatchObject({ severity: 'info', message: expect.stringContaining('patellaThickness') });
  });

  it('that belongs to another kit form of the same parts proves the same', () => {
    const renamed = withGuide(demo, { ...jaw, says: 'Other words' });
    const leg = typedLeg('left', 'LDFA=88deg', 'patellaThickness=22mm');
    const [one, other] = [demo, renamed].map((kit) => {
      const plan = planLeg(leg, kit, philosophy('mechanical'));
      return proveLeg(leg, kit, calledOf(plan)).cuts.kneecap!.plane;
    });
    expect(one).toEqual(other);
  });
});

/** Source: trade notes, 2.8, patella vectors [G]. */
describe('a button', () => {
  it.each([
    { native: 22, button: 9, keep: 13, change: 0 },
    { native: 19, button: 9, keep: 12, change: 2 },
    { native: 25, button: 10, keep: 15, change: 0 },
    { native: 21, button: 8, keep: 13, change: 0 },
  ])('of $button on $native keeps $keep and changes $change', ({ native, button, keep, change }) => {
    expect(kneecapCut(native, button)).toEqual({ remnantMm: keep, compositeMm: keep + button, changeMm: change });
  });

  it('is the largest that leaves enough bone, and the smallest where none does', () => {
    const sizes = (native: number) => buttonFor(demo.components.button, native).size;
    expect([sizes(22), sizes(21.9), sizes(21), sizes(20), sizes(15)]).toEqual([35, 32, 32, 29, 29]);
  });
});
