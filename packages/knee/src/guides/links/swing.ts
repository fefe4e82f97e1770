import { add, cross, scaled, unitSquareTo } from '@kerfline/geometry';
import type { SwingLink } from '../guide.ts';
import { actual, type Placement, settingOf, turned, type Walk } from '../placement.ts';

const degrees = Math.PI / 180;

/**
 * A hinge. On a link that may roll, a turn about the rod is sighted: its angle is the bearing of its front, seen along the
 * bone. Elsewhere it turns about its parent's own axis, through the contact it pivots on, and carries its origin with it.
 */
export function placeSwing(link: SwingLink, at: Placement, walk: Walk): Placement {
  const by = actual(walk, link);
  if (at.rolls && (link.turn === 'external' || link.turn === 'internal')) {
    const bearing = (link.turn === 'external' ? by : -by) * degrees;
    const p = at.axes[2];
    const a = unitSquareTo([Math.sin(bearing), Math.cos(bearing), 0], p);
    return { origin: at.origin, axes: [cross(a, p), a, p], rolls: false };
  }
  const pivot = settingOf(walk, link.id).pivot ?? link.pivots?.[0] ?? 'middle';
  const half = walk.reads.get('halfContacts') ?? 0;
  const arm = pivot === 'middle' ? 0 : pivot === 'lateral' ? half : -half;
  const about = add(at.origin, scaled(at.axes[0], arm));
  const { axes } = turned({ ...at, origin: about }, walk, link.turn, by);
  return { origin: add(about, scaled(axes[0], -arm)), axes, rolls: false };
}
