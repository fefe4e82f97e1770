import { type Leg, legFromBones, quantity, quantityDefinition } from '@kerfline/knee';
import { phantomBones, typicalKnee } from '@kerfline/phantom';
import { type BonePictures, bonePictures, standingFor } from '@kerfline/sheets';

/** Coarse, since it only stands for a bone. */
const schematicCellMm = 2;

/** Drawings that stand for the bones of a leg which has none: those of a typical virtual knee at this leg's lengths. */
export function schematicPictures(leg: Leg): BonePictures {
  const meshes = phantomBones({ ...typicalKnee, side: 'right' }, { cellMm: schematicCellMm });
  const measured = legFromBones(meshes, { side: 'right' });
  if (!measured.ok) throw new Error(measured.error.map((refusal) => refusal.message).join('\n'));
  const typical = measured.value.leg;
  const ratio = (name: string): number => {
    const definition = quantityDefinition(name)!;
    return (quantity(leg, definition).value ?? 1) / (quantity(typical, definition).value ?? 1);
  };
  return standingFor(
    bonePictures(typical, measured.value, meshes),
    typical,
    ratio('femurLength'),
    ratio('tibiaLength'),
  );
}
