import { type Leg, type LegFromFilms, quantity, quantityDefinition } from '@kerfline/knee';
import { memo } from 'react';
import { Foretold } from '../foretold.tsx';
import { QuantityCells } from '../quantity-cells.tsx';
import { boneRows, limbRows, type QuantityRow } from '../quantity-rules.ts';
import { namedMarks, quantityWord } from './mark-words.ts';

const rows: readonly QuantityRow[] = [...limbRows, ...boneRows];

/** What the marks say of the leg at this moment, each number with its give-or-take. */
export const FilmResults = memo(function FilmResults({
  leg,
  messages,
  doubts,
  film,
}: {
  readonly leg: Leg | undefined;
  readonly messages: readonly string[];
  readonly doubts: LegFromFilms['doubts'];
  /** How the shown film was taken, by the marks. */
  readonly film: LegFromFilms['films'][number] | undefined;
}) {
  if (!leg) {
    return (
      <section className="says" aria-label="What the marks say">
        <h2>What the marks say</h2>
        {messages.map((words) => (
          <p key={words} className="words">
            {words}
          </p>
        ))}
      </section>
    );
  }
  return (
    <section className="says" aria-label="What the marks say">
      <h2>What the marks say</h2>
      <table className="q">
        <tbody>
          {rows.map((r) => {
            const definition = quantityDefinition(r.name);
            if (!definition) return null;
            const q = quantity(leg, definition);
            return (
              <tr key={r.name}>
                <th scope="row">
                  {r.title}
                  <small>{r.note}</small>
                </th>
                <QuantityCells row={r} q={q} />
              </tr>
            );
          })}
        </tbody>
      </table>
      {film?.rotation && (
        <p className="words">
          On this film the limb was turned <Foretold q={film.rotation} />
          {film.flexion && (
            <>
              {' '}
              and <Foretold q={film.flexion} />
            </>
          )}
          .
        </p>
      )}
      <ul className="doubts">
        {Object.entries(doubts).flatMap(([name, [most]]) =>
          most
            ? [
                <li key={name}>
                  {quantityWord(name)}: most of its doubt is{' '}
                  <b>{namedMarks(most.source.replace(/ \(film [^)]*\)/, ''))}</b>, {Math.round(100 * most.share)} %
                </li>,
              ]
            : [],
        )}
      </ul>
    </section>
  );
});
