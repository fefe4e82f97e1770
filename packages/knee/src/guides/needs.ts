import { isContact } from '../leg/sites.ts';
import type { CutName, Guide, Link, Num } from './guide.ts';
import { viewNames } from './leg-view.ts';
import type { Bone } from './sense.ts';

/** Cuts that a guide of a bone can make with a slit. */
export const cutsOfBone: Readonly<Record<Bone, readonly CutName[]>> = {
  femur: ['distalFemur', 'posteriorFemur', 'anteriorFemur', 'posteriorChamfer', 'anteriorChamfer'],
  tibia: ['tibia'],
  patella: ['kneecap'],
};

/** Surfaces that face a cut, so that a feeler put on them hangs the slit under them. */
export const hangsOn = (site: string): boolean => isContact(site) || site === 'patellaAnterior';

/** Surfaces that a rest can lie against. */
const restsOn = (site: string): boolean => isContact(site) || site.startsWith('patellaFacet');

/** Something a link looks up on the leg: its field in the kit, the name, and which names would do. */
export interface Need {
  readonly field: string;
  readonly name: string;
  readonly allowed: readonly string[];
  /** The guide can be placed without it: what is missing is read on the bone. */
  readonly optional?: true;
}

const number = (field: string, value: Num | undefined, allowed: readonly string[]): readonly Need[] =>
  typeof value === 'object' ? [{ field, name: value.leg, allowed }] : [];

/** What one link of a guide looks up on its bone. */
export function needsOf(link: Link, bone: Bone): readonly Need[] {
  const { sites, numbers } = viewNames(bone);
  switch (link.kind) {
    case 'frame':
      return [{ field: 'at', name: link.at, allowed: sites }];
    case 'mast':
      return [{ field: 'to', name: link.to, allowed: sites }, ...number('spanMm', link.spanMm, numbers)];
    case 'core': {
      const canals = sites.filter((site) => site.endsWith('CanalLow')).map((site) => site.replace(/Low$/, ''));
      return [{ field: 'canal', name: link.canal, allowed: canals }];
    }
    case 'rest':
      return link.sites.map((name, k) => ({ field: `sites[${k}]`, name, allowed: sites.filter(restsOn) }));
    case 'feeler':
      return [
        ...link.touches.map(
          (name, k): Need => ({
            field: `touches[${k}]`,
            name,
            allowed: sites,
            ...(hangsOn(name) ? {} : { optional: true }),
          }),
        ),
        ...number('reach', link.reach, numbers),
      ];
    case 'slide':
      return link.gauge ? ['crestUpper', 'crestLower'].map((name) => ({ field: 'gauge', name, allowed: sites })) : [];
    case 'sight':
      return number('spanMm', link.spanMm, numbers);
    default:
      return [];
  }
}

/** A need as the names that it is looked up by on a leg. */
const lookedUp = ({ field, name }: Need): readonly string[] =>
  field === 'canal' ? [`${name}Low`, `${name}High`] : [name];

/** Every name that guides look up on their bone. */
export const namesLookedUp = (guides: readonly Guide[]): ReadonlySet<string> =>
  new Set(guides.flatMap((guide) => guide.links.flatMap((link) => needsOf(link, guide.bone).flatMap(lookedUp))));

/** Names that a guide cannot be placed without and that a leg does not have. */
export const lackedBy = (guide: Guide, has: (name: string) => boolean): readonly string[] =>
  guide.links
    .flatMap((link) => needsOf(link, guide.bone))
    .filter((need) => !need.optional && !lookedUp(need).every(has))
    .map((need) => need.name);

/** What a person can state so that a site is known, by how its name begins. */
const statedBy: Readonly<Record<string, string>> = {
  patella: 'patellaThickness',
  tibialCanal: 'tibialCanalVarus',
  crest: 'crestLean',
};

/** Names of what to state for sites and numbers that are lacking. */
export const toState = (lacking: readonly string[]): string =>
  [
    ...new Set(lacking.map((name) => Object.entries(statedBy).find(([start]) => name.startsWith(start))?.[1] ?? name)),
  ].join(', ');
