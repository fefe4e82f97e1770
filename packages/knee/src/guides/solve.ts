import { leastSquares } from '@kerfline/geometry';
import type { ComponentFamily } from '../kits/kit.ts';
import {
  angleChoices,
  deepening,
  fineDepth,
  fussOf,
  hangChoices,
  neutralSettings,
  product,
  shifts,
} from './choices.ts';
import type { Guide, Link, SlideLink, SwingLink, ThreadLink } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { deepensOutput, type OutputName, outputsOf } from './outputs.ts';
import type { Made } from './placement.ts';
import { planDefaults } from './plan-defaults.ts';
import { seatLink } from './seats.ts';
import type { Settings } from './setting.ts';
import { type GuideInPlace, walk } from './walker.ts';

/** A wanted output: radians or mm, and the difference that counts as one. */
export interface OutputTarget {
  readonly output: OutputName;
  readonly value: number;
  readonly tolerance: number;
}

/** Everything needed to set one guide on one leg. */
export interface GuideProblem {
  readonly guide: Guide;
  readonly leg: LegView;
  readonly components: ComponentFamily;
  readonly made: Made;
  readonly targets: readonly OutputTarget[];
}

export interface GuideSolution {
  readonly settings: Settings;
  readonly inPlace: GuideInPlace;
  /** Output minus target, radians or mm. */
  readonly residuals: Readonly<Partial<Record<OutputName, number>>>;
  /** Sum of squared residuals over tolerances. */
  readonly cost: number;
  /** Travel of continuous links from their zero, mm and degrees together. */
  readonly travel: number;
}

/** Costs nearer than this are equal, and the smaller travel decides. */
const equalCost = 1e-12;
/** A thread turned less than this is not turned, mm. */
const threadSlack = 1e-9;

const isDepth = (output: OutputName): boolean => deepensOutput(output) !== undefined;

type ContinuousLink = SlideLink | SwingLink;
const isContinuousAngle = (guide: Guide, link: Link): link is ContinuousLink =>
  (link.kind === 'slide' || link.kind === 'swing') &&
  link.step === null &&
  (link.setBy ?? 'plan') === 'plan' &&
  !(link.kind === 'slide' && (link.sizes !== undefined || deepening(guide, link.toward) !== 0));

interface Candidate {
  readonly settings: Settings;
  readonly cost: number;
  readonly travel: number;
  /** The last thing that decides: how far from neutral an angle ends, or how far stepped links stand off theirs. */
  readonly fuss: number;
}

const better = (a: Candidate, b: Candidate | undefined): boolean => {
  if (!b) return true;
  if (Math.abs(a.cost - b.cost) > equalCost) return a.cost < b.cost;
  if (Math.abs(a.travel - b.travel) > 1e-9) return a.travel < b.travel;
  return a.fuss < b.fuss - 1e-9;
};

const costOf = (outputs: Partial<Record<OutputName, number>>, targets: readonly OutputTarget[]): number =>
  targets.reduce((sum, t) => sum + ((outputs[t.output]! - t.value) / t.tolerance) ** 2, 0);

/** Step of the numerical derivative of a continuous link, mm or degrees. */
const differenceStep = 1e-4;
/** A continuous link stands still when it moves less than this, mm or degrees. */
const continuousStandstill = 1e-9;
/** @numerical Steps after which a continuous link is taken as it stands. */
const mostSteps = 80;

/** Best values of the continuous links for the angle targets, inside their ranges; the rest of the settings stay. */
function solveContinuous(
  problem: GuideProblem,
  links: readonly ContinuousLink[],
  settings: Settings,
  targets: readonly OutputTarget[],
): Settings {
  if (links.length === 0 || targets.length === 0) return settings;
  const withValues = (x: readonly number[]): Settings => ({
    ...settings,
    ...Object.fromEntries(links.map((link, k) => [link.id, { ...settings[link.id], value: x[k]! }])),
  });
  const fit = leastSquares(
    (x) => {
      const outputs = outputsOf(inPlace(problem, withValues(x)), problem.leg);
      return targets.map((t) => (outputs[t.output]! - t.value) / t.tolerance);
    },
    links.map((link) => settings[link.id]!.value),
    {
      stepTolerance: continuousStandstill,
      maxIterations: mostSteps,
      differenceSteps: links.map(() => differenceStep),
      bounds: links.map((link) => link.range),
    },
  );
  // A link that hardly moves any target creeps: where it has got to is as good as where it would end.
  return withValues(fit.ok ? fit.value.x : fit.error.x);
}

