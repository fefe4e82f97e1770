import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { guideOf, kitFrom, linkOf, withLinks } from '../kits/kit.fixture.ts';
import { boneByHand, shin, thigh } from './bone-by-hand.fixture.ts';
import { calledSettings } from './call.ts';
import { isSettable } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { type OutputName, outputsOf } from './outputs.ts';
import { type Made, nothingMade } from './placement.ts';
import { solveGuide } from './solve.ts';
import { walk } from './walker.ts';

/**
 * Hazard 8 of the trade notes, section 7: rounding in the dangerous direction. A wanted value between two marks of one link, the
 * others held; depth goes to the shallower side, a kneecap's remnant to the thicker, an angle to the nearest, a tie toward
 * neutral. Every call is worked out by hand from the marks of the demo kit; the bones are straight, so that one mm or degree
 * wanted is one mm or degree on the link (slides by their closed form over a span of 350 mm).
 */
const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const rad = (value: number): number => (value * Math.PI) / 180;
const deg = (value: number): number => (value * 180) / Math.PI;

const flatCut: Made = {
  ...nothingMade,
  cuts: new Map([['distalFemur', { cut: 'distalFemur', normal: [0, 0, 1], offset: 1, kerf: 1.4 }]]),
};
const tibialCanal = boneByHand('tibia', {
  sites: {
    tibialKneeCentre: [0, 0, 0],
    malleolarMidpoint: [0, 0, -350],
    tibialCanalLow: [0, 0, -220],
    tibialCanalHigh: [0, 0, -60],
    plateauMedial: [-24, 0, -8],
    plateauLateral: [24, 0, -8],
  },
  numbers: { tibiaSpan: 350 },
});
const kneecap = boneByHand('patella', {
  sites: { patellaAnterior: [0, 11, 0], patellaFacetMedial: [-10, -11, 0], patellaFacetLateral: [10, -11, 0] },
});

interface Kind {
  readonly guide: string;
  readonly leg: LegView;
  readonly output: OutputName;
  readonly made?: Made;
  /** Other links, held so that only this one answers. */
  readonly held: Readonly<Record<string, object>>;
}
const still = { range: [0, 0] };
/** Every kind of setting that a plan rounds, by the link of the demo kit that stands for it. */
const kinds = {
  'ankle slide, half marks of 7 mm': {
    guide: 'shin-mast',
    leg: shin(),
    output: 'tibiaVarus',
    held: { head: { values: [0] } },
  },
  'front slide, mm': { guide: 'shin-mast', leg: shin(), output: 'tibiaSlope', held: { head: { values: [0] } } },
  'head, 0 3 5 7': { guide: 'shin-mast', leg: shin(), output: 'tibiaSlope', held: { frontSlide: still } },
  'feeler, 0 2 8 9 10': { guide: 'shin-mast', leg: shin(), output: 'tibiaCutDepth', held: { fine: still, pins: 'm0' } },
  'pin row, -2 0 2 4': {
    guide: 'shin-mast',
    leg: shin(),
    output: 'tibiaCutDepth',
    held: { fine: still, feeler: { values: [8] } },
  },
  'fine screw, quarter turns of 1.25 mm': {
    guide: 'shin-mast',
    leg: shin(),
    output: 'tibiaCutDepth',
    held: { feeler: { values: [8] }, pins: 'm0' },
  },
  'shin core collar, whole deg': { guide: 'tibia-core', leg: tibialCanal, output: 'tibiaVarus', held: {} },
  'collar, whole deg': { guide: 'canal-core', leg: thigh({ alpha: 6 }), output: 'femurValgus', held: {} },
  'dial, whole mm': {
    guide: 'canal-core',
    leg: thigh({ alpha: 6 }),
    output: 'femurCutDepth',
    held: { collar: { values: [6] }, foot: { shimsMm: [] }, extra: { values: [0] } },
  },
  'femoral pin row, -2 0 2 4': {
    guide: 'canal-core',
    leg: thigh({ alpha: 6 }),
    output: 'femurCutDepth',
    held: { collar: { values: [6] }, foot: { shimsMm: [] }, dial: { values: [9] } },
  },
  'turn, whole deg': {
    guide: 'heel-frame',
    leg: { ...thigh(), has: () => false },
    output: 'femurRotation',
    made: flatCut,
    held: {},
  },
  'remnant stop, whole mm': { guide: 'kneecap-jaw', leg: kneecap, output: 'kneecapRemnant', held: { fine: still } },
  'stop screw, quarter mm': {
    guide: 'kneecap-jaw',
    leg: kneecap,
    output: 'kneecapRemnant',
    held: { stop: { values: [13] } },
  },
} as const satisfies Readonly<
  Record<string, Omit<Kind, 'held'> & { readonly held: Readonly<Record<string, unknown>> }>
