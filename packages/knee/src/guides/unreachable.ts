import { outside, type Q } from '../quantity.ts';
import { detents } from './choices.ts';
import type { Link } from './guide.ts';
import { hangsOn } from './needs.ts';
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

/** Residuals below this are met, radians or mm: far below any mark. */
const met = 1e-6;

/** Stops of a link that has steps, in its own unit, from the smallest to the largest. */
function stopsOf(link: Link): readonly number[] {
  switch (link.kind) {
    case 'ring':
    case 'dial':
    case 'peg':
      return [...link.values].sort((a, b) => a - b);
    case 'feeler':
      return link.touches.every(hangsOn) ? [...link.values].sort((a, b) => a - b) : [];
    case 'pin':
      return link.rows.map((row) => row.offsetMm).sort((a, b) => a - b);
    case 'slide':
    case 'swing':
      return link.step === null ? [] : detents({ ...link, step: link.step });
    default:
      return [];
  }
}

/** How far a link that the plan sets may go, in its own unit; `undefined` when nothing limits it. */
function reach(link: Link, stops: readonly number[]): readonly [number, number] | undefined {
  if (stops.length > 0) {
    // Half the spacing at either end is rounding, not a limit.
    const half = (stops.at(-1)! - stops[0]!) / (2 * Math.max(1, stops.length - 1));
    return [stops[0]! - half, stops.at(-1)! + half];
  }
  return 'range' in link ? link.range : undefined;
}

/** Whether a value lies between two stops, nearer to the one the link stands at than to the other. */
const isRounding = (wanted: number, at: number, stops: readonly number[]): boolean =>
  stops.some((stop, k) => {
    const next = stops[k + 1];
    return (
      next !== undefined && wanted >= stop - met && wanted <= next + met && Math.abs(wanted - at) <= next - stop + met
    );
  });

const outputQ = (name: OutputName, value: number, method: string): Q => {
  const { unit, positive } = outputWords[name];
  return { value: outside(value, unit), unit, ...(positive ? { positive } : {}), sd: 0, method };
};

/** Targets that the guide cannot meet however it is set, with the link that limits. */
export function unreachableOf(problem: GuideProblem, exact: Settings): readonly UnreachableLine[] {
  const outputs = outputsOf(walk(problem.guide, problem.leg, exact, problem.components, problem.made), problem.leg);
  return problem.targets.flatMap((target): readonly UnreachableLine[] => {
    const nearest = outputs[target.output]!;
    if (Math.abs(nearest - target.value) < met) return [];
    const movers = problem.guide.links.flatMap((link) => {
      const stops = stopsOf(link);
      const limits = reach(link, stops);
      if (!limits || !exact[link.id] || (link.setBy ?? 'plan') !== 'plan' || (link.kind === 'slide' && link.sizes)) {
        return [];
      }
      const wanted = relaxed({ ...problem, targets: [target] }, exact, link);
      const at = exact[link.id]!.value;
      return Math.abs(wanted - at) > met ? [{ link, limits, wanted, rounding: isRounding(wanted, at, stops) }] : [];
    });
    // What a place between two neighbouring stops would mend is rounding.
    if (movers.some(({ rounding }) => rounding)) return [];
    const limit = movers.find(({ limits, wanted }) => wanted < limits[0] - met || wanted > limits[1] + met)?.link;
    if (!limit) return [];
    const wantedQ = outputQ(target.output, target.value, 'wanted');
    const nearestQ = outputQ(target.output, nearest, 'nearest that the guide can do');
    const needed = relaxed({ ...problem, targets: [target] }, exact, limit);
    const said = spoken(limit, needed);
    const limits = reach(limit, stopsOf(limit))!;
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
