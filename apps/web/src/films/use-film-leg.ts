import { type CaseLeg, type CaseView, type FactsByBlob, filmLeg } from '@kerfline/cases';
import type { Result } from '@kerfline/geometry';
import type { Kit, Pixel, Refusal } from '@kerfline/knee';
import { useDeferredValue, useMemo } from 'react';

/** A mark as it is being moved. */
export interface MovedMark {
  readonly film: string;
  readonly name: string;
  readonly pixel: Pixel;
}

/** The view with a mark where the hand holds it now. */
export function withMoved(view: CaseView, moved: MovedMark | undefined): CaseView {
  if (!moved) return view;
  return {
    ...view,
    films: view.films.map((film) => {
      if (film.id !== moved.film) return film;
      const before = film.marks.find((mark) => mark.name === moved.name);
      const mark = {
        by: 'hand' as const,
        entries: [],
        ...before,
        name: moved.name,
        pixel: [...moved.pixel] as [number, number],
      };
      return { ...film, marks: [...film.marks.filter((other) => other.name !== moved.name), mark] };
    }),
  };
}

/** The leg as it is recorded, with what may be marked next, and as it is while a mark is in the hand. */
export interface FilmLegNow {
  readonly recorded: Result<CaseLeg, readonly Refusal[]>;
  readonly now: Result<CaseLeg, readonly Refusal[]>;
}

/** The leg of the films as it is marked at this moment; it follows a moving mark as fast as it can be worked. */
export function useFilmLeg(
  view: CaseView,
  facts: FactsByBlob,
  kit: Kit | undefined,
  moved: MovedMark | undefined,
): FilmLegNow {
  const follows = useDeferredValue(moved);
  const recorded = useMemo(() => filmLeg(view, facts, kit), [view, facts, kit]);
  const now = useMemo(
    () => (follows ? filmLeg(withMoved(view, follows), facts, kit, { moving: true }) : recorded),
    [view, follows, facts, kit, recorded],
  );
  return { recorded, now };
}