const inPlace = (problem: GuideProblem, settings: Settings): GuideInPlace =>
  walk(problem.guide, problem.leg, settings, problem.components, problem.made);

/** @numerical A sum of squares below this is met: angles to a millionth of their tolerance. */
const metCost = 1e-12;
/** @numerical Angles whose sums of squares differ by less are equally good, and the depth may choose among them. */
const equalAngles = 1e-9;
/** @numerical So many equally good angles are asked for their depth. */
const mostEqual = 6;
/** A depth that costs more is missed by more than its tolerance. */
const missedDepth = 1;
/** @numerical Places on a link's range from which it is solved again, as shares of it. */
const otherStarts = [0.2, 0.5, 0.8];
/** @numerical So many of the best combinations of stepped links are solved again. */
const triedAgain = 3;

/** The settings that come nearest to the angles, the preferred ones first. */
function solveAngles(
  problem: GuideProblem,
  start: Settings,
  targets: readonly OutputTarget[],
): readonly [Candidate, ...Candidate[]] {
  const continuous = problem.guide.links.filter((link) => isContinuousAngle(problem.guide, link));
  const solvedFrom = (settings: Settings): Candidate => {
    const solved = solveContinuous(problem, continuous, settings, targets);
    const outputs = outputsOf(inPlace(problem, solved), problem.leg);
    return {
      settings: solved,
      cost: costOf(outputs, targets),
      travel: continuous.reduce((sum, link) => sum + Math.abs(solved[link.id]!.value - link.zero), 0),
      // Between equals, the cut nearer to square: an angle's tie goes toward neutral.
      fuss: targets.reduce((sum, t) => sum + Math.abs(outputs[t.output]!) / t.tolerance, 0),
    };
  };
  const candidates = product(angleChoices(problem.guide)).map((choice) =>
    solvedFrom({ ...start, ...Object.fromEntries(choice) }),
  );
  const nearest = (among: readonly Candidate[]): readonly [Candidate, ...Candidate[]] => {
    const first = among.reduce((a, b) => (better(b, a) ? b : a));
    const others = among.filter((other) => other !== first && other.cost < first.cost + equalAngles);
    return [first, ...others.sort((a, b) => (better(a, b) ? -1 : 1)).slice(0, mostEqual - 1)];
  };
  const found = nearest(candidates);
  if (found[0].cost < metCost || continuous.length < 2) return found;
  // Several links together may come to rest where no small step helps: they are solved again from elsewhere on their ranges.
  const again = [...candidates]
    .sort((a, b) => a.cost - b.cost)
    .slice(0, triedAgain)
    .flatMap(({ settings }) =>
      product(
        continuous.map(({ id, range: [low, high] }) =>
          otherStarts.map((share) => [id, low + share * (high - low)] as const),
        ),
      ).map((places) => ({
        ...settings,
        ...Object.fromEntries(places.map(([id, value]) => [id, { ...settings[id], value }])),
      })),
    );
  return nearest([...found, ...again.map(solvedFrom)]);
}

