import { err, ok, type Result } from '@kerfline/geometry';
import type { z } from 'zod';
import { type Guide, isSettable, type Link } from '../guides/guide.ts';
import { cutsOfBone, needsOf } from '../guides/needs.ts';
import type { Kit } from './kit.ts';
import { kitSchema } from './kit-schema.ts';

/** One fault of a kit: where it is, what is there, and what is allowed. */
export interface KitFault {
  /** Such as `guides[0].links[2].range`. */
  readonly path: string;
  readonly found: string;
  readonly allowed: string;
}

export const faultText = (fault: KitFault): string => `${fault.path}: found ${fault.found}; allowed: ${fault.allowed}`;

const shown = (value: unknown): string => (value === undefined ? 'nothing' : JSON.stringify(value)).slice(0, 120);

const pathText = (path: readonly PropertyKey[]): string =>
  path.reduce<string>(
    (text, step) =>
      typeof step === 'number' ? `${text}[${step}]` : text === '' ? String(step) : `${text}.${String(step)}`,
    '',
  ) || 'kit';

const at = (value: unknown, path: readonly PropertyKey[]): unknown =>
  path.reduce<unknown>((inner, step) => (inner as Record<PropertyKey, unknown> | undefined)?.[step], value);

function shapeFaults(issues: readonly z.core.$ZodIssue[], raw: unknown): readonly KitFault[] {
  return issues.flatMap((issue): readonly KitFault[] => {
    switch (issue.code) {
      case 'unrecognized_keys':
        return issue.keys.map((key) => ({
          path: pathText([...issue.path, key]),
          found: `the unknown key ${shown(key)}`,
          allowed: 'only the keys of the kit form',
        }));
      case 'invalid_value':
        return [
          {
            path: pathText(issue.path),
            found: shown(at(raw, issue.path)),
            allowed: `one of ${issue.values.map((v) => shown(v)).join(', ')}`,
          },
        ];
      default:
        return [
          {
            path: pathText(issue.path),
            found: shown(at(raw, issue.path)),
            allowed: issue.message.replace(/^Invalid input: /, ''),
          },
        ];
    }
  });
}

const within = (value: number, [low, high]: readonly [number, number]): boolean => value >= low && value <= high;

function linkFaults(link: Link, path: string, { links, bone }: Guide): readonly KitFault[] {
  const faults: KitFault[] = [];
  const ids = links.map((l) => l.id);
  const mustBe = (name: string, target: string, kinds: readonly Link['kind'][]): void => {
    const found = links.find((l) => l.id === target);
    const fitting = links.filter((l) => kinds.includes(l.kind)).map((l) => l.id);
    if (!found || !kinds.includes(found.kind)) {
      faults.push({
        path: `${path}.${name}`,
        found: shown(target),
        allowed:
          fitting.length > 0 ? `one of ${fitting.join(', ')}` : `a ${kinds.join(' or ')} link, of which there is none`,
      });
    }
  };
  if (link.on !== undefined && !ids.includes(link.on)) {
    faults.push({ path: `${path}.on`, found: shown(link.on), allowed: `a link of this guide: ${ids.join(', ')}` });
  }
  if ('range' in link && !(link.range[0] < link.range[1])) {
    faults.push({
      path: `${path}.range`,
      found: shown(link.range),
      allowed: 'the smaller number first, then the larger',
    });
  } else if ('zero' in link && !within(link.zero, link.range)) {
    faults.push({ path: `${path}.zero`, found: shown(link.zero), allowed: `a number in ${shown(link.range)}` });
  }
  if (link.kind === 'mast') mustBe('from', link.from, ['frame', 'swing', 'slide']);
  if (link.kind === 'dial') mustBe('sets', link.sets, ['rest']);
  if (link.kind === 'slide' && link.sizes) mustBe('sizes.front', link.sizes.front, ['feeler']);
  if ((link.kind === 'slit' || link.kind === 'openFace') && !(link.gapMm >= link.bladeMm)) {
    faults.push({ path: `${path}.gapMm`, found: shown(link.gapMm), allowed: `at least the blade, ${link.bladeMm} mm` });
  }
  for (const { field, name, allowed } of needsOf(link, bone)) {
    if (allowed.includes(name)) continue;
    faults.push({
      path: `${path}.${field}`,
      found: shown(name),
      allowed: allowed.length > 0 ? `one of ${allowed.join(', ')}` : `nothing: a guide of the ${bone} has none`,
    });
  }
  if (link.kind === 'rest' && link.mode === 'both' && link.sites.length !== 2) {
    faults.push({ path: `${path}.sites`, found: shown(link.sites), allowed: 'two contacts, medial first' });
  }
  if (
    (link.kind === 'slit' || link.kind === 'openFace') &&
    link.face &&
    !links.some((l) => l.kind === 'slide' && l.sizes)
  ) {
    faults.push({ path: `${path}.face`, found: shown(link.face), allowed: 'only with a slide that sets a size' });
  }
  if (link.settable !== undefined && !isSettable(link)) {
    faults.push({
      path: `${path}.settable`,
      found: shown(link.settable),
      allowed: `nothing: a ${link.kind} is not set`,
    });
  }
  return faults;
}

