import { along, cross, dot, length, scaled, subtract, unitSquareTo, type Vec3 } from '@kerfline/geometry';
import type { RestLink } from '../guide.ts';
import { OpenLoop, type Placement, settingOf, type Walk } from '../placement.ts';
import { facing } from '../surface.ts';

/** @numerical Two contacts nearer than this give no direction, mm. */
const leastApart = 5;

/**
 * A surface that touches bone. `first`: a plate square to the link's axis moves in until the first of its sites stops it;
 * `both`: two heels that both touch, so that the link's side-to-side axis lies along them. Sites are felt as they are now,
 * worn, with any shim between.
 *
 * A first touch shows `touches` (the place of the contact among its sites) and `over`: how far the next contact stands over
 * it, mm; below 0 unless the plate is held on a contact that it would not meet first.
 */
export function placeRest(link: RestLink, at: Placement, walk: Walk): Placement {
  const shims = settingOf(walk, link.id).shimsMm ?? {};
  const felt = link.sites.map((site) => {
    const { axis, into } = facing(site);
    const out = walk.leg.layers(site).nowOut + (shims[site] ?? 0);
    return { site, axis, into, p: walk.leg.site(site), out };
  });
  const slack = (link.bias ?? 0) + (walk.errors[link.id] ?? 0);
  const first = felt[0]!;
  if (link.mode === 'first') {
    const n = at.axes[first.axis];
    // Height of each contact along the axis, into the bone; the plate stops at the lowest.
    const heights = felt.map((f) => f.into * dot(n, f.p) - f.out);
    const touched = walk.held.get(link.id) ?? heights.indexOf(Math.min(...heights));
    const stop = heights[touched]!;
    walk.reads.set(`${link.id}.touches`, touched);
    walk.reads.set(`${link.id}.over`, stop - Math.min(...heights.filter((_, k) => k !== touched)));
    const depth = first.into * (stop + slack) - dot(n, at.origin);
    return { ...at, origin: along(at.origin, n, depth), rolls: false };
  }
  const [medial, lateral] = [felt[0]!, felt[1]!];
  const surface = (f: typeof first): Vec3 => along(f.p, at.axes[f.axis], -f.into * f.out);
  const m = surface(medial);
  const l = surface(lateral);
  const apart = length(subtract(l, m));
  if (!(apart > leastApart)) throw new OpenLoop(`${link.says}: its two contacts lie ${apart.toFixed(1)} mm apart`);
  const p = at.axes[2];
  const across = unitSquareTo(subtract(l, m), p);
  const front = cross(p, across);
  const middle = scaled([m[0] + l[0], m[1] + l[1], m[2] + l[2]], 0.5);
  walk.reads.set('halfContacts', dot(across, subtract(l, m)) / 2);
  return { origin: along(middle, front, slack), axes: [across, front, p], rolls: false };
}
