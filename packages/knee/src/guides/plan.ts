import { doubt, type Finding, fault, info } from '@kerfline/geometry';
import { aimsOfLeg, type LegAims, type Wanted } from '../aims/aims-of-leg.ts';
import type { Philosophy } from '../aims/philosophy.ts';
import { fenceText } from '../aims/resolve-aims.ts';
import { type SizeChoice, sizeChoices } from '../cuts/size-choice.ts';
import type { Kit } from '../kits/kit.ts';
import type { Leg } from '../leg/leg.ts';
import { inside, type Q } from '../quantity.ts';
import { calledSettings } from './call.ts';
import { type CutName, type Guide, sizeSlide } from './guide.ts';
import { guidesInUse, type LeftOut, standsOn } from './guides-in-use.ts';
import { viewsAtMean } from './leg-view.ts';
import { lackedBy, toState } from './needs.ts';
import type { OutputName } from './outputs.ts';
import { type Made, nothingMade, OpenLoop } from './placement.ts';
import { planDefaults } from './plan-defaults.ts';
import {
  bladeFindings,
  limbFindings,
  markFindings,
  notchFindings,
  rotationFinding,
  turnFindings,
} from './plan-findings.ts';
import type { PlannedGuide } from './planned-guide.ts';
import { seatLink } from './seats.ts';
import type { GuideSettings, Settings } from './setting.ts';
import { type SettingLine, settingLines } from './setting-line.ts';
import { type GuideProblem, type OutputTarget, solveGuide } from './solve.ts';
import { sizeFindings, takenSizes } from './taken-sizes.ts';
import { type UnreachableLine, unreachableOf } from './unreachable.ts';
import { madeBy, walk } from './walker.ts';

export interface Plan extends LegAims {
  readonly guides: readonly PlannedGuide[];
  /** Guides that cannot be set yet: their aim waits for gaps, or the leg lacks something. */
  readonly waiting: readonly string[];
  /** Guides of the kit that are not for this operation, and why. */
  readonly leftOut: readonly LeftOut[];
  readonly settings: readonly SettingLine[];
  readonly unreachable: readonly UnreachableLine[];
  readonly findings: readonly Finding[];
}

/** What the planner wants beside the philosophy: values of their own, and settings chosen by hand. */
export interface PlanWishes {
  readonly wanted?: Wanted | undefined;
  readonly chosen?: GuideSettings | undefined;
  /** Guides asked for where the kit has several for the same cut. */
  readonly use?: readonly string[] | undefined;
}

const degreeWorth = inside(planDefaults.degreeWorth.value, 'deg');

/** What is wanted of a cut. */
const targetsOfCut: Readonly<Partial<Record<CutName, readonly OutputName[]>>> = {
  tibia: ['tibiaVarus', 'tibiaSlope', 'tibiaCutDepth'],
  distalFemur: ['femurValgus', 'femurCutDepth'],
  posteriorFemur: ['femurRotation'],
  kneecap: ['kneecapRemnant'],
};

/** Targets of one guide from the aims; `undefined` when one of them waits for gaps. On pins nothing is left to be set. */
function targetsOf(guide: Guide, aims: Readonly<Record<string, Q>>): readonly OutputTarget[] | undefined {
  if (typeof guide.mountsOn === 'object' && 'pinsOf' in guide.mountsOn) return [];
  const cuts = [...guide.outputs, ...(guide.aligns ?? [])].map((o) => o.cut);
  const names = [...new Set(cuts.flatMap((cut) => targetsOfCut[cut] ?? []))];
  const targets = names.map((output) => {
    const q = aims[output];
    return q === undefined || q.value === null
      ? undefined
      : { output, value: inside(q.value, q.unit), tolerance: q.unit === 'deg' ? degreeWorth : 1 };
  });
  return targets.includes(undefined) ? undefined : (targets as OutputTarget[]);
}

/** Sizes from what the front feeler reads, and the guide's settings with the best of them. */
function withSize(
  problem: GuideProblem,
  settings: Settings,
): { readonly settings: Settings; readonly sizes: readonly SizeChoice[] } {
  const slide = sizeSlide(problem.guide);
  if (!slide?.sizes) return { settings, sizes: [] };
  const reading = walk(problem.guide, problem.leg, settings, problem.components, problem.made).reads.get(
    slide.sizes.front,
  );
  if (reading === undefined) return { settings, sizes: [] };
  const shift = problem.guide.links.find((l) => l.kind === 'peg' && l.toward === 'anterior');
  const keeps = settings[slide.id]?.keeps ?? slide.sizes.keeps[0]!;
  const sizes = sizeChoices(
    problem.components.femur,
    reading,
    keeps,
    shift?.kind === 'peg' ? shift.values : [0],
    problem.leg.has('femurWidth') ? problem.leg.number('femurWidth') : undefined,
  );
  const best = sizes[0]!;
  return {
    sizes,
    settings: {
      ...settings,
      [slide.id]: { ...settings[slide.id], value: best.size.size, keeps },
      ...(shift ? { [shift.id]: { value: best.shiftMm } } : {}),
    },
  };
}

