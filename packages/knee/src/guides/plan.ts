import { doubt, type Finding, info } from '@kerfline/geometry';
import { aimsOfLeg, type LegAims, type Wanted } from '../aims/aims-of-leg.ts';
import type { Philosophy } from '../aims/philosophy.ts';
import { fenceText } from '../aims/resolve-aims.ts';
import type { CutPlane } from '../cuts/cut-plane.ts';
import { flangeClearance } from '../cuts/flange.ts';
import { fusedRotation } from '../cuts/fused-rotation.ts';
import type { GuideSettings } from '../cuts/proof.ts';
import { type SizeChoice, sizeChoices } from '../cuts/size-choice.ts';
import type { Kit } from '../kits/kit.ts';
import type { Leg } from '../leg/leg.ts';
import { quantity, quantityDefinition } from '../leg/quantities.ts';
import { inside, outside, type Q } from '../quantity.ts';
import { calledSettings } from './call.ts';
import { detents } from './choices.ts';
import type { Guide, Link, SlideLink } from './guide.ts';
import { type LegView, viewAtMean } from './leg-view.ts';
import { type OutputName, outputsOf, outputWords } from './outputs.ts';
import type { Settings } from './setting.ts';
import { relaxed, type SettingLine, settingLines } from './setting-line.ts';
import { type GuideProblem, type OutputTarget, solveGuide } from './solve.ts';
import { spoken } from './speak.ts';
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

