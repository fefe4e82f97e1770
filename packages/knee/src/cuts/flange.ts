import { dot } from '@kerfline/geometry';
import type { LegView } from '../guides/leg-view.ts';
import type { FemurSize } from '../kits/kit.ts';
import { cortexName, cortexHeightsMm as heights } from '../leg/sites.ts';
import type { CutPlane } from './cut-plane.ts';

/** Foremost A of the cortex at a height above the distal-most level, by straight lines between the heights measured; mm. */
export function cortexAt(leg: LegView, heightMm: number): number | undefined {
  if (!leg.has(cortexName(heights[0]))) return undefined;
  const clamped = Math.min(heights[heights.length - 1]!, Math.max(heights[0], heightMm));
  const above = heights.find((h) => h >= clamped)!;
  const below = [...heights].reverse().find((h) => h <= clamped)!;
  const a = leg.number(cortexName(below));
  if (above === below) return a;
  return a + ((clamped - below) / (above - below)) * (leg.number(cortexName(above)) - a);
}

/**
 * Front cut in front of the cortex at the flange tip of a size, mm; negative is a notch. `undefined` without a cortex profile.
 *
 * @param front the front cut of that size
 * @param distal the distal cut, above which the flange stands
 */
export function flangeClearance(leg: LegView, front: CutPlane, distal: CutPlane, size: FemurSize): number | undefined {
  const lowest = Math.min(leg.site('distalMedial')[2], leg.site('distalLateral')[2]);
  // Height of the flange tip above the distal-most level: the distal cut stands in between.
  const cutLevel = distal.offset / distal.normal[2];
  const tip = cutLevel + size.flangeHeightMm;
  const cortex = cortexAt(leg, tip - lowest);
  if (cortex === undefined) return undefined;
  const across = leg.has('anteriorCortex') ? leg.site('anteriorCortex')[0] : 0;
  return front.offset - dot(front.normal, [across, cortex, tip]);
}
