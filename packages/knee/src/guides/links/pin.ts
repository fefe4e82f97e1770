import type { PinLink } from '../guide.ts';
import { type Placement, slid, turned, type Walk } from '../placement.ts';
import { intoBone } from '../sense.ts';

/**
 * Pins in a row of holes: the row says how much deeper the block sits, and driving them home jumps it a little: along its
 * depth (mm) and about its two other axes (degrees).
 */
export function placePin(link: PinLink, at: Placement, walk: Walk): Placement {
  const row = walk.settings[link.id]?.row;
  const offset = (link.rows.find((r) => r.id === row) ?? link.rows[0]!).offsetMm;
  const jump = (name: string): number => walk.errors[`${link.id}.${name}`] ?? 0;
  const depth = offset + (link.bias ?? 0) + (walk.errors[link.id] ?? 0) + jump('mm');
  const moved = depth === 0 ? at : slid(at, intoBone[walk.leg.bone], depth);
  if (jump('coronal') === 0 && jump('sagittal') === 0) return moved;
  return turned(turned(moved, walk, 'valgus', jump('coronal')), walk, 'flex', jump('sagittal'));
}