function solveDepth(problem: GuideProblem, start: Settings, target: OutputTarget | undefined): Candidate {
  const base: Candidate = { settings: start, cost: 0, travel: 0, fuss: 0 };
  if (!target) return base;
  const moved = shifts(problem.guide, start);
  // A remnant shrinks as the cut goes deeper.
  const sign = deepensOutput(target.output)!;
  const thread = fineDepth(problem.guide);
  // A slide is set from its zero, a screw from nothing turned.
  const rest = thread?.kind === 'slide' ? thread.zero : 0;
  const threadSign = thread ? deepening(problem.guide, thread.toward) : 0;
  let best: Candidate | undefined;
  for (const hang of product(hangChoices(problem.guide))) {
    // One walk tells where the cut hangs; steps along its normal only add.
    const settings = { ...start, ...Object.fromEntries(hang) };
    const hanging = sign * outputsOf(inPlace(problem, settings), problem.leg)[target.output]!;
    const shims = planDefaults.shimCost.value * shimsIn(settings);
    const already = moved.reduce((sum, { id, deepens }) => sum + deepens * settings[id]!.value, 0);
    for (const steps of product(moved.map((shift) => shift.settings))) {
      const depth = hanging - already + steps.reduce((sum, step, k) => sum + moved[k]!.deepens * step.value, 0);
      const wanted = threadSign * (sign * target.value - depth);
      const turn =
        thread && Math.abs(wanted) > threadSlack
          ? Math.min(thread.range[1] - rest, Math.max(thread.range[0] - rest, wanted))
          : 0;
      const off = depth + threadSign * turn - sign * target.value;
      // Too deep costs as much as a whole slit too shallow, so that the shallower side is taken where there is one.
      const cost =
        (off / target.tolerance) ** 2 + (off > planDefaults.depthSlack.value ? planDefaults.tooDeep.value : 0) + shims;
      if (best && cost > best.cost + equalCost) continue;
      const chosen: Settings = {
        ...settings,
        ...Object.fromEntries(steps.map((step, k) => [moved[k]!.id, step])),
        ...(thread ? { [thread.id]: { value: rest + turn } } : {}),
      };
      const candidate: Candidate = {
        settings: chosen,
        cost,
        travel: Math.abs(turn),
        fuss: fussOf(problem.guide, chosen, problem.leg),
      };
      if (better(candidate, best)) best = candidate;
    }
  }
  return best && thread
    ? { ...best, settings: refined(problem, best.settings, thread, threadSign, target) }
    : (best ?? base);
}

/** @numerical Most rounds of the correction below; the leans of guides need two or three. */
const corrections = 4;

/**
 * A link without steps that lies before a link that leans does not move the slit quite along its normal: its setting is
 * corrected by what is left, until nothing is, or its range ends.
 */
function refined(
  problem: GuideProblem,
  settings: Settings,
  link: ThreadLink | SlideLink,
  deepens: 1 | -1 | 0,
  target: OutputTarget,
): Settings {
  let so = settings;
  for (let k = 0; k < corrections; k += 1) {
    const off =
      deepensOutput(target.output)! * (outputsOf(inPlace(problem, so), problem.leg)[target.output]! - target.value);
    const at = so[link.id]!.value;
    const value = Math.min(link.range[1], Math.max(link.range[0], at - deepens * off));
    if (Math.abs(off) < threadSlack || value === at || !started(link, at)) break;
    so = { ...so, [link.id]: { value } };
  }
  return so;
}

/** A link that the plan left at its rest stays there: other links have met the target, or cannot. */
const started = (link: ThreadLink | SlideLink, at: number): boolean =>
  Math.abs(at - (link.kind === 'slide' ? link.zero : 0)) > threadSlack;

const shimsIn = (settings: Settings): number =>
  Object.values(settings).reduce((sum, s) => sum + Object.values(s.shimsMm ?? {}).filter((mm) => mm > 0).length, 0);

/**
 * The settings that come nearest to the targets: angles first (they move the depth), continuous links solved for every
 * combination of stepped ones, then the depth. Among equal results the smallest travel, then the fewest parts; where these
 * miss the depth by more than its tolerance, the equal angles that come nearest to it.
 */
export function solveGuide(problem: GuideProblem, fixed: Settings = {}): GuideSolution {
  const seat = fixed[seatLink(problem.guide)?.id ?? '']?.seat;
  const start = { ...neutralSettings(problem.guide, problem.components, problem.leg.side, seat), ...fixed };
  const [preferred, ...equals] = solveAngles(
    problem,
    start,
    problem.targets.filter((t) => !isDepth(t.output)),
  );
  const withDepth = (angles: Candidate): { readonly angles: Candidate; readonly depth: Candidate } => ({
    angles,
    depth: solveDepth(
      problem,
      angles.settings,
      problem.targets.find((t) => isDepth(t.output)),
    ),
  });
  let chosen = withDepth(preferred);
  // The same angles by other rings may let the cut hang elsewhere.
  if (chosen.depth.cost > missedDepth) {
    for (const other of equals.map(withDepth)) {
      if (other.depth.cost < chosen.depth.cost - equalCost) chosen = other;
    }
  }
  const { angles, depth } = chosen;
  const set = inPlace(problem, depth.settings);
  const outputs = outputsOf(set, problem.leg);
  return {
    settings: depth.settings,
    inPlace: set,
    residuals: Object.fromEntries(problem.targets.map((t) => [t.output, outputs[t.output]! - t.value])),
    cost: costOf(outputs, problem.targets),
    travel: angles.travel + depth.travel,
  };
}
