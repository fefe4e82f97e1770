/** Where a named quantity sits in the mean: one number, or the three components of a vector. */
export interface Slot {
  readonly name: string;
  readonly size: 1 | 3;
  readonly at: number;
}

/**
 * What is believed of several named quantities together: a mean and a joint covariance. Units are the caller's and must
 * be the same wherever a name is used. Plain data: it can be logged, saved and sent.
 */
export interface Belief {
  readonly slots: readonly Slot[];
  readonly mean: readonly number[];
  /** Row by row, `mean.length` squared numbers. */
  readonly covariance: readonly number[];
}

type Triple = readonly [number, number, number];

/** One quantity or vector that is independent of the others beside it. */
export type BeliefPart =
  | { readonly name: string; readonly value: number; readonly sd: number }
  | { readonly name: string; readonly value: Triple; readonly covariance: readonly [Triple, Triple, Triple] };

/** A belief from parts that are independent of each other; a name used twice throws. */
export function belief(parts: readonly BeliefPart[]): Belief {
  const slots: Slot[] = [];
  const mean: number[] = [];
  const seen = new Set<string>();
  for (const part of parts) {
    if (seen.has(part.name)) throw new Error(`${part.name} is in both beliefs`);
    seen.add(part.name);
    slots.push({ name: part.name, size: 'sd' in part ? 1 : 3, at: mean.length });
    if ('sd' in part) mean.push(part.value);
    else mean.push(...part.value);
  }
  const n = mean.length;
  const covariance = new Array<number>(n * n).fill(0);
  parts.forEach((part, k) => {
    const { at } = slots[k]!;
    if ('sd' in part) covariance[at * n + at] = part.sd * part.sd;
    else
      part.covariance.forEach((row, r) => {
        row.forEach((v, c) => {
          covariance[(at + r) * n + at + c] = v;
        });
      });
  });
  return { slots, mean, covariance };
}

/** Two beliefs that are independent of each other, as one; a name in both throws. */
export function joined(a: Belief, b: Belief): Belief {
  const taken = new Set(a.slots.map((slot) => slot.name));
  for (const slot of b.slots) {
    if (taken.has(slot.name)) throw new Error(`${slot.name} is in both beliefs`);
  }
  const n = a.mean.length;
  const m = b.mean.length;
  const covariance = new Array<number>((n + m) * (n + m)).fill(0);
  for (let r = 0; r < n; r += 1) for (let c = 0; c < n; c += 1) covariance[r * (n + m) + c] = a.covariance[r * n + c]!;
  for (let r = 0; r < m; r += 1)
    for (let c = 0; c < m; c += 1) covariance[(n + r) * (n + m) + n + c] = b.covariance[r * m + c]!;
  return {
    slots: [...a.slots, ...b.slots.map((slot) => ({ ...slot, at: slot.at + n }))],
    mean: [...a.mean, ...b.mean],
    covariance,
  };
}

export const has = (b: Belief, name: string): boolean => b.slots.some((slot) => slot.name === name);

/** The slot of a name; an unknown name throws. */
export function slotOf(b: Belief, name: string): Slot {
  const slot = b.slots.find((s) => s.name === name);
  if (!slot) throw new Error(`nothing is believed of ${name}`);
  return slot;
}

/** Mean of a single quantity; a vector or an unknown name throws. */
export function meanOf(b: Belief, name: string): number {
  const slot = slotOf(b, name);
  if (slot.size !== 1) throw new Error(`${name} is a vector`);
  return b.mean[slot.at]!;
}

/** Mean of a vector; a single quantity or an unknown name throws. */
export function meanVectorOf(b: Belief, name: string): Triple {
  const slot = slotOf(b, name);
  if (slot.size !== 3) throw new Error(`${name} is not a vector`);
  return [b.mean[slot.at]!, b.mean[slot.at + 1]!, b.mean[slot.at + 2]!];
}

/** Standard deviation of a single quantity. */
export function sdOf(b: Belief, name: string): number {
  const slot = slotOf(b, name);
  if (slot.size !== 1) throw new Error(`${name} is a vector`);
  return Math.sqrt(Math.max(0, b.covariance[slot.at * b.mean.length + slot.at]!));
}

/** Covariance of a vector, three rows. */
export function covarianceOf(b: Belief, name: string): readonly [Triple, Triple, Triple] {
  const slot = slotOf(b, name);
  if (slot.size !== 3) throw new Error(`${name} is not a vector`);
  const n = b.mean.length;
  const row = (r: number): Triple => {
    const start = (slot.at + r) * n + slot.at;
    return [b.covariance[start]!, b.covariance[start + 1]!, b.covariance[start + 2]!];
  };
  return [row(0), row(1), row(2)];
}

/** Correlation of two single quantities; 0 when either is known exactly. */
export function correlation(b: Belief, one: string, other: string): number {
  const spread = sdOf(b, one) * sdOf(b, other);
  return spread > 0 ? b.covariance[slotOf(b, one).at * b.mean.length + slotOf(b, other).at]! / spread : 0;
}

/** Component numbers of several names, in the order given. */
export function componentsOf(b: Belief, names: readonly string[]): readonly number[] {
  return names.flatMap((name) => {
    const slot = slotOf(b, name);
    return slot.size === 1 ? [slot.at] : [slot.at, slot.at + 1, slot.at + 2];
  });
}

/** The belief of some of the names alone, in the order given. */
export function marginal(b: Belief, names: readonly string[]): Belief {
  const components = componentsOf(b, names);
  const n = b.mean.length;
  let at = 0;
  const slots = names.map((name) => {
    const slot = { ...slotOf(b, name), at };
    at += slot.size;
    return slot;
  });
  return {
    slots,
    mean: components.map((c) => b.mean[c]!),
    covariance: components.flatMap((r) => components.map((c) => b.covariance[r * n + c]!)),
  };
}
