import { env } from 'node:process';
import { expectOk } from '@kerfline/geometry';
import {
  calledOf,
  callText,
  checkKit,
  checkSetting,
  checkUse,
  type Guide,
  guidesInUse,
  isSettable,
  type Kit,
  type Leg,
  legFromStated,
  linkUnit,
  madeBy,
  neutralSettings,
  opposite,
  otherSide,
  outputsOf,
  type Plan,
  type Proof,
  philosophies,
  planLeg,
  proveLeg,
  type Setting,
  type Settings,
  type Side,
  type SlideSense,
  seatLink,
  solveGuide,
  spoken,
  viewAtMean,
  walk,
} from '@kerfline/knee';
import { guideGlyph, linkScales } from '@kerfline/sheets';
import { beforeAll, describe, expect, it } from 'vitest';
import { type Draw, drawFrom } from './second-calculation/draw.fixture.ts';
import { randomKit } from './second-calculation/random-kit.fixture.ts';
import { randomLeg, randomValues } from './second-calculation/random-leg.fixture.ts';
import { randomSettings } from './second-calculation/random-settings.fixture.ts';

/** Laws of planning that hold for any kit that passes the check, and not only for the one in `kits/`. */

/** 2,000 kits in `npm run verify`, 200 in `npm test`. */
const kits = env.KERFLINE_FULL === '1' ? 2000 : 200;

/** A random kit on a random leg, planned and run forward; its mirror image too, where no part is of one side. */
interface Case {
  readonly seed: number;
  readonly kit: Kit;
  readonly side: Side;
  readonly planned?: Worked;
  readonly mirrored?: Worked;
  readonly thrown?: string;
}
interface Worked {
  readonly plan: Plan;
  readonly proof: Proof;
}

const hasOneSidedPart = (kit: Kit): boolean =>
  kit.guides.some((guide) => guide.side !== undefined || guide.links.some((link) => link.kind === 'seat'));

function caseOf(seed: number): Case {
  const draw = drawFrom(seed, 'random kits');
  const kit = expectOk(checkKit(randomKit(draw)), `kit of seed ${seed}`);
  const side = draw.pick(['left', 'right'] as const);
  const stated = randomValues(draw);
  const philosophy = draw.pick(philosophies);
  const asked = draw.some(
    kit.guides.map((guide) => guide.id),
    0.5,
  );
  const use = asked.filter((id) => checkUse(kit, id, side) === undefined);
  const worked = (leg: Leg): Worked => {
    const plan = planLeg(leg, kit, philosophy, { use });
    return { plan, proof: proveLeg(leg, kit, calledOf(plan)) };
  };
  try {
    const planned = worked(legFromStated(side, stated));
    return {
      seed,
      kit,
      side,
      planned,
      ...(hasOneSidedPart(kit) ? {} : { mirrored: worked(legFromStated(otherSide(side), stated)) }),
    };
  } catch (e) {
    return { seed, kit, side, thrown: String(e) };
  }
}

