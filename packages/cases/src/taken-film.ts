import { doubt, err, type Finding, ok, type Result } from '@kerfline/geometry';
import { deidentified, filmFileErrorText, type RemovedElement } from '@kerfline/imaging';
import { type Refusal, refusal } from '@kerfline/knee';
import type { BodyOf } from './case-view.ts';
import type { Statement } from './entry.ts';
import { type FilmFacts, filmFacts } from './film-facts.ts';
import type { Ledger } from './ledger.ts';
import { sha256Of } from './sha256.ts';

/** A film as a case keeps it: without what would identify a person. */
export interface TakenFilm {
  readonly bytes: Uint8Array;
  /** SHA-256 of the bytes. */
  readonly blob: string;
  readonly fileName: string;
  /** What identified and was taken out or replaced; values are never told. */
  readonly removed: readonly RemovedElement[];
  readonly facts: FilmFacts;
  /** Of taking it in: above all that a name may be drawn into the picture. */
  readonly findings: readonly Finding[];
}

/** What makes the check that tells patients apart one of this case only: the hash with which the case begins. */
export const filmSalt = (ledger: Ledger): string => ledger.entries[0]!.hash;

/**
 * Reads a film and takes out what would identify a person. Pictures are kept as they are.
 *
 * @param salt at least 16 characters, the same for all films that are to be compared
 */
export function takenFilm(bytes: Uint8Array, fileName: string, salt: string): Result<TakenFilm, Refusal> {
  const first = filmFacts(bytes, fileName);
  if (!first.ok) return first;
  if (first.value.kind === 'picture') {
    return ok({
      bytes,
      blob: sha256Of(bytes),
      fileName,
      removed: [],
      facts: first.value,
      findings: [
        doubt(
          'picture-kept-whole',
          `${fileName} is kept as it is: what is drawn into the picture, or noted in its file, may name a person.`,
        ),
      ],
    });
  }
  const clean = deidentified(bytes, { salt });
  if (!clean.ok) return err(refusal('bad-film', `${fileName}: ${filmFileErrorText(clean.error)}`));
  const facts = filmFacts(clean.value.bytes, fileName);
  if (!facts.ok) return facts;
  return ok({
    bytes: clean.value.bytes,
    blob: sha256Of(clean.value.bytes),
    fileName,
    removed: clean.value.removed,
    facts: facts.value,
    findings: clean.value.findings,
  });
}

/** The statement that brings a film into a case. */
export const filmStatement = (
  { blob, fileName, removed }: TakenFilm,
  said: Pick<BodyOf<'film'>, 'view' | 'side' | 'posture' | 'letter' | 'mirrored'>,
): Statement => ({
  kind: 'film',
  body: { ...said, blob, fileName: fileName.slice(-260), removed: removed.length },
});
