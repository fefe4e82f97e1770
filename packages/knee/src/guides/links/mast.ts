import { cross, subtract, unit, unitSquareTo, type Vec3 } from '@kerfline/geometry';
import type { MastLink, Num } from '../guide.ts';
import type { Placement, Walk } from '../placement.ts';

const numberOf = (value: Num, walk: Walk): number =>
  typeof value === 'number' ? value : walk.leg.number(value.leg) * (value.times ?? 1);

/**
 * A rod outside the bone, held at both ends: from where its parent is to over the site `to`, `spanMm` above the site its
 * chain started from. Its own P axis runs up the rod; it may still roll.
 */
export function placeMast(link: MastLink, foot: Placement, walk: Walk): Placement {
  const start = walk.placed.get(link.from);
  if (!start) throw new Error(`${walk.guide.id}: ${link.id} starts from ${link.from}, which is not placed`);
  const over = walk.leg.site(link.to);
  const top: Vec3 = [
    over[0] + (walk.errors[`${link.id}.lateral`] ?? 0),
    over[1] + (walk.errors[`${link.id}.anterior`] ?? 0),
    start.origin[2] + numberOf(link.spanMm, walk),
  ];
  const p = unit(subtract(top, foot.origin));
  const a = unitSquareTo([0, 1, 0], p);
  return { origin: top, axes: [cross(a, p), a, p], rolls: true };
}
