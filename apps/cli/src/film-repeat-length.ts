import { appended, factsOfFilms, filmReadings, type Ledger, replay, type Statement } from '@kerfline/cases';
import { BadInput } from './bad-input.ts';
import { withFilms } from './film-entries.ts';
import type { FilmLengthOf } from './film-repeat.ts';
import { scaleText } from './film-words.ts';

/** What a film says of lengths, read as `film measure` reads it, with the calibration that its marks file holds. */
export const filmLength: FilmLengthOf = async (film, marks, side) => {
  const stamp = { at: new Date().toISOString(), by: 'local' };
  const created: Statement = { kind: 'created', body: { side, label: 'repeated' } };
  const begun: Ledger = appended({ case: 'films', entries: [] }, created, stamp);
  const taken = await withFilms(begun, new Map(), [{ film, marks }], { side, stamp });
  const view = replay(taken.ledger);
  const [reading] = filmReadings(view, factsOfFilms(view.films, taken.blobs));
  if (!reading) throw new BadInput([`${film} could not be read.`]);
  const { scale } = reading;
  return scale.kind === 'none'
    ? { spacing: null, aspect: scale.aspect, description: scaleText(scale) }
    : { spacing: scale.spacing, description: scaleText(scale) };
};
