import { type Belief, componentsOf, has, type Slot } from './belief.ts';

/** A pure function of the chosen components, in the order the names were given; vectors take three places. */
export type Model = (x: readonly number[]) => readonly number[];

export interface Derivatives {
  readonly value: readonly number[];
  /** Row by row: outputs x inputs. */
  readonly jacobian: readonly number[];
}

/**
 * Smallest step of a numerical derivative, in the quantity's own unit: with mm and radians inside, rounding then costs
 * about 1e-11 relative. A quantity with a spread is stepped by a share of it, if that is more.
 */
const leastStep = 1e-5;

/**
 * How derivatives are taken: `central` looks to both sides and errs by the square of its step, a hundredth of the spread;
 * `forward` to one side only, half the work, and errs by what the output bends within a thousandth of it.
 */
export type Differences = 'central' | 'forward';

/** Value and first derivatives of a model at the mean. */
export function derivatives(
  b: Belief,
  inputs: readonly string[],
  model: Model,
  differences: Differences = 'central',
): Derivatives {
  const components = componentsOf(b, inputs);
  const n = b.mean.length;
  const x = components.map((c) => b.mean[c]!);
  const value = model(x);
  const jacobian = new Array<number>(value.length * x.length).fill(0);
  components.forEach((c, k) => {
    const spread = Math.sqrt(Math.max(0, b.covariance[c * n + c]!));
    if (spread === 0) return;
    const h = Math.max(leastStep, spread / (differences === 'central' ? 100 : 1000));
    const centre = x[k]!;
    x[k] = centre + h;
    const plus = model(x);
    let minus = value;
    if (differences === 'central') {
      x[k] = centre - h;
      minus = model(x);
    }
    x[k] = centre;
    const apart = differences === 'central' ? 2 * h : h;
    for (let o = 0; o < value.length; o += 1) jacobian[o * x.length + k] = (plus[o]! - minus[o]!) / apart;
  });
  return { value, jacobian };
}

/** An output: a single quantity, or a vector that takes three places of the model's result. */
export type Output = string | { readonly name: string; readonly size: 3 };

function outputSlots(outputs: readonly Output[], from: number): readonly Slot[] {
  let at = from;
  return outputs.map((output) => {
    const slot: Slot = typeof output === 'string' ? { name: output, size: 1, at } : { ...output, at };
    at += slot.size;
    return slot;
  });
}

/** J Sigma for the chosen inputs: outputs x all components. */
function carried(b: Belief, inputs: readonly string[], jacobian: readonly number[], outputs: number): number[] {
  const components = componentsOf(b, inputs);
  const n = b.mean.length;
  const out = new Array<number>(outputs * n).fill(0);
  for (let o = 0; o < outputs; o += 1)
    components.forEach((c, k) => {
      const j = jacobian[o * components.length + k]!;
      if (j === 0) return;
      for (let i = 0; i < n; i += 1) out[o * n + i] = out[o * n + i]! + j * b.covariance[c * n + i]!;
    });
  return out;
}

/**
 * The belief with the outputs of a model added to it, with everything they share (first order: J Sigma J').
 * The names that were there stay; an output name that is already there throws.
 */
export function extended(b: Belief, inputs: readonly string[], outputs: readonly Output[], model: Model): Belief {
  const { value, jacobian } = derivatives(b, inputs, model);
  const components = componentsOf(b, inputs);
  const n = b.mean.length;
  const slots = outputSlots(outputs, n);
  for (const slot of slots) if (has(b, slot.name)) throw new Error(`${slot.name} is already in the belief`);
  const m = value.length;
  if (slots.reduce((sum, s) => sum + s.size, 0) !== m) throw new Error('the model gives another number of outputs');
  const cross = carried(b, inputs, jacobian, m);
  const size = n + m;
  const covariance = new Array<number>(size * size).fill(0);
  for (let r = 0; r < n; r += 1) for (let c = 0; c < n; c += 1) covariance[r * size + c] = b.covariance[r * n + c]!;
  for (let o = 0; o < m; o += 1) {
    for (let i = 0; i < n; i += 1) {
      covariance[(n + o) * size + i] = cross[o * n + i]!;
      covariance[i * size + n + o] = cross[o * n + i]!;
    }
    for (let p = 0; p < m; p += 1) {
      let sum = 0;
      components.forEach((c, k) => {
        sum += cross[o * n + c]! * jacobian[p * components.length + k]!;
      });
      covariance[(n + o) * size + n + p] = sum;
    }
  }
  return { slots: [...b.slots, ...slots], mean: [...b.mean, ...value], covariance };
}

/** The belief of the outputs of a model alone (first order: J Sigma J'). */
export function propagate(
  b: Belief,
  inputs: readonly string[],
  outputs: readonly Output[],
  model: Model,
  differences: Differences = 'central',
): Belief {
  const { value, jacobian } = derivatives(b, inputs, model, differences);
  const components = componentsOf(b, inputs);
  const n = b.mean.length;
  const m = value.length;
  const slots = outputSlots(outputs, 0);
  if (slots.reduce((sum, s) => sum + s.size, 0) !== m) throw new Error('the model gives another number of outputs');
  const cross = carried(b, inputs, jacobian, m);
  const covariance = new Array<number>(m * m).fill(0);
  for (let o = 0; o < m; o += 1)
    for (let p = 0; p <= o; p += 1) {
      let sum = 0;
      components.forEach((c, k) => {
        sum += cross[o * n + c]! * jacobian[p * components.length + k]!;
      });
      covariance[o * m + p] = sum;
      covariance[p * m + o] = sum;
    }
  return { slots, mean: value, covariance };
}
