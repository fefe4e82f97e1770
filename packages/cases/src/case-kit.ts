import { err, type Result } from '@kerfline/geometry';
import { checkKit, faultText, type Kit, type Refusal, refusal } from '@kerfline/knee';
import type { Blobs } from './case-file.ts';
import type { CaseView } from './case-view.ts';

const only = (error: Refusal): Result<never, readonly Refusal[]> => err([error]);

/** The kit of a case, from the file it encloses. */
export function caseKit(view: CaseView, blobs: Blobs): Result<Kit, readonly Refusal[]> {
  if (!view.kit) return only(refusal('no-kit', 'The case has no kit yet: add a kit entry.'));
  const bytes = blobs.get(view.kit.blob);
  if (!bytes) return only(refusal('blob-missing', `The kit ${view.kit.name} is not enclosed in the case.`));
  return kitFromBytes(bytes);
}

/** Reads a kit file. */
export function kitFromBytes(bytes: Uint8Array): Result<Kit, readonly Refusal[]> {
  let raw: unknown;
  try {
    raw = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch (e) {
    return only(refusal('not-a-kit', `This is not a kit file: ${(e as Error).message}.`));
  }
  const kit = checkKit(raw);
  return kit.ok ? kit : err(kit.error.map((fault) => refusal('kit-fault', faultText(fault))));
}
