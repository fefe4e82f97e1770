import { along } from '@kerfline/geometry';
import type { SlideLink } from '../guide.ts';
import { actual, type Placement, settingOf, slid, type Walk } from '../placement.ts';

/**
 * Straight travel along the parent's axis. A slide that sets a component's size moves nothing but the front: with the front
 * kept in place, the frame stands back from the front feeler by the size.
 */
export function placeSlide(link: SlideLink, at: Placement, walk: Walk): Placement {
  const value = actual(walk, link);
  if (!link.sizes) return slid(at, link.toward, value - link.zero);
  const keeps = settingOf(walk, link.id).keeps ?? link.sizes.keeps[0];
  if (keeps === 'rear') return at;
  const front = walk.reads.get(link.sizes.front);
  if (front === undefined) throw new Error(`${walk.guide.id}: ${link.sizes.front} reads nothing`);
  return { ...at, origin: along(at.origin, at.axes[1], front - value) };
}
