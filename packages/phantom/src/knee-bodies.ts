import type { Body } from './body.ts';
import { femurBody } from './femur.ts';
import { fibulaBody } from './fibula.ts';
import type { KneeParameters } from './knee-parameters.ts';
import { patellaBody } from './patella.ts';
import { type ScanPlacement, scanPlacement } from './scan-pose.ts';
import { tibiaBody } from './tibia.ts';

/** The bones of one knee as implicit surfaces; the fibula is drawn in the tibia's frame. */
export interface KneeBodies {
  readonly femur: Body;
  readonly tibia: Body;
  readonly fibula: Body;
  readonly patella: Body;
  readonly placement: ScanPlacement;
}

export function kneeBodies(knee: KneeParameters): KneeBodies {
  const femur = femurBody(knee.femur, knee.boneLoss);
  const fibula = fibulaBody(knee.fibula, knee.tibia);
  const tibia = tibiaBody(knee.tibia, knee.boneLoss, fibula.field);
  const patella = patellaBody(knee.patella);
  return { femur, tibia, fibula, patella, placement: scanPlacement(knee, femur, tibia, patella) };
}
