import { outside, type Q } from '../quantity.ts';
import { detents } from './choices.ts';
import type { Link } from './guide.ts';
import { type OutputName, outputsOf, outputWords } from './outputs.ts';
import type { Settings } from './setting.ts';
import { relaxed } from './setting-line.ts';
import type { GuideProblem } from './solve.ts';
import { spoken } from './speak.ts';
import { walk } from './walker.ts';

/** A target that a guide cannot meet, the nearest it can do, and the link that stands in the way. */
export interface UnreachableLine {
  readonly guide: string;
  readonly output: OutputName;
  readonly wanted: Q;
  readonly nearest: Q;
  readonly limitedBy: string;
  readonly text: string;
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
  if (link.kind === 'ring' || link.kind === 'dial' || link.kind === 'peg') {
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
export function unreachableOf(problem: GuideProblem, exact: Settings): readonly UnreachableLine[] {
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
