import type { CaseFilm, Statement } from '@kerfline/cases';
import { useState } from 'react';

/** Takes a film out of the case, asked twice; the record of it stays. */
export function LeaveFilm({
  film,
  record,
}: {
  readonly film: CaseFilm;
  readonly record: (statement: Statement) => void;
}) {
  const [asked, setAsked] = useState(false);
  if (!asked) {
    return (
      <div className="words48">
        <button type="button" onClick={() => setAsked(true)}>
          take this film out of the case
        </button>
      </div>
    );
  }
  return (
    <section aria-label="Take this film out">
      <p className="unknown">
        The film goes, and its {film.marks.length} marks with it. The record keeps that it was there.
      </p>
      <div className="words48">
        <button
          type="button"
          className="act"
          onClick={() =>
            record({ kind: 'retract', body: { entry: film.id, why: 'taken out of the case on the page' } })
          }
        >
          take it out
        </button>
        <button type="button" onClick={() => setAsked(false)}>
          leave it in
        </button>
      </div>
    </section>
  );
}
