import { add, cross, scaled, subtract, unit, unitSquareTo } from '@kerfline/geometry';
import type { CoreLink } from '../guide.ts';
import { type Placement, turned, type Walk } from '../placement.ts';

/**
 * A rod in a canal: its deep end lies on the canal's centre line, `engagedMm` from the entry hole, and its near end in the
 * hole, which may be off the line (errors in mm); within the canal it may still lean (errors in degrees, in the two
 * directions). Its own P axis runs up the bone; it may still roll.
 */
export function placeCore(link: CoreLink, walk: Walk): Placement {
  const low = walk.leg.site(`${link.canal}Low`);
  const line = unit(subtract(walk.leg.site(`${link.canal}High`), low));
  const lateral = walk.errors[`${link.id}.entryLateral`] ?? 0;
  const anterior = walk.errors[`${link.id}.entryAnterior`] ?? 0;
  // On a femur the hole is below the canal and the deep end above it; on a tibia the other way round.
  const deepward = walk.leg.bone === 'femur' ? 1 : -1;
  const p =
    lateral === 0 && anterior === 0
      ? line
      : unit(subtract(scaled(line, link.engagedMm), [deepward * lateral, deepward * anterior, 0]));
  const a = unitSquareTo([0, 1, 0], p);
  const origin = deepward === 1 ? low : walk.leg.site(`${link.canal}High`);
  const straight: Placement = { origin: add(origin, [lateral, anterior, 0]), axes: [cross(a, p), a, p], rolls: true };
  const coronal = walk.errors[`${link.id}.coronal`] ?? 0;
  const sagittal = walk.errors[`${link.id}.sagittal`] ?? 0;
  return coronal === 0 && sagittal === 0
    ? straight
    : { ...turned(turned(straight, walk, 'valgus', coronal), walk, 'flex', sagittal), rolls: true };
}

/**
 * How far a rod can lean in its canal, radians: from touching one wall at both ends to touching the other.
 *
 * @param canalMm inner width of the canal, mm; a canal that is no wider than the rod leaves no play
 */
export const slopOf = (canalMm: number, rodMm: number, engagedMm: number): number =>
  Math.atan(Math.max(0, canalMm - rodMm) / engagedMm);
