import {
  type Errors,
  type Guide,
  type Kit,
  type Link,
  neutralSettings,
  rowsFor,
  type Setting,
  type Settings,
  type Side,
  seatsFor,
} from '@kerfline/knee';
import type { Draw } from './draw.fixture.ts';

/** Settings and errors of one guide by chance: everything its links allow, and a small error under every key there is. */

/** A value that a slide or swing allows. */
function onScale(
  draw: Draw,
  {
    range: [low, high],
    zero,
    step,
  }: { readonly range: readonly [number, number]; readonly zero: number; readonly step: number | null },
): number {
  if (step === null) return draw.within(low, high);
  return zero + step * draw.whole(Math.ceil((low - zero) / step), Math.floor((high - zero) / step));
}

function settingOf(
  draw: Draw,
  link: Link,
  kit: Kit,
  side: Side,
  before: Setting | undefined,
  seat: string | undefined,
): Setting {
  switch (link.kind) {
    case 'slide':
      if (!link.sizes) return { value: onScale(draw, link) };
      return { value: draw.pick(kit.components.femur).size, keeps: draw.pick(link.sizes.keeps) };
    case 'swing':
      return { value: onScale(draw, link), ...(link.pivots ? { pivot: draw.pick(link.pivots) } : {}) };
    case 'ring':
      return { value: draw.pick(link.values), ...(link.hand === 'flips' && draw.chance(0.2) ? { flipped: true } : {}) };
    case 'dial':
    case 'peg':
      return { value: draw.pick(link.values) };
    case 'feeler':
      return { value: draw.pick(link.values), site: draw.pick(link.touches) };
    case 'thread':
      return { value: draw.within(...(link.range as [number, number])) };
    case 'seat': {
      const taken = draw.pick(seatsFor(link, side));
      return { value: (side === 'right' ? 1 : -1) * taken.toPatientRightMm, seat: taken.id };
    }
    case 'pin': {
      const row = draw.pick(rowsFor(link, seat));
      return { value: row.offsetMm, row: row.id };
    }
    case 'rest':
      return {
        value: 0,
        shimsMm: Object.fromEntries(
          draw.some(link.sites, 0.5).map((site) => [site, draw.pick([0, ...(link.shimsMm ?? [])])]),
        ),
      };
    case 'sized':
      return link.follows ? before! : { value: draw.pick(kit.components[link.component].map((c) => c.size)) };
    default:
      return { value: 0 };
  }
}

/**
 * @param taken settings of the guides before, by guide: a part of a size follows the one that set it
 */
export function randomSettings(
  draw: Draw,
  kit: Kit,
  guide: Guide,
  side: Side,
  taken: ReadonlyMap<string, Settings>,
): Settings {
  const settings: Record<string, Setting> = { ...neutralSettings(guide, kit.components, side) };
  let seat: string | undefined;
  for (const link of guide.links) {
    if (!(link.id in settings)) continue;
    const before =
      link.kind === 'sized' && link.follows ? taken.get(link.follows.guide)?.[link.follows.link] : undefined;
    settings[link.id] = settingOf(draw, link, kit, side, before ?? settings[link.id], seat);
    if (link.kind === 'seat') seat = settings[link.id]!.seat;
  }
  return settings;
}

/** Keys under which a link can be off. */
function keysOf(link: Link): readonly string[] {
  const parts = (...names: readonly string[]): readonly string[] => names.map((name) => `${link.id}.${name}`);
  switch (link.kind) {
    case 'frame':
    case 'mast':
      return parts('lateral', 'anterior');
    case 'core':
      return parts('coronal', 'sagittal', 'entryLateral', 'entryAnterior');
    case 'slit':
    case 'openFace':
      return [link.id, ...parts('coronal', 'sagittal')];
    case 'pin':
      return [link.id, ...parts('mm', 'front', 'coronal', 'sagittal', 'axial')];
    case 'sight':
    case 'sized':
    case 'drill':
      return [];
    case 'slide':
      return link.sizes ? [] : [link.id];
    default:
      return [link.id];
  }
}

/** An error under every key of a guide (mm or degrees, standard deviation 1), and one of the kerf. */
export const randomErrors = (draw: Draw, guide: Guide): Errors => ({
  kerf: draw.normal(0.2),
  ...Object.fromEntries(guide.links.flatMap(keysOf).map((key) => [key, draw.normal(1)])),
});
