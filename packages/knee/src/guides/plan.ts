import { doubt, type Finding, info } from '@kerfline/geometry';
import { aimsOfLeg, type LegAims, type Wanted } from '../aims/aims-of-leg.ts';
import type { Philosophy } from '../aims/philosophy.ts';
import { fenceText } from '../aims/resolve-aims.ts';
import type { CutPlane } from '../cuts/cut-plane.ts';
import { type SizeChoice, sizeChoices } from '../cuts/size-choice.ts';
import type { Kit } from '../kits/kit.ts';
import type { Leg } from '../leg/leg.ts';
import { inside, type Q } from '../quantity.ts';
import { calledSettings } from './call.ts';
import { type Guide, sizeSlide } from './guide.ts';
import { type LegView, viewAtMean } from './leg-view.ts';
import { lackedBy } from './needs.ts';
import type { OutputName } from './outputs.ts';
import { limbFindings, markFindings, notchFindings, rotationFinding } from './plan-findings.ts';
import type { GuideSettings, Settings } from './setting.ts';
import { type SettingLine, settingLines } from './setting-line.ts';
import { type GuideProblem, type OutputTarget, solveGuide } from './solve.ts';
import { type UnreachableLine, unreachableOf } from './unreachable.ts';
import { walk } from './walker.ts';

/** One guide of a plan, solved and called. */
export interface PlannedGuide {
  readonly problem: GuideProblem;
  readonly exact: Settings;
  /** What the plan would call, before anything was chosen by hand. */
  readonly calledByPlan: Settings;
  readonly called: Settings;
  /** Sizes for this bone, best first; only on a guide that sets one, and only when the front cortex is known. */
  readonly sizes: readonly SizeChoice[];
}

export interface Plan extends LegAims {
  readonly guides: readonly PlannedGuide[];
  /** Guides whose aim waits for gaps. */
  readonly waiting: readonly string[];
  readonly settings: readonly SettingLine[];
  readonly unreachable: readonly UnreachableLine[];
  readonly findings: readonly Finding[];
}

/** What the planner wants beside the philosophy: values of their own, and settings chosen by hand. */
export interface PlanWishes {
  readonly wanted?: Wanted | undefined;
  readonly chosen?: GuideSettings | undefined;
}

const oneDegree = Math.PI / 180;

/** Targets of one guide from the aims; `undefined` when one of them waits for gaps. */
function targetsOf(guide: Guide, aims: Readonly<Record<string, Q>>): readonly OutputTarget[] | undefined {
  const cuts = guide.outputs.map((o) => o.cut);
  const names: readonly OutputName[] = cuts.includes('tibia')
    ? ['tibiaVarus', 'tibiaSlope', 'tibiaCutDepth']
    : cuts.includes('distalFemur')
      ? ['femurValgus', 'femurCutDepth']
      : cuts.includes('posteriorFemur')
        ? ['femurRotation']
        : [];
  const targets = names.map((output) => {
    const q = aims[output]!;
    return q.value === null
      ? undefined
      : { output, value: inside(q.value, q.unit), tolerance: q.unit === 'deg' ? oneDegree : 1 };
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
  const made = new Map<string, CutPlane>();
  const guides: PlannedGuide[] = [];
  const waiting: string[] = [];
  const settings: SettingLine[] = [];
  const unreachable: UnreachableLine[] = [];
  for (const guide of kit.guides) {
    const targets = targetsOf(guide, aims);
    const standing = typeof guide.mountsOn === 'object' && 'cut' in guide.mountsOn && !made.has(guide.mountsOn.cut);
    const view: LegView = viewAtMean(leg, guide.bone);
    const lacks = lackedBy(guide, view.has);
    if (lacks.length > 0) {
      waiting.push(guide.id);
      findings.push(
        doubt(
          'leg-lacks',
          `${guide.says}: cannot be set, since this leg has no ${lacks.join(', ')}; state or measure it.`,
        ),
      );
      continue;
    }
    if (!targets || standing) {
      waiting.push(guide.id);
      findings.push(
        info(
          'needs-gaps',
          `${guide.says}: ${standing ? 'stands on a cut that is not planned' : 'its aim needs gaps'}.`,
        ),
      );
      continue;
    }
    const problem: GuideProblem = { guide, leg: view, components: kit.components, made: new Map(made), targets };
    const solved = solveGuide(problem);
    const sized = withSize(problem, solved.settings);
    const exact = sized.settings;
    const calledByPlan = calledSettings(guide, exact);
    const called = { ...calledByPlan, ...wishes.chosen?.[guide.id] };
    guides.push({ problem, exact, calledByPlan, called, sizes: sized.sizes });
    settings.push(...settingLines(problem, exact, called, leg.side));
    unreachable.push(...unreachableOf(problem, exact));
    if (view.has('tibiaSpan')) findings.push(...markFindings(problem, exact, view.number('tibiaSpan')));
    for (const plane of walk(guide, view, called, kit.components, problem.made).cuts) made.set(plane.cut, plane);
    findings.push(...notchFindings(problem, called, made.get('distalFemur')));
  }
  return {
    aims,
    resolved,
    guides,
    waiting,
    settings,
    unreachable,
    findings: [...findings, ...unreachable.map((u) => doubt('unreachable', u.text))],
  };
}

/** What is called on every planned guide. */
export const calledOf = (plan: Plan): GuideSettings =>
  Object.fromEntries(plan.guides.map(({ problem, called }) => [problem.guide.id, called]));
