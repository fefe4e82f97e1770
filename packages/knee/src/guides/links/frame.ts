import type { FrameLink } from '../guide.ts';
import type { Placement, Walk } from '../placement.ts';

/** Hangs on a site of the bone, with the bone's own axes. */
export const placeFrame = (link: FrameLink, walk: Walk): Placement => ({
  origin: walk.leg.site(link.at),
  axes: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  rolls: false,
});
