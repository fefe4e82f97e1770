import { outside, type Q, type Unit } from '../quantity.ts';
import type { Side } from '../side.ts';
import { isSettable, type Link, linkUnit, type Rounding } from './guide.ts';
import { type OutputName, outputsOf, outputWords } from './outputs.ts';
import type { Sense } from './sense.ts';
import type { Setting, Settings } from './setting.ts';
import type { GuideProblem, OutputTarget } from './solve.ts';
import { callText, leftOverText, spoken } from './speak.ts';
import { sizeIsKnown } from './taken-sizes.ts';
import { walk } from './walker.ts';

/** One line of a plan: what to set on one link. */
export interface SettingLine {
  readonly guide: string;
  readonly link: string;
  /** Unrounded solution and what a hand can set, in `unit`; null while it can only be read on the bone. */
  readonly exact: number | null;
  readonly call: number | null;
  readonly unit: Unit;
  readonly sense?: Sense;
  readonly marks?: { readonly exact: number; readonly call: number };
  /** Spread of the setting itself, in `unit`. */
  readonly sd: number;
  /** What calling this link leaves of each output it moves, called minus wanted. */
  readonly residual: Readonly<Partial<Record<OutputName, Q>>>;
  readonly rounded?: Rounding;
  readonly text: string;
  /** What was wanted and what is left over, when they differ. */
  readonly leftOver?: string;
}

/** @numerical How far a link is moved to see whether it moves an output, in its own unit. */
const nudge = 0.1;

/** Output minus target when one link alone is called and the others stand exactly. */
function residualOf(problem: GuideProblem, exact: Settings, link: Link, called: Setting): SettingLine['residual'] {
  const at = (setting: Setting): Partial<Record<OutputName, number>> =>
    outputsOf(
      walk(problem.guide, problem.leg, { ...exact, [link.id]: setting }, problem.components, problem.made),
      problem.leg,
    );
  const now = at(called);
  const nudged = at({ ...called, value: called.value + nudge });
  const out: Partial<Record<OutputName, Q>> = {};
  for (const target of problem.targets) {
    const value = now[target.output]!;
    const moves = Math.abs(nudged[target.output]! - value) / target.tolerance > 1e-3;
    if (!moves) continue;
    const words = outputWords[target.output];
    out[target.output] = {
      value: outside(value - target.value, words.unit),
      unit: words.unit,
      ...(words.positive ? { positive: words.positive } : {}),
      sd: 0,
      method: 'called minus wanted, other links exact',
    };
  }
  return out;
}

/** Residuals below this are met, radians or mm: far below any mark. */
const met = 1e-9;

/** @numerical The secant rule needs four or five rounds; more than this it is not given. */
const mostRounds = 20;

/** @numerical Beyond any scale, mm or degrees. */
const farAway = 1000;

/** The value a stepped link would need if it had no steps: the place of its main output's target, by the secant rule. */
export function relaxed(problem: GuideProblem, settings: Settings, link: Link): number {
  const here = settings[link.id]!;
  const now = outputsOf(walk(problem.guide, problem.leg, settings, problem.components, problem.made), problem.leg);
  if (problem.targets.every((t) => Math.abs(now[t.output]! - t.value) < met)) return here.value;
  const offAt = (value: number, target: OutputTarget): number =>
    outputsOf(
      walk(
        problem.guide,
        problem.leg,
        { ...settings, [link.id]: { ...here, value } },
        problem.components,
        problem.made,
      ),
      problem.leg,
    )[target.output]! - target.value;
  let main: OutputTarget | undefined;
  let rate = 0;
  for (const target of problem.targets) {
    const r = (offAt(here.value + 0.5, target) - offAt(here.value - 0.5, target)) / target.tolerance;
    if (Math.abs(r) > Math.abs(rate)) {
      rate = r;
      main = target;
    }
  }
  if (!main || Math.abs(rate) < 1e-3) return here.value;
  const off = main;
  let [x0, x1] = [here.value, here.value + 0.5];
  let [y0, y1] = [offAt(x0, off), offAt(x1, off)];
  if (Math.abs(y0) < met) return x0;
  for (let k = 0; k < mostRounds && Math.abs(y1) > 1e-13 && y1 !== y0; k += 1) {
    const x2 = x1 - (y1 * (x1 - x0)) / (y1 - y0);
    // A link that hardly moves its output would have to go where nothing stands any more.
    if (!(Math.abs(x2 - here.value) < farAway)) break;
    [x0, y0] = [x1, y1];
    x1 = x2;
    y1 = offAt(x1, off);
  }
  return x1;
}