function duplicates(values: readonly (string | number)[], path: (index: number) => string): readonly KitFault[] {
  return values.flatMap((value, i) =>
    values.indexOf(value) < i ? [{ path: path(i), found: shown(value), allowed: 'a name that is not used yet' }] : [],
  );
}

/** Follows `on` to the bone; a loop never gets there. */
function loops(links: readonly Link[], start: Link): boolean {
  let link: Link | undefined = start;
  for (let steps = 0; link?.on !== undefined; steps += 1) {
    if (steps > links.length) return true;
    const parent: string = link.on;
    link = links.find((l) => l.id === parent);
  }
  return false;
}

function crossFaults(kit: Kit): readonly KitFault[] {
  const faults: KitFault[] = [
    ...duplicates(
      kit.guides.map((g) => g.id),
      (i) => `guides[${i}].id`,
    ),
  ];
  kit.guides.forEach((guide, g) => {
    const path = `guides[${g}]`;
    faults.push(
      ...duplicates(
        guide.links.map((l) => l.id),
        (i) => `${path}.links[${i}].id`,
      ),
    );
    guide.links.forEach((link, l) => {
      const linkPath = `${path}.links[${l}]`;
      faults.push(...linkFaults(link, linkPath, guide));
      if (loops(guide.links, link)) {
        faults.push({
          path: `${linkPath}.on`,
          found: shown(link.on),
          allowed: 'a chain of parents that ends at the bone',
        });
      }
    });
    guide.outputs.forEach((output, o) => {
      const cuts = cutsOfBone[guide.bone];
      if (!cuts.includes(output.cut)) {
        faults.push({
          path: `${path}.outputs[${o}].cut`,
          found: shown(output.cut),
          allowed: cuts.length > 0 ? `one of ${cuts.join(', ')}` : `nothing: no guide cuts the ${guide.bone}`,
        });
      }
    });
    const slits = guide.links.filter((l) => l.kind === 'slit' || l.kind === 'openFace').map((l) => l.id);
    guide.outputs.forEach((output, o) => {
      if (!slits.includes(output.link)) {
        faults.push({
          path: `${path}.outputs[${o}].link`,
          found: shown(output.link),
          allowed:
            slits.length > 0
              ? `a slit of this guide: ${slits.join(', ')}`
              : 'a slit or open face, of which there is none',
        });
      }
    });
    const { mountsOn } = guide;
    if (typeof mountsOn === 'object') {
      const made = kit.guides.slice(0, g);
      if ('cut' in mountsOn && !made.some((other) => other.outputs.some((o) => o.cut === mountsOn.cut))) {
        faults.push({
          path: `${path}.mountsOn.cut`,
          found: shown(mountsOn.cut),
          allowed: 'a cut that an earlier guide of the kit makes',
        });
      }
      if ('pinsOf' in mountsOn && !made.some((other) => other.id === mountsOn.pinsOf)) {
        faults.push({
          path: `${path}.mountsOn.pinsOf`,
          found: shown(mountsOn.pinsOf),
          allowed: 'an earlier guide of the kit',
        });
      }
    }
  });
  const { femur, tray, insert, button, allowedPairs } = kit.components;
  for (const [name, sizes] of Object.entries({ femur, tray, insert, button })) {
    faults.push(
      ...duplicates(
        sizes.map((s) => s.size),
        (i) => `components.${name}[${i}].size`,
      ),
    );
  }
  allowedPairs.forEach((pair, i) => {
    for (const [name, sizes] of [
      ['femur', femur],
      ['tray', tray],
    ] as const) {
      if (!sizes.some((s) => s.size === pair[name])) {
        faults.push({
          path: `components.allowedPairs[${i}].${name}`,
          found: shown(pair[name]),
          allowed: `a ${name} size of the kit: ${sizes.map((s) => s.size).join(', ')}`,
        });
      }
    }
  });
  return faults;
}

/** Reads a kit from parsed JSON, or lists every fault with its path, what was found and what is allowed. */
export function checkKit(raw: unknown): Result<Kit, readonly KitFault[]> {
  const parsed = kitSchema.safeParse(raw);
  if (!parsed.success) return err(shapeFaults(parsed.error.issues, raw));
  const kit: Kit = parsed.data;
  const faults = crossFaults(kit);
  return faults.length > 0 ? err(faults) : ok(kit);
}
