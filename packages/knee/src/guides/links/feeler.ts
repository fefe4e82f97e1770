import { along, dot } from '@kerfline/geometry';
import type { FeelerLink } from '../guide.ts';
import { hangsOn } from '../needs.ts';
import { actual, type Placement, settingOf, type Walk } from '../placement.ts';
import { facing } from '../surface.ts';

/**
 * An arm whose tip touches a chosen point. On a surface that faces the cut it hangs the slit `value` under that surface as it
 * is now; at the front of a femur it only reads how far the cortex stands from its parent.
 */
export function placeFeeler(link: FeelerLink, at: Placement, walk: Walk): Placement {
  const site = settingOf(walk, link.id).site ?? link.touches[0]!;
  const value = actual(walk, link);
  if (!hangsOn(site)) {
    // A point that nobody has measured is read on the bone: until then the feeler shows nothing.
    if (!walk.leg.has(site)) return at;
    const reach = dot(at.axes[1], walk.leg.site(site)) - dot(at.axes[1], at.origin);
    walk.reads.set(link.id, reach + value);
    return at;
  }
  const { axis, into } = facing(site);
  const n = at.axes[axis];
  const surface = dot(n, walk.leg.site(site)) - into * walk.leg.layers(site).nowOut;
  return { ...at, origin: along(at.origin, n, surface + into * value - dot(n, at.origin)), rolls: false };
}