/** Whether a link has steps that the plan chose among. */
const hasSteps = (link: Link): boolean =>
  link.kind === 'ring' ||
  link.kind === 'dial' ||
  link.kind === 'peg' ||
  link.kind === 'feeler' ||
  (link.kind === 'pin' && link.rows.length > 1) ||
  (link.kind === 'swing' && link.step !== null);

/**
 * The lines of a plan for one guide, in the order its links are set.
 *
 * @param exact settings as solved
 * @param called what a hand can set
 */
export function settingLines(
  problem: GuideProblem,
  exact: Settings,
  called: Settings,
  side: Side,
): readonly SettingLine[] {
  return problem.guide.links.flatMap((link): readonly SettingLine[] => {
    const call = called[link.id];
    const solved = exact[link.id];
    if (!call || !solved || !(isSettable(link) || link.kind === 'rest')) return [];
    const base = { guide: problem.guide.id, link: link.id, unit: linkUnit(link), sd: link.sd };
    if (link.kind === 'rest') {
      const shim = Object.values(call.shimsMm ?? {}).reduce((sum, mm) => sum + mm, 0);
      if (!link.shimsMm) return [];
      return [{ ...base, exact: shim, call: shim, residual: {}, text: callText(link, call, side) }];
    }
    if (link.setBy === 'read' || (link.kind === 'slide' && link.sizes && !problem.leg.has('anteriorCortex'))) {
      const text =
        link.kind === 'slide' ? `${link.says}: read it with the front feeler on the bone` : callText(link, call, side);
      return [{ ...base, exact: null, call: null, residual: {}, text }];
    }
    if (link.kind === 'sized' || link.kind === 'seat') {
      // Taken, not solved: the part itself is the setting.
      if (link.kind === 'sized' && !sizeIsKnown(link, problem.leg) && call.value === solved.value) {
        return [
          {
            ...base,
            exact: null,
            call: null,
            residual: {},
            text: `${link.says}: of the size that is ${link.component === 'femur' ? 'read' : 'tried'} on the bone`,
          },
        ];
      }
      const { amount, sense } = spoken(link, call.value);
      return [
        {
          ...base,
          exact: amount,
          call: amount,
          ...(sense && amount !== 0 ? { sense } : {}),
          residual: {},
          text: callText(link, call, side),
        },
      ];
    }
    if (link.kind === 'slide' && link.sizes) {
      // A size is chosen, not solved: what is wanted is what the front feeler reads.
      const { reads } = walk(problem.guide, problem.leg, exact, problem.components, problem.made);
      return [
        {
          ...base,
          exact: reads.get(link.sizes.front)!,
          call: call.value,
          residual: {},
          text: callText(link, call, side),
        },
      ];
    }
    const wanted = hasSteps(link) && link.setBy !== 'sight' ? relaxed(problem, exact, link) : solved.value;
    const said = spoken(link, wanted);
    const saidCall = spoken(link, call.value);
    const sense = saidCall.amount === 0 ? said.sense : saidCall.sense;
    const same = said.amount === 0 || saidCall.amount === 0 || said.sense === saidCall.sense ? 1 : -1;
    const marks = link.kind === 'slide' && link.marks && !link.sizes ? link.marks.everyMm : undefined;
    const leftOver = leftOverText(link, wanted, call.value);
    return [
      {
        ...base,
        exact: same * said.amount,
        call: saidCall.amount,
        ...(sense ? { sense } : {}),
        ...(marks ? { marks: { exact: (same * said.amount) / marks, call: saidCall.amount / marks } } : {}),
        residual: residualOf(problem, exact, link, call),
        ...(link.rounds ? { rounded: link.rounds } : {}),
        text: callText(link, call, side),
        ...(leftOver ? { leftOver } : {}),
      },
    ];
  });
}
