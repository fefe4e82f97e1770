import { type CaseFile, caseKit, caseLeg, replay } from '@kerfline/cases';
import type { Kit, Leg } from '@kerfline/knee';
import { type BonePictures, bonePictures } from '@kerfline/sheets';
import { schematicPictures } from './schematic-pictures.ts';

/** The leg of a case with everything that is drawn of it, or why there is none. */
export type LegAnswer =
  | {
      readonly leg: Leg;
      readonly kit: Kit;
      readonly pictures: BonePictures;
      readonly hasBones: boolean;
    }
  | { readonly messages: readonly string[] };

/** Measures the leg of a case: about a second for one with bones. */
export function legAnswer(file: CaseFile): LegAnswer {
  const view = replay(file.ledger);
  const kit = caseKit(view, file.blobs);
  if (!kit.ok) return { messages: kit.error.map((refusal) => refusal.message) };
  const found = caseLeg(view, file.blobs, kit.value);
  if (!found.ok) return { messages: found.error.map((refusal) => refusal.message) };
  const { leg, bones } = found.value;
  return {
    leg,
    kit: kit.value,
    pictures: bones ? bonePictures(leg, bones.measured, bones.meshes) : schematicPictures(leg),
    hasBones: bones !== undefined,
  };
}
