import { along } from '@kerfline/geometry';
import type { DialLink, RestLink } from '../guide.ts';
import { actual, type Placement, type Walk } from '../placement.ts';
import { facing } from '../surface.ts';

/** A depth read on a scale: into the bone from the surface that the rest it sets lies against. */
export function placeDial(link: DialLink, at: Placement, walk: Walk): Placement {
  const rest = walk.guide.links.find((l): l is RestLink => l.kind === 'rest' && l.id === link.sets);
  if (!rest) throw new Error(`${walk.guide.id}: ${link.id} sets ${link.sets}, which is no rest`);
  const { axis, into } = facing(rest.sites[0]!);
  return { ...at, origin: along(at.origin, at.axes[axis], into * actual(walk, link)) };
}
