import { basename } from 'node:path';
import {
  appended,
  checkStatement,
  filmSalt,
  filmStatement,
  type Ledger,
  type MarksFile,
  marksStatements,
  readMarksFile,
  readStatement,
  type Stamp,
  type Statement,
  takenFilm,
} from '@kerfline/cases';
import type { Finding } from '@kerfline/geometry';
import type { Posture, Side } from '@kerfline/knee';
import { BadInput, must } from './bad-input.ts';
import { bytesOf } from './files.ts';

/** A film and the marks on it, by the paths of their files. */
export interface FilmWithMarks {
  readonly film: string;
  readonly marks: string;
}

/** Films with the marks of each, in their order; the numbers must match. */
export function pairedFilms(films: readonly string[], marks: readonly string[]): readonly FilmWithMarks[] {
  if (films.length !== marks.length) {
    const said = (n: number, what: string): string => `${n} ${what}${n === 1 ? '' : 's'}`;
    throw new BadInput([
      `${said(films.length, 'film')} and ${said(marks.length, 'file')} of marks were given: each film needs its own, in the same order.`,
    ]);
  }
  return films.map((film, k) => ({ film, marks: marks[k]! }));
}

async function marksFile(path: string, side: Side): Promise<MarksFile> {
  const bytes = await bytesOf(path, 'The marks');
  const marks = must(readMarksFile(new TextDecoder().decode(bytes), path));
  if (marks.side !== undefined && marks.side !== side) {
    throw new BadInput([
      `${path} says that it is of the ${marks.side.toUpperCase()} leg; this is the ${side.toUpperCase()} one.`,
    ]);
  }
  return marks;
}

/** A case that has grown by films and their marks. */
export interface WithFilms {
  readonly ledger: Ledger;
  readonly blobs: ReadonlyMap<string, Uint8Array>;
  /** Path of each film by its entry. */
  readonly paths: ReadonlyMap<string, string>;
  /** Of taking the films in. */
  readonly findings: readonly Finding[];
}

/** Brings films and what is marked on them into a case, each statement checked as by hand. */
export async function withFilms(
  begun: Ledger,
  others: ReadonlyMap<string, Uint8Array>,
  films: readonly FilmWithMarks[],
  options: { readonly side: Side; readonly posture?: Posture | undefined; readonly stamp: Stamp },
): Promise<WithFilms> {
  const { side, stamp } = options;
  const blobs = new Map(others);
  const paths = new Map<string, string>();
  const findings: Finding[] = [];
  let ledger = begun;
  const say = (statement: Statement): void => {
    // The same form as for a statement from elsewhere: what a file of marks says is no better known.
    const { kind, body } = must(readStatement(statement));
    const checked = { kind, body } as Statement;
    must(checkStatement(ledger, blobs, checked));
    ledger = appended(ledger, checked, stamp);
  };
  for (const { film, marks } of films) {
    const said = await marksFile(marks, side);
    const taken = must(takenFilm(await bytesOf(film, 'The film'), basename(film), filmSalt(ledger)));
    blobs.set(taken.blob, taken.bytes);
    findings.push(...taken.findings);
    const entry = `${ledger.case}/${ledger.entries.length}`;
    say(
      filmStatement(taken, {
        view: said.view,
        side,
        posture: said.posture ?? options.posture ?? 'notStated',
        letter: 'notAsked',
        mirrored: said.mirrored ?? false,
      }),
    );
    paths.set(entry, film);
    for (const statement of marksStatements(entry, said)) say(statement);
  }
  return { ledger, blobs, paths, findings };
}
