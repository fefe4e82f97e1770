import type { ComponentFamily } from '../kits/kit.ts';
import { isContact, wearName } from '../leg/sites.ts';
import type { Side } from '../side.ts';
import { isTakenUp } from './chain.ts';
import type { Guide, PinLink, PinRow, RestLink, SlideLink, ThreadLink } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { hangsOn } from './needs.ts';
import { rowsFor, seatLateralMm, seatLink, seatsFor } from './seats.ts';
import { intoBone, opposite, type SlideSense } from './sense.ts';
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

/**
 * The settings a guide has before anything is asked of it: zeros, and the value nearest to nothing where there is no zero.
 *
 * @param seatTaken the seat its block hangs on, if that is not the first for the side
 */
export function neutralSettings(guide: Guide, components: ComponentFamily, side: Side, seatTaken?: string): Settings {
  const settings: Record<string, Setting> = {};
  const hangsOnSeat = seatLink(guide);
  const seat =
    hangsOnSeat &&
    (hangsOnSeat.seats.find((s) => s.id === seatTaken) ?? seatsFor(hangsOnSeat, side)[0] ?? hangsOnSeat.seats[0]!);
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
      case 'seat':
        settings[link.id] = { value: seatLateralMm(seat!, side), seat: seat!.id };
        break;
      case 'pin':
        settings[link.id] = rowSetting(neutralRow(link, seat?.id));
        break;
      case 'sized': {
        const sizes = components[link.component];
        settings[link.id] = { value: sizes[Math.floor(sizes.length / 2)]!.size };
        break;
      }
      case 'thread':
      case 'rest':
        settings[link.id] = { value: 0 };
        break;
      default:
    }
  }
  return settings;
}

/** The row that changes the depth least, among those of a seat. */
const neutralRow = (link: PinLink, seat: string | undefined): PinRow =>
  rowsFor(link, seat).reduce(
    (a, b) => (Math.abs(b.offsetMm) < Math.abs(a.offsetMm) ? b : a),
    rowsFor(link, seat)[0] ?? link.rows[0]!,
  );

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
    if (link.kind === 'slide' && link.step !== null && !link.sizes && deepening(guide, link.toward) === 0) {
      return [detents({ ...link, step: link.step }).map((value) => [link.id, { value }] as const)];
    }
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
    if (link.kind === 'feeler' && (link.setBy ?? 'plan') === 'plan' && link.touches.every(hangsOn)) {
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

/** A stepped link that only moves the slit along its own normal. */
export interface Shift {
  readonly id: string;
  readonly settings: readonly Setting[];
  /** +1 when a larger setting cuts deeper. */
  readonly deepens: 1 | -1;
}

/** +1 when travel in this direction cuts deeper, -1 when it cuts shallower, 0 when it does neither. */
export function deepening(guide: Guide, toward: SlideSense): 1 | -1 | 0 {
  const into = intoBone[guide.bone];
  return toward === into ? 1 : toward === opposite(into) ? -1 : 0;
}

/** A link without steps that only moves the slit along its own normal, if the plan sets one. */
export const fineDepth = (guide: Guide): ThreadLink | SlideLink | undefined =>
  guide.links.find(
    (link): link is ThreadLink | SlideLink =>
      (link.kind === 'thread' || (link.kind === 'slide' && link.step === null && !link.sizes)) &&
      (link.setBy ?? 'plan') === 'plan' &&
      deepening(guide, link.toward) !== 0 &&
      !isTakenUp(guide, link),
  );

/** Stepped links that only move the slit along its own normal, and are not taken up; rows are those of the seat that is taken. */
export const shifts = (guide: Guide, settings: Settings): readonly Shift[] => {
  const seat = settings[seatLink(guide)?.id ?? '']?.seat;
  return guide.links.flatMap((link): readonly Shift[] => {
    if (isTakenUp(guide, link)) return [];
    if (link.kind === 'dial') return [{ id: link.id, settings: link.values.map((value) => ({ value })), deepens: 1 }];
    if (link.kind === 'pin' && link.rows.length > 1) {
      return [{ id: link.id, settings: rowsFor(link, seat).map(rowSetting), deepens: 1 }];
    }
    const values =
      link.kind === 'peg'
        ? link.values
        : link.kind === 'slide' && link.step !== null && !link.sizes
          ? detents({ ...link, step: link.step })
          : undefined;
    const deepens = 'toward' in link ? deepening(guide, link.toward) : 0;
    return values && deepens !== 0 ? [{ id: link.id, settings: values.map((value) => ({ value })), deepens }] : [];
  });
};

const rowSetting = (row: PinRow): Setting => ({ value: row.offsetMm, row: row.id });

/** @numerical Wear decides only between contacts that are equal in everything else. */
const wearFuss = 0.01;

/**
 * How far stepped links stand off their neutral, and how worn the surface is that a feeler is put on: between equal results
 * the one with the least of it is called.
 */
export function fussOf(guide: Guide, settings: Settings, leg: LegView): number {
  let fuss = 0;
  for (const link of guide.links) {
    const setting = settings[link.id];
    if (!setting) continue;
    if (link.kind === 'peg' || link.kind === 'pin') fuss += Math.abs(setting.value);
    if (link.kind === 'rest') fuss += Object.values(setting.shimsMm ?? {}).reduce((sum, mm) => sum + mm, 0);
    if (link.kind === 'feeler' && setting.site && isContact(setting.site)) {
      fuss += leg.number(wearName(setting.site)) * wearFuss;
    }
  }
  return fuss;
}
