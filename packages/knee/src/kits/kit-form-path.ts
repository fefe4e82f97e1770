/**
 * Places in a kit by name: `guides.shin-mast.links.head.values[2]`. Guides and links go by their id, so that a place keeps its
 * name when others are taken out.
 */

export type Plain = null | boolean | number | string | readonly Plain[] | { readonly [key: string]: Plain | undefined };
export type PlainObject = { readonly [key: string]: Plain | undefined };

export const isObject = (value: Plain | undefined): value is PlainObject =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

type Step = string | number;

const stepsOf = (path: string): readonly Step[] =>
  [...path.matchAll(/\[(\d+)\]|[^.[\]]+/g)].map((m) => (m[1] === undefined ? m[0] : Number(m[1])));

const indexIn = (list: readonly Plain[], step: Step): number =>
  typeof step === 'number' ? step : list.findIndex((item) => isObject(item) && item.id === step);

/** What stands at a place; undefined where there is nothing. */
export const valueAt = (root: Plain, path: string): Plain | undefined =>
  stepsOf(path).reduce<Plain | undefined>((inner, step) => {
    if (Array.isArray(inner)) return inner[indexIn(inner, step)];
    return isObject(inner) ? inner[step] : undefined;
  }, root);

function changed(inner: Plain | undefined, steps: readonly Step[], value: Plain | undefined): Plain | undefined {
  const [step, ...rest] = steps;
  if (step === undefined) return value;
  if (Array.isArray(inner)) {
    const index = indexIn(inner, step);
    if (index < 0 || index >= inner.length) throw new Error(`no ${step} here`);
    const now = changed(inner[index], rest, value);
    return now === undefined ? inner.filter((_, i) => i !== index) : inner.map((item, i) => (i === index ? now : item));
  }
  const before = isObject(inner) ? inner : {};
  const { [step]: _, ...others } = before;
  const now = changed(before[step], rest, value);
  // A group whose last field is taken out goes with it.
  if (now === undefined) return Object.keys(others).length > 0 ? others : undefined;
  // A key that is there keeps its place.
  return step in before ? { ...before, [step]: now } : { ...others, [step]: now };
}

/** The same with another value at a place; undefined takes it out. Objects on the way are made, places in lists must be there. */
export const withValueAt = (root: Plain, path: string, value: Plain | undefined): Plain =>
  changed(root, stepsOf(path), value) ?? {};
