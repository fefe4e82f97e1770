import type { ComponentFamily } from '../kits/kit.ts';
import { wearName } from '../leg/sites.ts';
import type { Guide, RestLink } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { isContact } from './needs.ts';
import type { Bone, SlideSense } from './sense.ts';
import type { Setting, Settings } from './setting.ts';

const nearestTo = (values: readonly number[], to: number): number =>
  values.reduce((a, b) => (Math.abs(b - to) < Math.abs(a - to) ? b : a));

/** Allowed settings of a stepped link: zero + k * step inside its range. */
export function detents(link: {
  readonly range: readonly [number, number];
  readonly zero: number;
  readonly step: number;
}): readonly number[] {
  const first = Math.ceil((link.range[0] - link.zero) / link.step - 1e-9);
  const last = Math.floor((link.range[1] - link.zero) / link.step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, k) => link.zero + (first + k) * link.step);
}

/** The settings a guide has before anything is asked of it: zeros, and the value nearest to nothing where there is no zero. */
export function neutralSettings(guide: Guide, components: ComponentFamily): Settings {
  const settings: Record<string, Setting> = {};
  for (const link of guide.links) {
    switch (link.kind) {
      case 'slide':
        settings[link.id] = link.sizes
          ? {
              value: components.femur[Math.floor(components.femur.length / 2)]!.size,
              keeps: link.sizes.keeps[0],
            }
          : { value: link.zero };
        break;
      case 'swing':
        settings[link.id] = { value: link.zero, ...(link.pivots ? { pivot: link.pivots[0] } : {}) };
        break;
      case 'ring':
      case 'dial':
      case 'peg':
        settings[link.id] = { value: nearestTo(link.values, 0) };
        break;
      case 'feeler':
        settings[link.id] = { value: nearestTo(link.values, 0), site: link.touches[0] };
        break;
      case 'thread':
      case 'rest':
        settings[link.id] = { value: 0 };
        break;
      default:
    }
  }
  return settings;
}

/** Every way of taking one item from each list. */
export const product = <T>(lists: readonly (readonly T[])[]): readonly (readonly T[])[] =>
  lists.reduce<readonly (readonly T[])[]>(
    (rows, list) => rows.flatMap((row) => list.map((item) => [...row, item])),
    [[]],
  );

export type Choice = readonly [id: string, setting: Setting];

/** Settings of the links that turn the cut and have steps. */
export const angleChoices = (guide: Guide): readonly (readonly Choice[])[] =>
  guide.links.flatMap((link): readonly (readonly Choice[])[] => {
    if ((link.setBy ?? 'plan') !== 'plan') return [];
    if (link.kind === 'ring') return [link.values.map((value) => [link.id, { value }] as const)];
    if (link.kind === 'swing' && link.step !== null) {
      return [
        detents({ ...link, step: link.step }).map(
          (value) => [link.id, { value, ...(link.pivots ? { pivot: link.pivots[0] } : {}) }] as const,
        ),
      ];
    }
    return [];
  });

/** Where the depth hangs from: which contact a feeler is put on, and shims under a rest. */
export const hangChoices = (guide: Guide): readonly (readonly Choice[])[] =>
  guide.links.flatMap((link): readonly (readonly Choice[])[] => {
    if (link.kind === 'feeler' && link.touches.every(isContact)) {
      return [link.touches.flatMap((site) => link.values.map((value) => [link.id, { value, site }] as const))];
    }
    if (link.kind === 'rest' && link.mode === 'first') return [shimChoices(link)];
    return [];
  });

const shimChoices = (link: RestLink): readonly Choice[] => {
  const shims = (link.shimsMm ?? []).filter((mm) => mm > 0);
  return [
    [link.id, { value: 0 }],
    ...link.sites.flatMap((site) => shims.map((mm): Choice => [link.id, { value: 0, shimsMm: { [site]: mm } }])),
  ];
};

/** A link that only moves the slit along its own normal. */
export interface Shift {
  readonly id: string;
  readonly values: readonly number[];
  /** +1 when a larger setting cuts deeper. */
  readonly deepens: 1 | -1;
}

/** Directions into and out of the bone that is kept. */
const depthSenses: Readonly<Record<Bone, readonly [into: SlideSense, outOf: SlideSense]>> = {
  femur: ['proximal', 'distal'],
  tibia: ['distal', 'proximal'],
  patella: ['anterior', 'posterior'],
};

/** +1 when travel in this direction cuts deeper, -1 when it cuts shallower, 0 when it does neither. */
export function deepening(guide: Guide, toward: SlideSense): 1 | -1 | 0 {
  const [into, outOf] = depthSenses[guide.bone];
  return toward === into ? 1 : toward === outOf ? -1 : 0;
}

/** Stepped links that only move the slit along its own normal. */
export const shifts = (guide: Guide): readonly Shift[] =>
  guide.links.flatMap((link): readonly Shift[] => {
    if (link.kind === 'dial') return [{ id: link.id, values: link.values, deepens: 1 }];
    if (link.kind !== 'peg') return [];
    const deepens = deepening(guide, link.toward);
    return deepens === 0 ? [] : [{ id: link.id, values: link.values, deepens }];
  });

/**
 * How far stepped links stand off their neutral, and how worn the surface is that a feeler is put on: between equal results
 * the one with the least of it is called.
 */
export function fussOf(guide: Guide, settings: Settings, leg: LegView): number {
  let fuss = 0;
  for (const link of guide.links) {
    const setting = settings[link.id];
    if (!setting) continue;
    if (link.kind === 'peg') fuss += Math.abs(setting.value);
    if (link.kind === 'rest') fuss += Object.values(setting.shimsMm ?? {}).reduce((sum, mm) => sum + mm, 0);
    if (link.kind === 'feeler' && setting.site && isContact(setting.site)) {
      fuss += leg.number(wearName(setting.site)) / 100;
    }
  }
  return fuss;
}
