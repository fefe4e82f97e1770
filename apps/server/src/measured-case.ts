import type { CaseFile } from '@kerfline/cases';
import { clinicalTibiaFrame, type Kit, type Leg, meshIntoBone } from '@kerfline/knee';
import { type BonePictures, bonePictures } from '@kerfline/sheets';
import { type LegOf, legOf } from './kept-leg.ts';
import { schematicPictures } from './schematic-pictures.ts';
import { solidBytes } from './solid-bytes.ts';

/** The leg of a case with everything that is drawn of it, or why there is none. */
export type LegAnswer =
  | {
      readonly leg: Leg;
      readonly kit: Kit;
      readonly pictures: BonePictures;
      readonly hasBones: boolean;
    }
  | { readonly messages: readonly string[] };

/** A case whose leg has been measured, with the bones that can be shown as solids, by name. */
export interface MeasuredCase {
  readonly answer: LegAnswer;
  readonly solids: ReadonlyMap<string, Uint8Array<ArrayBuffer>>;
}

const refused = (refusals: readonly { readonly message: string }[]): MeasuredCase => ({
  answer: { messages: refusals.map((refusal) => refusal.message) },
  solids: new Map(),
});

/** Measures the leg of a case: about a second for one with bones. */
export function measuredCase(file: CaseFile, measure: LegOf = legOf): MeasuredCase {
  const found = measure(file);
  if (!found.ok) return refused(found.error);
  const { leg, kit, bones } = found.value;
  if (!bones) {
    const answer = { leg, kit, pictures: schematicPictures(leg), hasBones: false };
    return { answer, solids: new Map() };
  }
  const { meshes, measured } = bones;
  return {
    answer: { leg, kit, pictures: bonePictures(leg, measured, meshes), hasBones: true },
    solids: new Map([
      ['femur', solidBytes(meshIntoBone(measured.femurFrame, meshes.femur))],
      ['tibia', solidBytes(meshIntoBone(clinicalTibiaFrame(leg, measured.tibiaFrame), meshes.tibia))],
    ]),
  };
}
