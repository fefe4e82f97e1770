import { type CaseFile, type FactsByBlob, replay, workLeg } from '@kerfline/cases';
import { type Fits, fitBones, fitsOf, type Refusal } from '@kerfline/knee';
import { type LegOf, legOf } from './kept-leg.ts';

/** How the sizes of a case match its bones as it is recorded now, or why that cannot be said. */
export type FitsAnswer = { readonly fits: Fits } | { readonly messages: readonly string[] };

const refused = (refusals: readonly Refusal[]): FitsAnswer => ({ messages: refusals.map((r) => r.message) });

/** Works a case and lays its sizes on the bones: about half a second once its leg is measured. */
export function fittedCase(file: CaseFile, facts?: FactsByBlob, measure: LegOf = legOf): FitsAnswer {
  const found = measure(file, facts);
  if (!found.ok) return refused(found.error);
  const worked = workLeg(replay(file.ledger), found.value, found.value.kit);
  if (!worked.ok) return refused(worked.error);
  const { leg, kit, plan, set, proof, bones } = worked.value;
  return { fits: fitsOf(leg, kit, plan, set, proof, bones && fitBones(leg, bones.measured, bones.meshes)) };
}