/** Numbers that are none, and texts that show what nobody wrote, with the place of each. */
function unsayable(data: unknown, path: string): readonly string[] {
  if (typeof data === 'number') return Number.isFinite(data) ? [] : [`${path}: ${data}`];
  if (typeof data === 'string') return /undefined|null|NaN|Infinity|\[object/.test(data) ? [`${path}: ${data}`] : [];
  if (typeof data !== 'object' || data === null) return [];
  return Object.entries(data).flatMap(([key, value]) => unsayable(value, `${path}.${key}`));
}

/** All numbers of a tree of data, in its order. */
const numbersIn = (data: unknown): readonly number[] =>
  typeof data === 'number'
    ? [data]
    : typeof data === 'object' && data !== null
      ? Object.values(data).flatMap(numbersIn)
      : [];

describe(`${kits} random kits on random legs of both sides`, () => {
  let cases: readonly Case[] = [];
  beforeAll(() => {
    cases = Array.from({ length: kits }, (_, k) => caseOf(k + 1));
  }, 3_600_000);

  const planned = (): readonly (Case & { readonly planned: Worked })[] =>
    cases.filter((c): c is Case & { readonly planned: Worked } => c.planned !== undefined);

  it('are planned and proved without an exception, whatever the philosophy', () => {
    expect(cases.flatMap(({ seed, thrown }) => (thrown === undefined ? [] : [`seed ${seed}: ${thrown}`]))).toEqual([]);
  });

  it('are called only settings that the kit allows on that side', () => {
    let said = 0;
    const refused = planned().flatMap(({ seed, kit, side, planned: { plan } }) =>
      plan.guides.flatMap(({ problem: { guide }, called }) =>
        guide.links.flatMap((link): readonly string[] => {
          const setting = called[link.id];
          if (!setting || !(isSettable(link) || link.kind === 'rest')) return [];
          const { amount, sense } = spoken(link, setting.value);
          const { value: _, flipped: __, ...chosen } = setting;
          const { id } = seatLink(guide) ?? {};
          said += 1;
          const checked = checkSetting(
            kit,
            {
              ...chosen,
              guide: guide.id,
              link: link.id,
              value: amount,
              unit: linkUnit(link),
              sense,
              ...(link.kind === 'ring' && link.faces ? { face: link.faces[side] } : {}),
            },
            side,
            id === undefined ? undefined : called[id]?.seat,
          );
          return checked.ok ? [] : [`seed ${seed}: ${checked.error.message}`];
        }),
      ),
    );
    expect(refused).toEqual([]);
    expect(said).toBeGreaterThan(10 * kits);
  });

  it('are said and drawn in numbers and words alone: calls, findings, sums, guides and scales', () => {
    let drawn = 0;
    const wrong = planned().flatMap(({ seed, kit, side, planned: { plan, proof } }) => {
      const { guides, ...shown } = plan;
      const scales = guides.flatMap((guide) => {
        const called = calledOf(plan)[guide.problem.guide.id]!;
        const found = linkScales(guide, called, proof, side).map(({ link: _, ...scale }) => scale);
        drawn += found.length;
        return found;
      });
      const texts = guides.flatMap(({ problem: { guide }, called }) =>
        guide.links.flatMap((link) => {
          const setting = called[link.id];
          return setting ? [callText(link, setting, side)] : [];
        }),
      );
      return unsayable({ shown, proof, scales, texts, glyphs: kit.guides.map(guideGlyph) }, `seed ${seed}`);
    });
    expect(wrong).toEqual([]);
    expect(drawn).toBeGreaterThan(kits);
  });

  it('have the same settings, pieces and limb to 1e-9 on the mirrored leg, where no part is of one side', () => {
    let mirrored = 0;
    for (const { seed, planned: one, mirrored: other } of cases) {
      if (!one || !other) continue;
      const clinical = ({ plan, proof }: Worked): readonly number[] =>
        numbersIn([plan.aims, plan.settings, plan.unreachable, proof.cuts, proof.rods, proof.limb]);
      const [left, right] = [clinical(one), clinical(other)];
      expect(left.length, `seed ${seed}`).toBe(right.length);
      expect(left.filter((value, k) => !(Math.abs(value - right[k]!) <= 1e-9)).length, `seed ${seed}`).toBe(0);
      mirrored += 1;
    }
    expect(mirrored).toBeGreaterThan(kits / 10);
  });
});

const intoBone = { femur: 'proximal', tibia: 'distal', patella: 'anterior' } as const;

/** Random settings of the links that the plan solves, the others as they stand before anything is asked. */
function solvable(draw: Draw, kit: Kit, guide: Guide, side: Side): Settings {
  const neutral = neutralSettings(guide, kit.components, side);
  const random = randomSettings(draw, kit, guide, side, new Map());
  const goesDeeper = (toward: SlideSense): boolean =>
    toward === intoBone[guide.bone] || toward === opposite(intoBone[guide.bone]);
  let fine = false;
  const settingOf = (link: Guide['links'][number], drawn: Setting, still: Setting): Setting => {
    if ((link.setBy ?? 'plan') !== 'plan') return still;
    switch (link.kind) {
      case 'ring':
      case 'swing':
        return { ...still, value: drawn.value };
      case 'dial':
        return drawn;
      case 'feeler':
        return link.touches.includes('anteriorCortex') ? still : drawn;
      case 'peg':
        return goesDeeper(link.toward) ? drawn : still;
      case 'pin':
        return seatLink(guide) ? still : drawn;
      case 'rest':
        return link.mode === 'first'
          ? { value: 0, shimsMm: Object.fromEntries(Object.entries(drawn.shimsMm ?? {}).slice(0, 1)) }
          : still;
      case 'thread':
      case 'slide': {
        if (link.kind === 'slide' && link.sizes) return still;
        const continuous = link.kind === 'thread' || link.step === null;
        if (!goesDeeper(link.toward)) return link.kind === 'slide' ? drawn : still;
        if (!continuous) return drawn;
        // The plan sets one depth to a fraction of a step, and leaves a second one alone.
        if (fine) return still;
        fine = true;
        return drawn;
      }
      default:
        return still;
    }
  };
  return Object.fromEntries(
    guide.links.flatMap((link) => {
      const [drawn, still] = [random[link.id], neutral[link.id]];
      return drawn && still ? [[link.id, settingOf(link, drawn, still)] as const] : [];
    }),
  );
}

/**
 * The widest gap between two settings of one depth of a guide, at least 1 mm: other angles that give the same cut may let it hang
 * elsewhere, and then the depth is met to a step.
 */
const coarsestMm = (guide: Guide): number =>
  Math.max(
    1,
    ...guide.links.flatMap((link) => {
      const marks =
        link.kind === 'pin'
          ? link.rows.map((row) => row.offsetMm)
          : link.kind === 'dial' || link.kind === 'peg' || link.kind === 'feeler'
            ? link.values
            : [];
      const rising = [...marks].sort((a, b) => a - b);
      return rising.slice(1).map((mark, k) => mark - rising[k]!);
    }),
  );

/** Seeds beyond the first 200 that once were not given back: equal angles at another depth, and a link that crept. */
const onceMissed = [776, 813];

describe('what allowed settings give, asked of a guide', () => {
  it(`is given back: angles to 1e-6 degrees, depths to a step, on the guides of ${kits} random kits`, {
    timeout: 3_600_000,
  }, () => {
    const wrong: string[] = [];
    let asked = 0;
    const seeds = new Set([...Array.from({ length: kits }, (_, k) => k + 1), ...onceMissed]);
    for (const seed of seeds) {
      const draw = drawFrom(seed, 'forward of inverse');
      const kit = expectOk(checkKit(randomKit(draw)), `kit of seed ${seed}`);
      const side = draw.pick(['left', 'right'] as const);
      const leg = randomLeg(draw, side);
      let made: Parameters<typeof madeBy>[2] = { cuts: new Map(), pins: new Map() };
      for (const guide of guidesInUse(kit, side, []).used) {
        const { mountsOn } = guide;
        if (typeof mountsOn === 'object' && 'cut' in mountsOn && !made.cuts.has(mountsOn.cut)) continue;
        if (typeof mountsOn === 'object' && 'pinsOf' in mountsOn && !made.pins.has(mountsOn.pinsOf)) continue;
        const view = viewAtMean(leg, guide.bone);
        const settings = solvable(draw, kit, guide, side);
        const stands = walk(guide, view, settings, kit.components, made);
        const targets = Object.entries(outputsOf(stands, view)).map(([output, value]) => ({
          output: output as keyof ReturnType<typeof outputsOf>,
          value,
          tolerance: /Depth|Remnant/.test(output) ? 1 : Math.PI / 180,
        }));
        if (targets.length > 0) {
          asked += 1;
          try {
            const { residuals } = solveGuide({ guide, leg: view, components: kit.components, made, targets });
            for (const { output, tolerance } of targets) {
              const off = Math.abs(residuals[output]!) / tolerance;
              if (!(off <= (tolerance === 1 ? coarsestMm(guide) : 1e-6)))
                wrong.push(`seed ${seed}, ${guide.id}, ${output}: ${off} off`);
            }
          } catch (e) {
            wrong.push(`seed ${seed}, ${guide.id}: ${e}`);
          }
        }
        made = madeBy(guide, stands, made);
      }
    }
    expect(wrong).toEqual([]);
    expect(asked).toBeGreaterThan(2 * kits);
  });
});