>;
type KindName = keyof typeof kinds;

/** What a guide is called at for a wanted output (mm or degrees), and what that call then makes. */
function rounded(name: KindName, wanted: number) {
  const kind: Omit<Kind, 'held'> & { readonly held: Readonly<Record<string, unknown>> } = kinds[name];
  const plainGuide = guideOf(demo, kind.guide);
  const held = Object.fromEntries(
    Object.entries(kind.held).map(([id, change]) => {
      if (change !== 'm0') return [id, change as object];
      const pins = linkOf(plainGuide, id);
      return [id, { rows: pins.kind === 'pin' ? pins.rows.filter((row) => row.id === 'm0') : [] }];
    }),
  );
  const guide = withLinks(plainGuide, held);
  const inMm = kind.output === 'kneecapRemnant' || kind.output.endsWith('Depth');
  const problem = {
    guide,
    leg: kind.leg,
    components: demo.components,
    made: kind.made ?? nothingMade,
    targets: [{ output: kind.output, value: inMm ? wanted : rad(wanted), tolerance: inMm ? 1 : rad(1) }],
  };
  const called = calledSettings(guide, solveGuide(problem).settings);
  const made = outputsOf(walk(guide, kind.leg, called, demo.components, problem.made), kind.leg)[kind.output]!;
  return { called, made: inMm ? made : deg(made) };
}

/** Slope or varus that a slide of `mm` makes over 350 mm. */
const over350 = (mm: number): number => deg(Math.atan(mm / 350));

