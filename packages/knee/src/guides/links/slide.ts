import { along } from '@kerfline/geometry';
import type { MastLink, SlideLink } from '../guide.ts';
import { actual, OpenLoop, type Placement, settingOf, slid, type Walk } from '../placement.ts';
import { mastTop } from './mast.ts';

/**
 * Straight travel along the parent's axis. A slide that sets a component's size moves nothing but the front: with the front
 * kept in place, the frame stands back from the front feeler by the size.
 */
export function placeSlide(link: SlideLink, at: Placement, walk: Walk): Placement {
  const value = actual(walk, link);
  if (link.gauge) return placeByDifference(link.gauge, value, at, walk);
  if (!link.sizes) return slid(at, link.toward, value - link.zero);
  const keeps = settingOf(walk, link.id).keeps ?? link.sizes.keeps[0];
  if (keeps === 'rear') return at;
  const front = walk.reads.get(link.sizes.front);
  if (front === undefined)
    throw new OpenLoop(`${link.says} keeps the front, and the front cortex is not known; state cortexDepth`);
  return { ...at, origin: along(at.origin, at.axes[1], front - value) };
}

/**
 * The foot of a mast, moved along the slide's own A axis until the mast stands `difference` mm farther from the crest of the
 * shin at its lower mark than at its upper one. Where the top of the mast is anchored then does not matter to its lean.
 */
function placeByDifference(
  { lowerMm, upperMm }: NonNullable<SlideLink['gauge']>,
  difference: number,
  at: Placement,
  walk: Walk,
): Placement {
  const mast = walk.guide.links.find((link): link is MastLink => link.kind === 'mast');
  if (!mast) throw new Error(`${walk.guide.id} has a slide that is set as a difference, but no mast`);
  const top = mastTop(mast, walk);
  const ankle = walk.placed.get(mast.from)!.origin;
  const low = walk.leg.site('crestLower');
  const high = walk.leg.site('crestUpper');
  const crestLean = (high[1] - low[1]) / (high[2] - low[2]);
  // Forward travel of the mast for each mm it goes down.
  const lean = difference / (upperMm - lowerMm) - crestLean;
  const foot = top[1] + lean * (top[2] - ankle[2]);
  return { ...at, origin: along(at.origin, at.axes[1], (foot - at.origin[1]) / at.axes[1][1]) };
}
