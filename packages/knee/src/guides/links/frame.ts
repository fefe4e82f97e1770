import { add } from '@kerfline/geometry';
import type { FrameLink } from '../guide.ts';
import type { Placement, Walk } from '../placement.ts';

/** Hangs on a site of the bone, or a fixed distance off it, with the bone's own axes. */
export const placeFrame = (link: FrameLink, walk: Walk): Placement => ({
  origin: add(walk.leg.site(link.at), [
    (link.offMm?.lateral ?? 0) + (walk.errors[`${link.id}.lateral`] ?? 0),
    (link.offMm?.anterior ?? 0) + (walk.errors[`${link.id}.anterior`] ?? 0),
    0,
  ]),
  axes: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  rolls: false,
});
