import { type Belief, componentsOf, extended, type Slot } from '@kerfline/uncertainty';
import { quantityDefinition } from '../quantities.ts';
import { siteModels } from './film-sites.ts';
import { covarianceAfter, type Gradient, type Solved, seenByMarks } from './film-solve.ts';
import { coordinate, indexIn, placedSite } from './film-state.ts';

/** A number of the leg and how it follows the state. */
interface Component {
  readonly value: number;
  readonly gradient: Gradient;
}

/** A single root as a component. */
export const rootComponent = (solved: Solved, name: string): Component => {
  const at = indexIn(solved.state, name);
  return { value: solved.mean[at]!, gradient: new Map([[at, 1]]) };
};

function siteComponents(solved: Solved, name: string): readonly Component[] {
  const site = placedSite(solved.state, siteModels[name]!);
  return ([0, 1, 2] as const).map((axis) => {
    const gradient = new Map<number, number>();
    const add = (place: number, by: number): void => {
      if (place >= 0) gradient.set(place, (gradient.get(place) ?? 0) + by);
    };
    const at = (place: number): number => (place < 0 ? 1 : solved.mean[place]!);
    for (const [coefficient, root, times] of site.at[axis]!) {
      add(root, coefficient * at(times));
      if (times >= 0) add(times, coefficient * at(root));
    }
    return { value: coordinate(site, axis, solved.mean), gradient };
  });
}

/** What is believed of sites and single roots after films, under the names that a leg has for them. */
export function beliefOf(
  solved: Solved,
  sites: readonly string[],
  numbers: readonly { readonly name: string; readonly root: string | undefined }[],
): Belief {
  const slots: Slot[] = [];
  const components: Component[] = [];
  for (const name of sites) {
    slots.push({ name, size: 3, at: components.length });
    components.push(...siteComponents(solved, name));
  }
  for (const { name, root } of numbers) {
    slots.push({ name, size: 1, at: components.length });
    components.push(root === undefined ? { value: 0, gradient: new Map() } : rootComponent(solved, root));
  }
  const seen = components.map(({ gradient }) => seenByMarks(solved, gradient));
  const n = components.length;
  const covariance = new Array<number>(n * n).fill(0);
  for (let r = 0; r < n; r += 1) {
    if (components[r]!.gradient.size === 0) continue;
    for (let c = 0; c <= r; c += 1) {
      if (components[c]!.gradient.size === 0) continue;
      const v = covarianceAfter(solved.state, [components[r]!.gradient, seen[r]!], [components[c]!.gradient, seen[c]!]);
      covariance[r * n + c] = v;
      covariance[c * n + r] = v;
    }
  }
  return { slots, mean: components.map(({ value }) => value), covariance };
}

/** Opening between the joint lines, from both bones and the limb: limb varus = LDFA - MPTA + opening. */
export function withOpening(belief: Belief): Belief {
  const ldfa = quantityDefinition('LDFA')!;
  const mpta = quantityDefinition('MPTA')!;
  const split = componentsOf(belief, ldfa.inputs).length;
  return extended(belief, [...ldfa.inputs, ...mpta.inputs, 'limbVarus'], ['jointConvergence'], (x) => [
    x[x.length - 1]! - ldfa.model(x.slice(0, split))[0]! + mpta.model(x.slice(split, x.length - 1))[0]!,
  ]);
}

/** Mean and sd of one root after films. */
export function rootAfter(solved: Solved, name: string): { readonly mean: number; readonly sd: number } {
  const { value, gradient } = rootComponent(solved, name);
  const seen = seenByMarks(solved, gradient);
  const variance = covarianceAfter(solved.state, [gradient, seen], [gradient, seen]);
  return { mean: value, sd: Math.sqrt(Math.max(0, variance)) };
}
