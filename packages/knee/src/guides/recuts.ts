import type { Side } from '../side.ts';
import { isTakenUp } from './chain.ts';
import { deepening } from './choices.ts';
import type { CutName, Guide } from './guide.ts';
import { contactsOf } from './outputs.ts';
import type { PlannedGuide } from './planned-guide.ts';
import { rowsFor, seatLink } from './seats.ts';
import type { Setting } from './setting.ts';
import { callText } from './speak.ts';
import { walk } from './walker.ts';

/** A second cut through the same slit with the block in a deeper row of holes: the pins stay in the bone. */
export interface Recut {
  readonly guide: string;
  readonly link: string;
  readonly cut: CutName;
  readonly setting: Setting;
  /** Bone that is lost everywhere, square to the cut, mm. */
  readonly deeperMm: number;
  /** What a caliper reads on the slice that comes off, mm; at or below 0 it is all dust. */
  readonly sliceMm: number;
  readonly text: string;
}

/** Deeper settings of the rows of holes, beside the one called. */
function deeperRows(guide: Guide, called: PlannedGuide['called']): readonly (readonly [string, Setting])[] {
  const seat = called[seatLink(guide)?.id ?? '']?.seat;
  return guide.links.flatMap((link): readonly (readonly [string, Setting])[] => {
    const now = called[link.id];
    if (!now || isTakenUp(guide, link)) return [];
    if (link.kind === 'pin' && link.rows.length > 1) {
      return rowsFor(link, seat)
        .filter((row) => row.offsetMm > now.value)
        .map((row) => [link.id, { value: row.offsetMm, row: row.id }]);
    }
    if (link.kind !== 'peg') return [];
    const sign = deepening(guide, link.toward);
    return sign === 0
      ? []
      : link.values.filter((v) => sign * v > sign * now.value).map((value) => [link.id, { value }]);
  });
}

/** Every recut that a planned guide's rows of holes allow, the smallest first. A recut only removes bone, and turns nothing. */
export function recuts({ problem, called }: PlannedGuide, side: Side): readonly Recut[] {
  const { guide, leg, components, made } = problem;
  const first = walk(guide, leg, called, components, made).cuts.find((plane) => contactsOf(plane.cut));
  if (!first || (first.cut !== 'tibia' && first.cut !== 'distalFemur')) return [];
  return deeperRows(guide, called)
    .map(([id, setting]): Recut => {
      const plane = walk(guide, leg, { ...called, [id]: setting }, components, made).cuts.find(
        (c) => c.cut === first.cut,
      )!;
      const deeperMm = Math.abs(plane.offset - first.offset);
      const sliceMm = deeperMm - plane.kerf;
      const link = guide.links.find((l) => l.id === id)!;
      const slice = sliceMm > 0 ? `a slice of ${sliceMm.toFixed(1)} mm after the kerf` : 'nothing but dust';
      return {
        guide: guide.id,
        link: id,
        cut: first.cut,
        setting,
        deeperMm,
        sliceMm,
        text: `${callText(link, setting, side)}: ${deeperMm.toFixed(1)} mm more everywhere, ${slice}`,
      };
    })
    .sort((a, b) => a.deeperMm - b.deeperMm);
}
