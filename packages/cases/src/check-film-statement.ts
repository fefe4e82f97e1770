import { err, ok, type Result } from '@kerfline/geometry';
import { markPlace, marksOfView, type Pixel, type Refusal, refusal, type Side } from '@kerfline/knee';
import type { Blobs } from './case-file.ts';
import type { BodyOf, CaseFilm, CaseView } from './case-view.ts';
import type { Statement } from './entry.ts';
import { type FilmFacts, filmFacts } from './film-facts.ts';
import { calibrated } from './film-readings.ts';

/** The kinds of statement that speak of films. */
export type FilmStatement = Extract<
  Statement,
  { readonly kind: 'film' | 'mark' | 'calibration' | 'turnedOver' | 'markSpreads' | 'remark' }
>;

type Checked = Result<true, Refusal>;
const refuse = (kind: string, message: string): Result<never, Refusal> => err(refusal(kind, message));
const sideOfLetter: Readonly<Record<'R' | 'L', Side>> = { R: 'right', L: 'left' };

/** Facts of an enclosed film. */
function factsOf(blobs: Blobs, film: { readonly blob: string; readonly fileName: string }): Result<FilmFacts, Refusal> {
  const bytes = blobs.get(film.blob);
  return bytes
    ? filmFacts(bytes, film.fileName)
    : refuse('blob-missing', `The file of the film ${film.fileName} is not enclosed.`);
}

/** Whether a film may join a case. A wrong side and a second patient can never be overridden. */
function checkFilm(view: CaseView, blobs: Blobs, body: BodyOf<'film'>): Checked {
  const facts = factsOf(blobs, body);
  if (!facts.ok) return facts;
  const { fileName } = body;
  const here = view.side.toUpperCase();
  if (body.side !== view.side) {
    return refuse(
      'other-side',
      `${fileName} is said to show the ${body.side.toUpperCase()} leg; this case is of the ${here} leg. Begin a case of that side.`,
    );
  }
  const { sideTag } = facts.value;
  if ((sideTag === 'left' || sideTag === 'right') && sideTag !== view.side) {
    return refuse(
      'other-side',
      `${fileName} says in its file that it shows the ${sideTag.toUpperCase()} side; this case is of the ${here} leg. It is not taken.`,
    );
  }
  if ((body.letter === 'R' || body.letter === 'L') && sideOfLetter[body.letter] !== view.side) {
    return refuse(
      'other-side',
      `The letter on ${fileName} is ${body.letter}; this case is of the ${here} leg. The film is not taken.`,
    );
  }
  const twin = view.films.find((film) => film.blob === body.blob);
  if (twin) {
    return refuse(
      'film-twice',
      `${fileName} is in this case already, as ${twin.fileName}: the same film counted twice would seem surer than it is.`,
    );
  }
  const check = facts.value.patientCheck;
  const other = view.films.find((film) => {
    const known = factsOf(blobs, film);
    return check !== undefined && known.ok && known.value.patientCheck !== undefined
      ? known.value.patientCheck !== check
      : false;
  });
  return other
    ? refuse(
        'other-patient',
        `${fileName} is of another patient than ${other.fileName}, which is in this case already, or its patient was taken out elsewhere with another secret. It is not taken.`,
      )
    : ok(true);
}

/** Whether a mark names a place of the film's view and lies on the film. */
function checkPlace(film: CaseFilm, facts: FilmFacts, name: string, [column, row]: Pixel): Checked {
  const place = markPlace(name);
  const names = (): string =>
    marksOfView(film.view)
      .map((p) => p.name)
      .join(', ');
  if (!place) {
    return refuse('unknown-mark', `"${name}" is no mark; on a film of the view ${film.view} these are: ${names()}.`);
  }
  if (!place.views.includes(film.view)) {
    return refuse(
      'other-view',
      `${name} is not marked on a film of the view ${film.view}, but on ${place.views.join(', ')}. Here these are: ${names()}.`,
    );
  }
  return onFilm(film, facts, name, [column, row]);
}

function onFilm(film: CaseFilm, { columns, rows }: FilmFacts, what: string, [column, row]: Pixel): Checked {
  return column >= 0 && column <= columns && row >= 0 && row <= rows
    ? ok(true)
    : refuse(
        'off-film',
        `${what} lies at column ${column}, row ${row}; ${film.fileName} has ${columns} columns and ${rows} rows.`,
      );
}

/** Whether a covariance is one: equal across its diagonal, and wider than nothing in every direction. */
const isCovariance = ([[a, b], [c, d]]: NonNullable<BodyOf<'mark'>['covPx2']>): boolean =>
  a > 0 && d > 0 && Math.abs(b - c) <= 1e-9 * Math.hypot(a, d) && a * d - b * c > 0;

function checkMark(film: CaseFilm, facts: FilmFacts, { name, pixel, covPx2, radiusPx }: BodyOf<'mark'>): Checked {
  const placed = checkPlace(film, facts, name, pixel);
  if (!placed.ok) return placed;
  if (covPx2 && !isCovariance(covPx2)) {
    return refuse(
      'not-a-spread',
      `The spread of ${name} is ${JSON.stringify(covPx2)}; a symmetric matrix with positive variances is needed.`,
    );
  }
  return radiusPx !== undefined && !(radiusPx > 0)
    ? refuse('bad-radius', `The circle of ${name} has a radius of ${radiusPx} pixels; more than 0 is needed.`)
    : ok(true);
}

function checkCalibration(film: CaseFilm, facts: FilmFacts, body: BodyOf<'calibration'>): Checked {
  const { state } = facts.length;
  switch (body.kind) {
    case 'confirmed':
      return state === 'FIDUCIAL' || state === 'GEOMETRY'
        ? ok(true)
        : refuse(
            'nothing-to-confirm',
            `${film.fileName} holds no calibration of its own that could be confirmed: its lengths are ${state}.`,
          );
    case 'offered':
      return facts.length.offered
        ? ok(true)
        : refuse('nothing-offered', `${film.fileName} offers no magnification that could be taken.`);
    case 'ball':
    case 'ruler': {
      const points: readonly Pixel[] = body.kind === 'ball' ? body.rim : body.ends;
      const what = body.kind === 'ball' ? 'A point on the rim of the ball' : 'An end of the ruler';
      for (const point of points) {
        const placed = onFilm(film, facts, what, point);
        if (!placed.ok) return placed;
      }
      const found = calibrated(body, facts);
      return found && !found.ok ? found : ok(true);
    }
  }
}

/** Whether a statement about films may be added to a case as it stands. */
export function checkFilmStatement(view: CaseView, blobs: Blobs, statement: FilmStatement): Checked {
  if (statement.kind === 'film') return checkFilm(view, blobs, statement.body);
  if (statement.kind === 'markSpreads') return ok(true);
  const film = view.films.find((f) => f.id === statement.body.film);
  if (!film) {
    return refuse(
      'unknown-film',
      `${statement.body.film} is no film of this case; ${
        view.films.length === 0 ? 'it has none' : `these are: ${view.films.map((f) => f.id).join(', ')}`
      }.`,
    );
  }
  const facts = factsOf(blobs, film);
  if (!facts.ok) return facts;
  switch (statement.kind) {
    case 'mark':
      return checkMark(film, facts.value, statement.body);
    case 'turnedOver':
      return ok(true);
    case 'calibration':
      return checkCalibration(film, facts.value, statement.body);
    case 'remark':
      for (const { name, pixel } of statement.body.marks) {
        const placed = checkPlace(film, facts.value, name, pixel);
        if (!placed.ok) return placed;
      }
      return ok(true);
  }
}
