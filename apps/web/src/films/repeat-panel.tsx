import type { CaseFilm, FactsByBlob } from '@kerfline/cases';
import { marksOfView } from '@kerfline/knee';
import { useMemo } from 'react';
import type { BegunCase } from '../open-case.ts';
import { caseRepeats, ownSpreads } from './film-repeats.ts';

const kindWords: Readonly<Record<string, string>> = {
  headCentre: 'head centre',
  jointCentre: 'joint centres',
  contact: 'contacts',
  prominence: 'side points, malleoli',
  canalMiddle: 'canal middles',
  edge: 'edges',
  middle: 'middles',
};

/** Marking a film again without seeing the marks of before, and what is learned from it. */
export function RepeatPanel({
  begun,
  film,
  facts,
  again,
  begin,
  record,
  leave,
}: {
  readonly begun: BegunCase;
  readonly film: CaseFilm;
  readonly facts: FactsByBlob;
  /** How many marks the repetition has so far; `undefined` when none is going on. */
  readonly again: number | undefined;
  readonly begin: () => void;
  readonly record: () => void;
  readonly leave: () => void;
}) {
  const { view } = begun;
  const repeats = useMemo(() => caseRepeats(view, facts), [view, facts]);
  const spreads = repeats?.ok ? ownSpreads(repeats.value.marks, 'local') : undefined;
  return (
    <section className="again" aria-label="Marking again">
      <h2>Marking again</h2>
      {again === undefined ? (
        <>
          <p className="words">
            Marked again on another day, without the marks of before, a film tells how far your own marks may be off.
            {film.remarks.length > 0 && ` This film was marked again ${film.remarks.length} times.`}
          </p>
          <div className="words48">
            <button type="button" disabled={film.marks.length === 0} onClick={begin}>
              mark this film again
            </button>
          </div>
        </>
      ) : (
        <>
          <p className="words" role="status">
            <b>The marks of before are hidden</b>; the leg stays as it is. {again} of {marksOfView(film.view).length}{' '}
            placed.
          </p>
          <div className="words48">
            <button type="button" className="act" disabled={again === 0} onClick={record}>
              record this marking
            </button>
            <button type="button" onClick={leave}>
              leave it
            </button>
          </div>
        </>
      )}
      {again === undefined && repeats && !repeats.ok && (
        <p className="unknown">{repeats.error.map((refusal) => refusal.message).join(' ')}</p>
      )}
      {again === undefined && repeats?.ok && (
        <>
          <table className="wear">
            <tbody>
              {Object.entries(repeats.value.marks.kinds).map(([kind, k]) => (
                <tr key={kind}>
                  <th scope="row">
                    {kindWords[kind] ?? kind}, {k.pairs} {k.pairs === 1 ? 'pair' : 'pairs'}
                  </th>
                  <td>
                    <span className="f">
                      ± {k.acrossMm.toFixed(2)} across, {k.alongMm.toFixed(2)} along <span className="pm">mm</span>
                    </span>
                  </td>
                </tr>
              ))}
              {repeats.value.quantities.map((q) => (
                <tr key={q.name}>
                  <th scope="row">{q.name}, standard error of a measurement</th>
                  <td>
                    <span className="f">
                      {q.repeatability.sem.toFixed(2)}°
                      {q.agreement &&
                        `, limits ${q.agreement.limits.low.toFixed(1)} to ${q.agreement.limits.high.toFixed(1)}°`}
                    </span>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
          {repeats.value.without > 0 && (
            <p className="unknown">
              {repeats.value.without} of the films know no millimetres of the bone: calibrate them to learn from their
              marks.
            </p>
          )}
          {repeats.value.findings.map((f) => (
            <p key={f.code + f.message} className="note">
              {f.message}
            </p>
          ))}
          {spreads && (
            <div className="words48">
              <button type="button" onClick={() => begun.record(spreads)}>
                use these spreads as my own
              </button>
            </div>
          )}
          {view.markSpreads && (
            <p className="note">Spreads of {view.markSpreads.by} are used in place of published ones.</p>
          )}
        </>
      )}
    </section>
  );
}
