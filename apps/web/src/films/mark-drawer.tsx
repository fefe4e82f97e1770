import type { CaseFilm } from '@kerfline/cases';
import { type FilmView, marksOfView, type Side } from '@kerfline/knee';
import { markGlyph } from '@kerfline/sheets';
import { memo } from 'react';
import { Picture } from '../picture.tsx';
import { markSays, markWord } from './mark-words.ts';

/** Which mark would narrow the answer most, and by how much, in words. */
export interface NextMark {
  readonly name: string;
  /** Empty while too little is marked to say it: then it is the one that could least be missed. */
  readonly gain: string;
}

/** All places of a view: what is placed leaves its empty cell, so that cells keep their places. */
export const MarkDrawer = memo(function MarkDrawer({
  view,
  side,
  marks,
  next,
  inHand,
  take,
}: {
  readonly view: FilmView;
  readonly side: Side;
  readonly marks: CaseFilm['marks'];
  readonly next: NextMark | undefined;
  readonly inHand: string | undefined;
  readonly take: (name: string) => void;
}) {
  const placed = new Set(marks.map((mark) => mark.name));
  const places = marksOfView(view);
  return (
    <section aria-label="Drawer of marks">
      <h2>Drawer of marks</h2>
      <ul className="drawer">
        {places.map(({ name }) => {
          const is = placed.has(name);
          const state = is ? 'placed' : next?.name === name ? 'next' : 'unplaced';
          const glyph = markGlyph(name, view, side, state);
          return (
            <li key={name}>
              <button
                type="button"
                className={`cell ${state}${inHand === name ? ' inhand' : ''}`}
                data-mark={name}
                aria-pressed={inHand === name}
                title={markSays(name)}
                onClick={() => take(name)}
              >
                {glyph && <Picture drawing={glyph} />}
                <span>{markWord(name)}</span>
                <small>{inHand === name ? 'in hand' : is ? 'placed' : state === 'next' ? <b>next</b> : ''}</small>
              </button>
            </li>
          );
        })}
      </ul>
      {next ? (
        <p className="words nextsaid">
          Next: <span className="set">{markWord(next.name)}</span>.{' '}
          {next.gain === '' ? (
            'It is the one that could least be missed.'
          ) : (
            <>
              Narrows the answer most: <span className="f">{next.gain}</span>.
            </>
          )}
        </p>
      ) : (
        <p className="words nextsaid">
          {placed.size} of {places.length} placed, in any order.
        </p>
      )}
    </section>
  );
});
