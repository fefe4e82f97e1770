import { cross, subtract, unit, unitSquareTo } from '@kerfline/geometry';
import type { CoreLink } from '../guide.ts';
import { type Placement, turned, type Walk } from '../placement.ts';

/**
 * A rod in a canal: it follows the canal's centre line, give or take its slop and the entry hole (errors in degrees, in the
 * two directions). Its own P axis runs up the rod; it may still roll.
 */
export function placeCore(link: CoreLink, walk: Walk): Placement {
  const low = walk.leg.site(`${link.canal}Low`);
  const p = unit(subtract(walk.leg.site(`${link.canal}High`), low));
  const a = unitSquareTo([0, 1, 0], p);
  const straight: Placement = { origin: low, axes: [cross(a, p), a, p], rolls: true };
  const coronal = walk.errors[`${link.id}.coronal`] ?? 0;
  const sagittal = walk.errors[`${link.id}.sagittal`] ?? 0;
  return coronal === 0 && sagittal === 0
    ? straight
    : { ...turned(turned(straight, walk, 'valgus', coronal), walk, 'flex', sagittal), rolls: true };
}