describe('a value between two marks', () => {
  /** Kind, wanted (mm or deg), link, its call. */
  const cases = [
    ['ankle slide, half marks of 7 mm', over350(1.74), 'ankleSlide', 0],
    ['ankle slide, half marks of 7 mm', over350(1.76), 'ankleSlide', -3.5],
    ['ankle slide, half marks of 7 mm', -over350(1.76), 'ankleSlide', 3.5],
    ['ankle slide, half marks of 7 mm', over350(5.24), 'ankleSlide', -3.5],
    ['ankle slide, half marks of 7 mm', over350(5.26), 'ankleSlide', -7],
    ['front slide, mm', over350(6.49), 'frontSlide', 6],
    ['front slide, mm', over350(6.51), 'frontSlide', 7],
    ['front slide, mm', over350(0.49), 'frontSlide', 0],
    ['head, 0 3 5 7', 1.5, 'head', 0],
    ['head, 0 3 5 7', 1.51, 'head', 3],
    ['head, 0 3 5 7', 4, 'head', 3],
    ['head, 0 3 5 7', 4.01, 'head', 5],
    ['head, 0 3 5 7', 6, 'head', 5],
    ['feeler, 0 2 8 9 10', 7.9, 'feeler', 2],
    ['feeler, 0 2 8 9 10', 8, 'feeler', 8],
    ['feeler, 0 2 8 9 10', 8.9, 'feeler', 8],
    ['feeler, 0 2 8 9 10', 9.94, 'feeler', 9],
    ['feeler, 0 2 8 9 10', 1.9, 'feeler', 0],
    ['pin row, -2 0 2 4', 9.9, 'pins', 0],
    ['pin row, -2 0 2 4', 10, 'pins', 2],
    ['pin row, -2 0 2 4', 7.9, 'pins', -2],
    ['pin row, -2 0 2 4', 11.9, 'pins', 2],
    ['fine screw, quarter turns of 1.25 mm', 8.31, 'fine', 0],
    ['fine screw, quarter turns of 1.25 mm', 8.3125, 'fine', 0.3125],
    ['fine screw, quarter turns of 1.25 mm', 8.62, 'fine', 0.3125],
    ['fine screw, quarter turns of 1.25 mm', 7.99, 'fine', -0.3125],
    ['fine screw, quarter turns of 1.25 mm', 7.68, 'fine', -0.625],
    ['shin core collar, whole deg', 0.5, 'collar', 0],
    ['shin core collar, whole deg', 0.51, 'collar', 1],
    ['shin core collar, whole deg', -0.5, 'collar', 0],
    ['shin core collar, whole deg', -1.51, 'collar', -2],
    ['collar, whole deg', 1.49, 'collar', 7],
    ['collar, whole deg', 1.5, 'collar', 7],
    ['collar, whole deg', 1.51, 'collar', 8],
    ['collar, whole deg', -1.5, 'collar', 5],
    ['collar, whole deg', -1.51, 'collar', 4],
    ['dial, whole mm', 8.9, 'dial', 8],
    ['dial, whole mm', 9, 'dial', 9],
    ['dial, whole mm', 9.9, 'dial', 9],
    ['femoral pin row, -2 0 2 4', 10.9, 'extra', 0],
    ['femoral pin row, -2 0 2 4', 11, 'extra', 2],
    ['femoral pin row, -2 0 2 4', 8.9, 'extra', -2],
    ['turn, whole deg', 2.5, 'turn', 2],
    ['turn, whole deg', 2.51, 'turn', 3],
    ['turn, whole deg', 0.5, 'turn', 0],
    ['remnant stop, whole mm', 13.1, 'stop', 14],
    ['remnant stop, whole mm', 13, 'stop', 13],
    ['remnant stop, whole mm', 14.9, 'stop', 15],
    ['stop screw, quarter mm', 13.01, 'fine', 0.25],
    ['stop screw, quarter mm', 13.25, 'fine', 0.25],
    ['stop screw, quarter mm', 13.26, 'fine', 0.5],
    ['stop screw, quarter mm', 12.9, 'fine', 0],
    ['stop screw, quarter mm', 12.75, 'fine', -0.25],
    ['stop screw, quarter mm', 12.74, 'fine', -0.25],
  ] as const satisfies readonly (readonly [KindName, number, string, number])[];

  it.each(cases)('on the %s: %d calls the %s at %d', (kind, wanted, link, call) => {
    expect(rounded(kind, wanted).called[link]!.value).toBeCloseTo(call, 9);
  });

  it('leaves a depth no deeper than wanted and a remnant no thinner, in every row of the table', () => {
    for (const [kind, wanted] of cases) {
      const { output } = kinds[kind];
      const { made } = rounded(kind, wanted);
      if (output.endsWith('Depth')) expect(made, `${kind} ${wanted}`).toBeLessThanOrEqual(wanted + 1e-9);
      if (output === 'kneecapRemnant') expect(made, `${kind} ${wanted}`).toBeGreaterThanOrEqual(wanted - 1e-9);
    }
  });

  it('is met by 50 rows and more, for every setting of the demo kit that a plan rounds and for each of its directions', () => {
    expect(cases.length).toBeGreaterThanOrEqual(50);
    const covered = cases.map(([kind, , link]) => `${kinds[kind].guide}/${link}`);
    const links = [...new Set(cases.map(([kind]) => kinds[kind].guide))].flatMap((id) =>
      guideOf(demo, id).links.map((link) => ({ id, link })),
    );
    const said = new Set(
      covered.map((name) => links.find(({ id, link }) => `${id}/${link.id}` === name)!.link.rounds ?? 'nearest'),
    );
    expect([...said].sort()).toEqual(['nearest', 'shallower', 'thicker']);
    const covers = new Set(covered.map((name) => links.find(({ id, link }) => `${id}/${link.id}` === name)!.link.kind));
    const rounding = demo.guides
      .flatMap((guide) => guide.links)
      .filter((link) => isSettable(link) && link.rounds !== undefined)
      .map((link) => link.kind);
    for (const kind of rounding) expect([...covers], kind).toContain(kind);
  });
});
