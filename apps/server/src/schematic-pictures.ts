import { type Leg, legFromBones, quantity, quantityDefinition } from '@kerfline/knee';
import { phantomBones, typicalKnee } from '@kerfline/phantom';
import { type BonePictures, bonePictures, standingFor } from '@kerfline/sheets';

/** Coarse, since it only stands for a bone. */
const schematicCellMm = 2;

export type Pictures = (leg: Leg) => BonePictures;

/** A typical virtual knee with its drawings: about a second's work, the same for every leg. */
function typicalKneeDrawn(): { readonly leg: Leg; readonly pictures: BonePictures } {
  const meshes = phantomBones({ ...typicalKnee, side: 'right' }, { cellMm: schematicCellMm });
  const measured = legFromBones(meshes, { side: 'right' });
  if (!measured.ok) throw new Error(measured.error.map((refusal) => refusal.message).join('\n'));
  const { leg } = measured.value;
  return { leg, pictures: bonePictures(leg, measured.value, meshes) };
}

/** Drawings that stand for the bones of legs which have none: those of a typical virtual knee, made once, at each leg's lengths. */
export function schematicPictures(): Pictures {
  let drawn: ReturnType<typeof typicalKneeDrawn> | undefined;
  return (leg) => {
    drawn ??= typicalKneeDrawn();
    const typical = drawn.leg;
    const ratio = (name: string): number => {
      const definition = quantityDefinition(name)!;
      const [own, its] = [quantity(leg, definition).value, quantity(typical, definition).value];
      // A leg whose length is not known, as on films without a scale, is drawn as long as the typical one.
      return own === null || its === null ? 1 : own / its;
    };
    return standingFor(drawn.pictures, typical, ratio('femurLength'), ratio('tibiaLength'));
  };
}