/**
 * The settings of every guide of a kit for a leg: what is wanted, the marks to set, and what calling them leaves.
 * Guides are taken in the kit's order, since one may stand on the cut of another.
 */
export function planLeg(leg: Leg, kit: Kit, philosophy: Philosophy, wishes: PlanWishes = {}): Plan {
  const { aims, resolved } = aimsOfLeg(leg, kit, philosophy, wishes.wanted);
  const findings: Finding[] = [
    ...resolved.bound.map(({ fence, from, to }) =>
      info('fence-binds', `${fence.on} ${from.toFixed(1)} is held at ${to.toFixed(1)} by ${fenceText(fence)}.`),
    ),
    ...resolved.conflict.map((text) => doubt('no-solution-inside-limits', text)),
    ...limbFindings(philosophy, aims.limbVarus!, wishes.wanted ?? {}),
    ...rotationFinding(leg),
  ];
  let made: Made = nothingMade;
  const guides: PlannedGuide[] = [];
  const waiting: string[] = [];
  const settings: SettingLine[] = [];
  const unreachable: UnreachableLine[] = [];
  const { used, leftOut, faults } = guidesInUse(kit, leg.side, wishes.use ?? []);
  findings.push(...faults);
  const viewOf = viewsAtMean(leg);
  for (const guide of used) {
    const view = viewOf(guide.bone);
    const waits = (finding: Finding): void => {
      waiting.push(guide.id);
      findings.push(finding);
    };
    const lacks = lackedBy(guide, view.has);
    if (lacks.length > 0) {
      // A kneecap need not be resurfaced.
      waits(
        (guide.bone === 'patella' ? info : doubt)(
          'leg-lacks',
          `${guide.says}: cannot be set, since this leg has no ${lacks.join(', ')}; measure it on bones, or state ${toState(lacks)}.`,
        ),
      );
      continue;
    }
    const targets = targetsOf(guide, aims);
    const before = guides.map((planned) => planned.problem.guide);
    if (!targets || !standsOn(guide, before)) {
      waits(
        info(
          'needs-gaps',
          `${guide.says}: ${targets ? 'stands on a cut or on pins that are not planned' : 'its aim needs gaps'}.`,
        ),
      );
      continue;
    }
    const problem: GuideProblem = { guide, leg: view, components: kit.components, made, targets };
    try {
      const solved = solveGuide(problem, { ...takenSizes(problem, guides), ...seatChosen(guide, wishes.chosen) });
      const sized = withSize(problem, solved.settings);
      const exact = sized.settings;
      const calledByPlan = calledSettings(guide, exact);
      const called = { ...calledByPlan, ...wishes.chosen?.[guide.id] };
      const inPlace = walk(guide, view, called, kit.components, made);
      guides.push({ problem, exact, calledByPlan, called, sizes: sized.sizes });
      settings.push(...settingLines(problem, exact, called, leg.side));
      unreachable.push(...unreachableOf(problem, exact));
      if (view.has('tibiaSpan')) findings.push(...markFindings(problem, exact, view.number('tibiaSpan')));
      findings.push(...turnFindings(problem, called), ...bladeFindings(problem));
      made = madeBy(guide, inPlace, made);
      if (guide.outputs.some((o) => o.cut === 'anteriorFemur')) findings.push(...notchFindings(guides, made));
    } catch (e) {
      if (!(e instanceof OpenLoop)) throw e;
      waits(fault('loop-open', `${guide.says} cannot be closed on this leg: ${e.message}.`));
    }
  }
  return {
    aims,
    resolved,
    guides,
    waiting,
    leftOut,
    settings,
    unreachable,
    findings: [...findings, ...sizeFindings(kit, guides), ...unreachable.map((u) => doubt('unreachable', u.text))],
  };
}

/** The seat that a hand chose: its rows of holes are then those to choose from. */
function seatChosen(guide: Guide, chosen: GuideSettings | undefined): Settings {
  const link = seatLink(guide);
  const setting = link && chosen?.[guide.id]?.[link.id];
  return setting ? { [link.id]: setting } : {};
}

/** What is called on every planned guide. */
export const calledOf = (plan: Plan): GuideSettings =>
  Object.fromEntries(plan.guides.map(({ problem, called }) => [problem.guide.id, called]));
