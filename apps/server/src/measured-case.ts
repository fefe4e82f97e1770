import { type CaseFile, caseKit, type FactsByBlob, type FilmFacts, factsOfFilms, replay } from '@kerfline/cases';
import { clinicalTibiaFrame, type Kit, type Leg, meshIntoBone } from '@kerfline/knee';
import { type BonePictures, bonePictures } from '@kerfline/sheets';
import { type LegOf, legOf } from './kept-leg.ts';
import { type Pictures, schematicPictures } from './schematic-pictures.ts';
import { solidBytes } from './solid-bytes.ts';

/** What the file of a film says of itself, under the name of that file. */
export type FilmOfCase = FilmFacts & { readonly blob: string };

/**
 * The leg of a case with everything that is drawn of it; or, of a case that may still come to one by films that are brought in
 * and marked, none yet and why; or why there is none.
 */
export type LegAnswer =
  | {
      readonly leg: Leg;
      readonly kit: Kit;
      readonly pictures: BonePictures;
      readonly hasBones: boolean;
      readonly films: readonly FilmOfCase[];
    }
  | {
      readonly leg: null;
      readonly kit: Kit;
      readonly films: readonly FilmOfCase[];
      readonly messages: readonly string[];
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

/**
 * Measures the leg of a case: about a second for one with bones.
 *
 * @param known facts of its films, where their files are not enclosed
 */
export function measuredCase(
  file: CaseFile,
  known?: FactsByBlob,
  measure: LegOf = legOf,
  pictures: Pictures = schematicPictures(),
): MeasuredCase {
  const view = replay(file.ledger);
  const facts = known ?? factsOfFilms(view.films, file.blobs);
  const films = [...facts].map(([blob, of]): FilmOfCase => ({ blob, ...of }));
  const found = measure(file, facts);
  if (!found.ok) {
    const kit = caseKit(view, file.blobs);
    if (!kit.ok || Object.keys(view.bones).length > 0) return refused(found.error);
    const messages = found.error.map((refusal) => refusal.message);
    return { answer: { leg: null, kit: kit.value, films, messages }, solids: new Map() };
  }
  const { leg, kit, bones } = found.value;
  if (!bones) {
    const answer = { leg, kit, pictures: pictures(leg), hasBones: false, films };
    return { answer, solids: new Map() };
  }
  const { meshes, measured } = bones;
  return {
    answer: { leg, kit, pictures: bonePictures(leg, measured, meshes), hasBones: true, films },
    solids: new Map([
      ['femur', solidBytes(meshIntoBone(measured.femurFrame, meshes.femur))],
      ['tibia', solidBytes(meshIntoBone(clinicalTibiaFrame(leg, measured.tibiaFrame), meshes.tibia))],
    ]),
  };
}
