import { err, ok, type Result } from '@kerfline/geometry';
import type { z } from 'zod';
import { holders } from '../guides/chain.ts';
import {
  type CutName,
  type Face,
  type Guide,
  isSettable,
  type Link,
  type SizedLink,
  type SlideLink,
} from '../guides/guide.ts';
import { cutsOfBone, needsOf } from '../guides/needs.ts';
import { facing } from '../guides/surface.ts';
import type { Kit } from './kit.ts';
import { kitForm, kitSchema } from './kit-schema.ts';

/** One fault of a kit: where it is, what is there, and what is allowed. */
export interface KitFault {
  /** Such as `guides[0].links[2].range`. */
  readonly path: string;
  readonly found: string;
  readonly allowed: string;
}

export const faultText = (fault: KitFault): string => `${fault.path}: found ${fault.found}; allowed: ${fault.allowed}`;

/** @numerical Longest piece of a file that a fault shows, characters. */
const mostShown = 120;

const shown = (value: unknown): string => (value === undefined ? 'nothing' : JSON.stringify(value)).slice(0, mostShown);

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
  if (link.kind === 'mast') {
    mustBe('from', link.from, ['frame', 'swing', 'slide']);
    const held = holders(links, link);
    const start = links.find((l) => l.id === link.from);
    if (start && !held.includes(link.from)) {
      faults.push({
        path: `${path}.from`,
        found: shown(link.from),
        allowed: `a link that holds the mast, or its loop cannot close: ${held.join(', ') || 'none does'}`,
      });
    }
    const foot = links.find((l) => l.kind === 'frame' && held.includes(l.id));
    if (foot?.kind === 'frame' && foot.at === link.to) {
      faults.push({
        path: `${path}.to`,
        found: shown(link.to),
        allowed: 'another site than the one its foot hangs on',
      });
    }
  }
  if (link.kind === 'core' && link.on !== undefined) {
    faults.push({ path: `${path}.on`, found: shown(link.on), allowed: 'nothing: a rod lies in the canal itself' });
  }
  if (link.kind === 'slide' && link.gauge) faults.push(...gaugeFaults(link, path, links));
  if (
    link.kind === 'slide' &&
    link.sizes &&
    !holders(links, link).includes(link.sizes.front) &&
    ids.includes(link.sizes.front)
  ) {
    faults.push({
      path: `${path}.on`,
      found: shown(link.on),
      allowed: `a chain that comes from the feeler ${link.sizes.front}`,
    });
  }
  if (link.kind === 'rest') {
    const known = needsOf(link, bone).every(({ name, allowed }) => allowed.includes(name));
    const ways = new Set(link.sites.map((site) => JSON.stringify(facing(site))));
    if (
      known &&
      link.mode === 'both' &&
      link.sites.length === 2 &&
      !(link.sites[0]!.endsWith('Medial') && link.sites[1]?.endsWith('Lateral'))
    ) {
      faults.push({ path: `${path}.sites`, found: shown(link.sites), allowed: 'two contacts, medial first' });
    } else if (known && ways.size > 1) {
      faults.push({ path: `${path}.sites`, found: shown(link.sites), allowed: 'sites that face the same way' });
    } else if (known && link.mode === 'both' && link.sites.some((site) => facing(site).axis !== 1)) {
      faults.push({
        path: `${path}.sites`,
        found: shown(link.sites),
        allowed: 'sites behind: two heels turn a guide about its long axis, they do not tilt it',
      });
    }
  }
  if (link.kind === 'pin') {
    const seats = links.flatMap((l) => (l.kind === 'seat' ? l.seats.map((s) => s.id) : []));
    link.rows.forEach((row, k) => {
      if (row.forSeat !== undefined && !seats.includes(row.forSeat)) {
        faults.push({
          path: `${path}.rows[${k}].forSeat`,
          found: shown(row.forSeat),
          allowed: seats.length > 0 ? `a seat of this guide: ${seats.join(', ')}` : 'nothing: this guide has no seats',
        });
      }
    });
    for (const seat of seats) {
      if (!link.rows.some((row) => row.forSeat === undefined || row.forSeat === seat)) {
        faults.push({
          path: `${path}.rows`,
          found: `no row for seat ${seat}`,
          allowed: 'at least one row for each seat',
        });
      }
    }
    faults.push(
      ...duplicates(
        link.rows.map((r) => r.id),
        (k) => `${path}.rows[${k}].id`,
      ),
    );
  }
  if (link.kind === 'seat')
    faults.push(
      ...duplicates(
        link.seats.map((s) => s.id),
        (k) => `${path}.seats[${k}].id`,
      ),
    );
  if (link.kind === 'seat' && link.fixedIn !== 'metal') {
    faults.push({
      path: `${path}.fixedIn`,
      found: shown(link.fixedIn),
      allowed: '"metal": a seat does not mirror with the leg',
    });
  }
  if (link.kind === 'ring' && link.hand === 'flips' && !link.faces) {
    faults.push({
      path: `${path}.faces`,
      found: 'nothing',
      allowed: 'the face that is up on each side, since the part flips',
    });
  }
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
  if (
    (link.kind === 'slit' || link.kind === 'openFace') &&
    link.bladeLengthMm !== undefined &&
    !(link.bladeLengthMm > (link.standOffMm ?? 0))
  ) {
    faults.push({
      path: `${path}.bladeLengthMm`,
      found: shown(link.bladeLengthMm),
      allowed: `more than the block takes of it, ${link.standOffMm ?? 0} mm`,
    });
  }
  if (link.kind === 'rest') faults.push(...duplicates(link.sites, (k) => `${path}.sites[${k}]`));
  if (link.kind === 'rest' && link.mode === 'both' && link.sites.length !== 2) {
    faults.push({ path: `${path}.sites`, found: shown(link.sites), allowed: 'two contacts, medial first' });
  }
  if (link.kind === 'frame' && link.on !== undefined) {
    faults.push({ path: `${path}.on`, found: shown(link.on), allowed: 'nothing: a frame hangs on its site' });
  }
  if (link.kind === 'swing' && link.pivots?.some((pivot) => pivot !== 'middle')) {
    const heels = holders(links, link).some((id) =>
      links.some((l) => l.id === id && l.kind === 'rest' && l.mode === 'both'),
    );
    if (!heels) {
      faults.push({
        path: `${path}.pivots`,
        found: shown(link.pivots),
        allowed: 'contacts only where two heels that both touch hold the turn',
      });
    }
  }
  const measurable = [
    'rest',
    'feeler',
    'slide',
    'thread',
    'swing',
    'ring',
    'dial',
    'peg',
    'pin',
    'seat',
    'slit',
    'openFace',
  ];
  if (link.bias !== undefined && !measurable.includes(link.kind)) {
    faults.push({
      path: `${path}.bias`,
      found: shown(link.bias),
      allowed: `nothing: a ${link.kind} has no engraving to be off`,
    });
  }
  if ((link.kind === 'slit' || link.kind === 'openFace') && link.face && !hasSize(links)) {
    faults.push({
      path: `${path}.face`,
      found: shown(link.face),
      allowed: 'only with a part or a slide that has a size',
    });
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

/** A slide set as a difference moves the foot of the only mast, at the height that the mast starts from. */
function gaugeFaults(link: SlideLink, path: string, links: readonly Link[]): readonly KitFault[] {
  const faults: KitFault[] = [];
  const fault = (field: string, found: unknown, allowed: string): void => {
    faults.push({ path: `${path}.${field}`, found: shown(found), allowed });
  };
  const gauge = link.gauge!;
  if (!(gauge.lowerMm < gauge.upperMm)) fault('gauge', gauge, 'the lower mark below the upper one');
  const masts = links.filter((l) => l.kind === 'mast');
  if (masts.length !== 1 || masts[0]!.on !== link.id) {
    fault('gauge', gauge, 'only on a slide that holds a mast itself, and the only mast of its guide');
    return faults;
  }
  const held = holders(links, link);
  const between = links.filter((l) => held.includes(l.id) && l.id !== masts[0]!.from);
  const level = between.every(
    (l) =>
      (l.kind === 'swing' && (l.turn === 'external' || l.turn === 'internal')) ||
      (l.kind === 'slide' && l.toward !== 'proximal' && l.toward !== 'distal'),
  );
  const start = links.find((l) => l.id === masts[0]!.from);
  if (!level || start?.kind !== 'frame') {
    fault('on', link.on, 'a chain from a frame, where the mast starts, that neither leans nor changes height');
  }
  if (link.zero !== 0) fault('zero', link.zero, '0: as far from the shin at both marks');
  if (link.toward !== 'anterior') fault('toward', link.toward, '"anterior": farther from the shin at the lower mark');
  return faults;
}

/** Whether a part or a slide of a guide has the size of a femoral component. */
const hasSize = (links: readonly Link[]): boolean =>
  links.some((l) => (l.kind === 'slide' && l.sizes) || (l.kind === 'sized' && l.component === 'femur'));

const cutOfFace: Readonly<Record<Face, CutName>> = {
  rear: 'posteriorFemur',
  front: 'anteriorFemur',
  rearChamfer: 'posteriorChamfer',
  frontChamfer: 'anteriorChamfer',
};

/** Whether two guides would make the same holes in a bone without one standing on the other's pins. */
const sharesHoles = (earlier: Guide, guide: Guide, holes: string): boolean =>
  earlier.bone === guide.bone &&
  earlier.links.some((l) => l.kind === 'pin' && l.holes === holes) &&
  (guide.insteadOf ?? guide.id) !== (earlier.insteadOf ?? earlier.id) &&
  !(typeof guide.mountsOn === 'object' && 'pinsOf' in guide.mountsOn && guide.mountsOn.pinsOf === earlier.id);

/** Sizes of a component that do not say what a link of a guide needs of them. */
function componentFaults(kit: Kit, link: Link, path: string): readonly KitFault[] {
  const needs = (field: string, at: string, lacking: readonly number[]): readonly KitFault[] =>
    lacking.length === 0
      ? []
      : [
          {
            path: `${path}.${field}`,
            found: `${at} of size ${lacking.join(', ')} unknown`,
            allowed: 'only with that of every size',
          },
        ];
  const without = <T extends { readonly size: number }>(sizes: readonly T[], of: keyof T): readonly number[] =>
    sizes.filter((size) => size[of] === undefined).map((size) => size.size);
  const { femur, tray } = kit.components;
  if (
    (link.kind === 'slit' || link.kind === 'openFace') &&
    (link.face === 'rearChamfer' || link.face === 'frontChamfer')
  ) {
    return needs('face', `the ${link.face}`, without(femur, link.face));
  }
  if (link.kind === 'drill' && link.makes === 'keel') return needs('makes', 'the wings', without(tray, 'wingMm'));
  return [];
}

/** A part that must be of the size set before: that setting must exist, and set the size of the same component. */
function followFaults(kit: Kit, g: number, link: SizedLink, path: string): readonly KitFault[] {
  const sets = (l: Link): boolean =>
    (l.kind === 'slide' && l.sizes?.component === link.component) ||
    (l.kind === 'sized' && l.component === link.component);
  const fitting = kit.guides.slice(0, g).flatMap((guide) => guide.links.filter(sets).map((l) => `${guide.id} ${l.id}`));
  if (!link.follows) {
    return link.component === 'femur'
      ? [
          {
            path: `${path}.follows`,
            found: 'nothing',
            allowed: `the setting that fixes the size: ${fitting.join(', ') || 'there is none'}`,
          },
        ]
      : [];
  }
  const named = `${link.follows.guide} ${link.follows.link}`;
  return fitting.includes(named)
    ? []
    : [
        {
          path: `${path}.follows`,
          found: shown(named),
          allowed: `an earlier setting of a ${link.component} size: ${fitting.join(', ') || 'there is none'}`,
        },
      ];
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
    guide.aligns?.forEach(({ cut, link }, a) => {
      const pins = guide.links.filter((l) => l.kind === 'pin').map((l) => l.id);
      if (!pins.includes(link)) {
        faults.push({
          path: `${path}.aligns[${a}].link`,
          found: shown(link),
          allowed: pins.length > 0 ? `pins of this guide: ${pins.join(', ')}` : 'pins, of which there are none',
        });
      }
      if (!cutsOfBone[guide.bone].includes(cut)) {
        faults.push({
          path: `${path}.aligns[${a}].cut`,
          found: shown(cut),
          allowed: `one of ${cutsOfBone[guide.bone].join(', ')}`,
        });
      }
    });
    guide.links.forEach((link, l) => {
      faults.push(...componentFaults(kit, link, `${path}.links[${l}]`));
      if (link.kind === 'sized') faults.push(...followFaults(kit, g, link, `${path}.links[${l}]`));
      if (link.kind === 'pin' && link.holes !== undefined) {
        const other = kit.guides.slice(0, g).find((made) => sharesHoles(made, guide, link.holes!));
        if (other) {
          faults.push({
            path: `${path}.links[${l}].holes`,
            found: shown(link.holes),
            allowed: `other holes than those of ${other.id}, unless this guide stands on its pins or is used instead of it`,
          });
        }
      }
    });
    if (guide.insteadOf !== undefined) {
      const first = kit.guides.slice(0, g).find((other) => other.id === guide.insteadOf);
      if (!first || first.bone !== guide.bone || first.insteadOf !== undefined) {
        faults.push({
          path: `${path}.insteadOf`,
          found: shown(guide.insteadOf),
          allowed: `an earlier guide of the ${guide.bone} that is itself nobody's substitute`,
        });
      }
    }
    guide.outputs.forEach(({ cut, link }, o) => {
      const slit = guide.links.find((l) => l.id === link);
      if ((slit?.kind !== 'slit' && slit?.kind !== 'openFace') || !slit.face || !hasSize(guide.links)) return;
      if (cutOfFace[slit.face] === cut) return;
      faults.push({
        path: `${path}.outputs[${o}].cut`,
        found: shown(cut),
        allowed: `${shown(cutOfFace[slit.face])}, the cut of the ${slit.face} face that ${link} makes`,
      });
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
      if ('pinsOf' in mountsOn) {
        const fitting = made
          .filter((o) => o.bone === guide.bone && o.links.some((l) => l.kind === 'pin'))
          .map((o) => o.id);
        if (!fitting.includes(mountsOn.pinsOf)) {
          faults.push({
            path: `${path}.mountsOn.pinsOf`,
            found: shown(mountsOn.pinsOf),
            allowed:
              fitting.length > 0
                ? `an earlier guide of the ${guide.bone} that has pins: ${fitting.join(', ')}`
                : `an earlier guide of the ${guide.bone} that has pins, of which there is none`,
          });
        }
        if (mountsOn.flushOn && !made.some((other) => other.outputs.some((o) => o.cut === mountsOn.flushOn))) {
          faults.push({
            path: `${path}.mountsOn.flushOn`,
            found: shown(mountsOn.flushOn),
            allowed: 'a cut that an earlier guide of the kit makes',
          });
        }
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

/** The form of a kit file that says it is newer than this program knows. */
function newerForm(raw: unknown): number | undefined {
  const form = typeof raw === 'object' && raw !== null && 'kit' in raw ? raw.kit : undefined;
  return typeof form === 'number' && form > kitForm ? form : undefined;
}

/** Reads a kit from parsed JSON, or lists every fault with its path, what was found and what is allowed. */
export function checkKit(raw: unknown): Result<Kit, readonly KitFault[]> {
  const newer = newerForm(raw);
  if (newer !== undefined) {
    return err([
      {
        path: 'kit',
        found: shown(newer),
        allowed: `${kitForm}: this file is of a newer form; use a newer program, or ask for the kit in form ${kitForm}`,
      },
    ]);
  }
  const parsed = kitSchema.safeParse(raw);
  if (!parsed.success) return err(shapeFaults(parsed.error.issues, raw));
  const kit: Kit = parsed.data;
  const faults = crossFaults(kit);
  return faults.length > 0 ? err(faults) : ok(kit);
}
