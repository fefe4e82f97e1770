import type { Statement } from '@kerfline/cases';
import { useCallback, useEffect, useRef, useState } from 'react';
import type { BegunCase } from '../open-case.ts';

type MarkStatement = Extract<Statement, { readonly kind: 'mark' }>;

/** Taking marks back and setting them again: what was recorded is retracted, never erased. */
export interface Undo {
  readonly did: (mark: MarkStatement) => void;
  readonly undo: () => void;
  readonly redo: () => void;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
}

export function useUndo(begun: BegunCase): Undo {
  const [done, setDone] = useState<readonly MarkStatement[]>([]);
  const [undone, setUndone] = useState<readonly MarkStatement[]>([]);
  /** How many steps back are wanted that wait until what they take back has been recorded. */
  const [wanted, setWanted] = useState(0);
  const latest = useRef(begun);
  latest.current = begun;
  const { saving } = begun;
  useEffect(() => {
    if (wanted === 0 || saving !== 'saved') return;
    const last = done.at(-1);
    setWanted(wanted - 1);
    if (!last) return;
    const film = latest.current.view.films.find(({ id }) => id === last.body.film);
    const entry = film?.marks.find(({ name }) => name === last.body.name)?.entries.at(-1);
    setDone(done.slice(0, -1));
    if (!entry) return;
    setUndone([...undone, last]);
    latest.current.record({ kind: 'retract', body: { entry, why: 'undone on the page' } });
  }, [wanted, saving, done, undone]);
  return {
    did: useCallback((mark) => {
      setDone((before) => [...before, mark]);
      setUndone([]);
    }, []),
    undo: () => setWanted((n) => n + 1),
    redo: () => {
      const last = undone.at(-1);
      if (!last) return;
      setUndone(undone.slice(0, -1));
      setDone([...done, last]);
      begun.record(last);
    },
    canUndo: done.length > 0,
    canRedo: undone.length > 0,
  };
}
