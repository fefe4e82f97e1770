import type { PinLink } from '../guide.ts';
import { type Placement, slid, turned, type Walk } from '../placement.ts';
import { intoBone } from '../sense.ts';

/**
 * Pins in a row of holes: the row says how much deeper the block sits. Driving them home jumps it a little: along its depth and
 * to its front (mm), and about its three axes (degrees).
 */
export function placePin(link: PinLink, at: Placement, walk: Walk): Placement {
  const row = walk.settings[link.id]?.row;
  const offset = (link.rows.find((r) => r.id === row) ?? link.rows[0]!).offsetMm;
  const jump = (name: string): number => walk.errors[`${link.id}.${name}`] ?? 0;
  const depth = offset + (link.bias ?? 0) + (walk.errors[link.id] ?? 0) + jump('mm');
  const deep = depth === 0 ? at : slid(at, intoBone[walk.leg.bone], depth);
  const moved = jump('front') === 0 ? deep : slid(deep, 'anterior', jump('front'));
  const turns = [
    ['valgus', jump('coronal')],
    ['flex', jump('sagittal')],
    ['external', jump('axial')],
  ] as const;
  return turns.reduce<Placement>((so, [turn, by]) => (by === 0 ? so : turned(so, walk, turn, by)), moved);
}