export interface UnreachableLine {
  readonly guide: string;
  readonly output: OutputName;
  readonly wanted: Q;
  readonly nearest: Q;
  readonly limitedBy: string;
  readonly text: string;
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

const sizeSlide = (guide: Guide): SlideLink | undefined =>
  guide.links.find((l): l is SlideLink => l.kind === 'slide' && l.sizes !== undefined);

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

/** How far a link that the plan sets may go, in its own unit; `undefined` when nothing limits it. */
function reach(link: Link): readonly [number, number] | undefined {
  if ('range' in link) {
    if (link.kind === 'swing' && link.step !== null) {
      const steps = detents({ ...link, step: link.step });
      return [steps[0]! - link.step / 2, steps[steps.length - 1]! + link.step / 2];
    }
    return link.range;
  }
  if (link.kind === 'ring') {
    const sorted = [...link.values].sort((a, b) => a - b);
    // Half the spacing at either end is rounding, not a limit.
    const spacing = sorted.length > 1 ? (sorted[sorted.length - 1]! - sorted[0]!) / (sorted.length - 1) : 0;
    return [sorted[0]! - spacing / 2, sorted[sorted.length - 1]! + spacing / 2];
  }
  return undefined;
}

const outputQ = (name: OutputName, value: number, method: string): Q => {
  const { unit, positive } = outputWords[name];
  return { value: outside(value, unit), unit, ...(positive ? { positive } : {}), sd: 0, method };
};

/** Residuals below this are met, radians or mm: far below any mark. */
const met = 1e-6;

/** Targets that the guide cannot meet however it is set, with the link that limits. */
function unreachableOf(problem: GuideProblem, exact: Settings): readonly UnreachableLine[] {
  const outputs = outputsOf(walk(problem.guide, problem.leg, exact, problem.components, problem.made), problem.leg);
  return problem.targets.flatMap((target): readonly UnreachableLine[] => {
    const nearest = outputs[target.output]!;
    if (Math.abs(nearest - target.value) < met) return [];
    const limit = problem.guide.links.find((link) => {
      const limits = reach(link);
      if (!limits || !exact[link.id] || (link.setBy ?? 'plan') !== 'plan' || (link.kind === 'slide' && link.sizes))
        return false;
      const wanted = relaxed({ ...problem, targets: [target] }, exact, link);
      const moved = Math.abs(wanted - exact[link.id]!.value) > met;
      return moved && (wanted < limits[0] - met || wanted > limits[1] + met);
    });
    if (!limit) return [];
    const wantedQ = outputQ(target.output, target.value, 'wanted');
    const nearestQ = outputQ(target.output, nearest, 'nearest that the guide can do');
    const needed = relaxed({ ...problem, targets: [target] }, exact, limit);
    const said = spoken(limit, needed);
    const limits = reach(limit)!;
    return [
      {
        guide: problem.guide.id,
        output: target.output,
        wanted: wantedQ,
        nearest: nearestQ,
        limitedBy: limit.id,
        text:
          `Cannot be reached: ${outputWords[target.output].label} ${wantedQ.value!.toFixed(2)} ${wantedQ.unit} would need ` +
          `${limit.says} at ${said.amount.toFixed(1)}${said.sense ? ` ${said.sense}` : ''}; it goes from ${limits[0]} to ${limits[1]}. ` +
          `Nearest is ${nearestQ.value!.toFixed(2)} ${nearestQ.unit}.`,
      },
    ];
  });
}

/** A ruler whose marks mean another angle on this leg than they say, and what counting them would do. */
function markFindings(problem: GuideProblem, exact: Settings, span: number): readonly Finding[] {
  return problem.guide.links.flatMap((link): readonly Finding[] => {
    if (link.kind !== 'slide' || !link.marks?.trueFor) return [];
    const worth = (Math.atan(link.marks.everyMm / span) * 180) / Math.PI;
    const target = problem.targets.find((t) => t.output === 'tibiaVarus');
    const words =
      `A mark of ${link.says} says ${link.marks.says} for ${link.marks.trueFor.spanMm} mm; on this leg (${span.toFixed(0)} mm) it is ` +
      `${worth.toFixed(3)} deg`;
    if (!target || link.toward !== 'medial') return [info('marks-not-true', `${words}.`)];
    // Counting the wanted angle in marks from the ruler's zero.
    const marks = Math.round(outside(target.value, 'deg'));
    const counted = outputsOf(
      walk(
        problem.guide,
        problem.leg,
        { ...exact, [link.id]: { ...exact[link.id], value: link.zero - marks * link.marks.everyMm } },
        problem.components,
        problem.made,
      ),
      problem.leg,
    );
    const varus = outside(counted.tibiaVarus!, 'deg');
    const off = Math.abs(varus - outside(target.value, 'deg'));
    const trap =
      marks === 0
        ? '.'
        : `: counting ${Math.abs(marks)} ${Math.abs(marks) === 1 ? 'mark' : 'marks'} would cut ${Math.abs(varus).toFixed(2)} ${varus >= 0 ? 'varus' : 'valgus'}.`;
    return [(off > 0.5 && marks !== 0 ? doubt : info)('marks-not-true', words + trap)];
  });
}

/** Front cut against the cortex at the flange tip of the chosen size, and of the sizes beside it. */
function notchFindings(problem: GuideProblem, settings: Settings, distal: CutPlane | undefined): readonly Finding[] {
  const slide = sizeSlide(problem.guide);
  if (!slide || !distal) return [];
  const at = (size: number): number | undefined => {
    const front = walk(
      problem.guide,
      problem.leg,
      { ...settings, [slide.id]: { ...settings[slide.id]!, value: size } },
      problem.components,
      problem.made,
    ).cuts.find((c) => c.cut === 'anteriorFemur');
    const component = problem.components.femur.find((f) => f.size === size);
    return front && component ? flangeClearance(problem.leg, front, distal, component) : undefined;
  };
  const chosen = settings[slide.id]!.value;
  const here = at(chosen);
  if (here === undefined) return [];
  const all = problem.components.femur.map((f) => `${f.size}: ${at(f.size)!.toFixed(1)}`).join(', ');
  const text = `Front cut at the flange tip of size ${chosen} stands ${Math.abs(here).toFixed(1)} mm ${here < 0 ? 'inside' : 'in front of'} the cortex (by size, mm: ${all}).`;
  return [here < 0 ? doubt('notch', `${text} Flexing 1 deg at 38 mm gains 0.66 mm.`) : info('flange', text)];
}

/** References of femoral turn that this leg has, fused by their precision. */
function rotationFinding(leg: Leg): readonly Finding[] {
  const readings = [
    { reference: 'rear condyles and 3', deg: 3, sdDeg: 1.9 },
    ...(['condylarTwist', 'trochlearTwist'] as const).flatMap((name) => {
      const q = quantity(leg, quantityDefinition(name)!);
      const ownSd = name === 'condylarTwist' ? 2.5 : 2.3;
      return q.value === null || leg.sources[name]?.from === 'population' || q.sd === null
        ? []
        : [{ reference: name, deg: q.value, sdDeg: Math.hypot(ownSd, q.sd) }];
    }),
  ];
  if (readings.length < 2) return [];
  const fused = fusedRotation(readings);
  const word = (deg: number): string => `${Math.abs(deg).toFixed(1)} ${deg >= 0 ? 'external' : 'internal'}`;
  return [
    info(
      'rotation-references',
      `Turn against the rear condyles by ${readings.map((r) => `${r.reference} ${word(r.deg)} +/- ${r.sdDeg.toFixed(1)}`).join(', ')}: ` +
        `together ${word(fused.deg)} +/- ${fused.sdDeg.toFixed(1)}.`,
    ),
  ];
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
    if (!targets || standing) {
      waiting.push(guide.id);
      findings.push(
        info(
          'needs-gaps',
          `${guide.says}: ${standing ? 'stands on a cut that waits for gaps' : 'its aim needs gaps'}.`,
        ),
      );
      continue;
    }
    const view: LegView = viewAtMean(leg, guide.bone);
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
