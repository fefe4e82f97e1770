import { cross, length, subtract, unit, unitSquareTo, type Vec3 } from '@kerfline/geometry';
import type { MastLink, Num } from '../guide.ts';
import { OpenLoop, type Placement, type Walk } from '../placement.ts';

/** @numerical A rod this short has no direction worth the name, mm. */
const shortestMast = 20;

export const numberOf = (value: Num, walk: Walk): number =>
  typeof value === 'number' ? value : walk.leg.number(value.leg) * (value.times ?? 1);

/** The top of a mast: over its site, `spanMm` above the link its chain started from. */
export function mastTop(link: MastLink, walk: Walk): Vec3 {
  const start = walk.placed.get(link.from);
  if (!start) throw new Error(`${walk.guide.id}: ${link.id} starts from ${link.from}, which is not placed`);
  const over = walk.leg.site(link.to);
  return [
    over[0] + (link.topOffMm?.lateral ?? 0) + (walk.errors[`${link.id}.lateral`] ?? 0),
    over[1] + (link.topOffMm?.anterior ?? 0) + (walk.errors[`${link.id}.anterior`] ?? 0),
    start.origin[2] + numberOf(link.spanMm, walk),
  ];
}

/**
 * A rod outside the bone, held at both ends: from where its parent is to over the site `to`. Its own P axis runs up the rod;
 * it may still roll.
 */
export function placeMast(link: MastLink, foot: Placement, walk: Walk): Placement {
  const top = mastTop(link, walk);
  const up = subtract(top, foot.origin);
  if (!(length(up) > shortestMast))
    throw new OpenLoop(`${link.says}: its foot and its top lie ${length(up).toFixed(0)} mm apart`);
  const p = unit(up);
  const a = unitSquareTo([0, 1, 0], p);
  return { origin: top, axes: [cross(a, p), a, p], rolls: true };
}
