import { basename } from 'node:path';
import { calibrated, filmFacts, filmScale, marksStatements, readMarksFile } from '@kerfline/cases';
import { must } from './bad-input.ts';
import { bytesOf } from './files.ts';
import type { FilmLengthOf } from './film-repeat.ts';
import { scaleText } from './film-words.ts';

/** What a film says of lengths of the bone, by itself or by a calibration in a file of its marks. */
export const filmSpacing: FilmLengthOf = async (film, marks) => {
  const fileName = basename(film);
  const facts = must(filmFacts(await bytesOf(film, 'The film'), fileName));
  const said = must(readMarksFile(new TextDecoder().decode(await bytesOf(marks, 'The marks')), marks));
  const body = marksStatements('', said).flatMap((s) => (s.kind === 'calibration' ? [s.body] : []))[0];
  const made = body && calibrated(body, facts);
  if (made) must(made);
  const calibration = body && { entry: '', by: basename(marks), at: '', body };
  const { scale } = filmScale({ fileName, calibration }, facts);
  return { spacing: scale.kind === 'bone' ? scale.spacing : null, description: scaleText(scale) };
};
