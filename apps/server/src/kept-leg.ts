import { type CaseFile, type CaseLeg, caseKit, caseLeg, type FactsByBlob, legKey, replay } from '@kerfline/cases';
import { err, type Result } from '@kerfline/geometry';
import type { Kit, Refusal } from '@kerfline/knee';

/** The kit and the leg of a case. */
export interface KitAndLeg extends CaseLeg {
  readonly kit: Kit;
}

export type LegOf = (file: CaseFile, facts?: FactsByBlob) => Result<KitAndLeg, readonly Refusal[]>;

/** Measures a case's leg. */
export const legOf: LegOf = (file, facts) => {
  const view = replay(file.ledger);
  const kit = caseKit(view, file.blobs);
  if (!kit.ok) return kit;
  const leg = caseLeg(view, file.blobs, kit.value, facts);
  return leg.ok ? { ok: true, value: { ...leg.value, kit: kit.value } } : err(leg.error);
};

/** The same, but the last leg is kept: with bones it costs a second, and changes only with what is known of it. */
export function keptLeg(): LegOf {
  let kept: { readonly key: string; readonly leg: ReturnType<LegOf> } | undefined;
  return (file, facts) => {
    const key = `${file.ledger.case} ${legKey(replay(file.ledger))}`;
    if (kept?.key !== key) kept = { key, leg: legOf(file, facts) };
    return kept.leg;
  };
}
