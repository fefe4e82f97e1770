import type { RingLink } from '../guide.ts';
import { actual, type Placement, settingOf, turned, type Walk } from '../placement.ts';

/** A collar or head with a fixed angle. One that is used turned over leans the other way when the wrong face is up. */
export function placeRing(link: RingLink, at: Placement, walk: Walk): Placement {
  const by = actual(walk, link);
  return { ...turned(at, walk, link.turn, settingOf(walk, link.id).flipped ? -by : by), rolls: false };
}
