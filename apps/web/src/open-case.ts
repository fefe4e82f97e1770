import { type CaseFilm, type CaseView, legKey, type Statement, type WorkedCase, workLeg } from '@kerfline/cases';
import type { Kit, PhilosophyName } from '@kerfline/knee';
import { useCallback, useEffect, useMemo, useRef, useState } from 'react';
import {
  addStatements,
  type CaseLegAnswer,
  type FilmOfCase,
  fetchLeg,
  fetchView,
  type NoLegAnswer,
  ServerRefusal,
} from './server.ts';

/** A case on the screen: what is recorded of it, and how more is recorded. */
export interface BegunCase {
  readonly view: CaseView;
  readonly films: readonly FilmOfCase[];
  /** Shows a change at once, without recording it: while a hand is still moving. */
  readonly show: (statement: Statement) => void;
  /** Records a change. */
  readonly record: (statement: Statement) => void;
  readonly saving: 'saved' | 'saving' | 'failed';
  readonly failure: string | undefined;
  /** Sends once more what could not be recorded. */
  readonly retry: () => void;
  /** Takes the view that the server gave when a film was added, and what its file says. */
  readonly took: (view: CaseView, film: FilmOfCase) => void;
}

/** A case whose leg is known, and what it comes to at this moment. */
export interface OpenCase extends BegunCase {
  readonly answer: CaseLegAnswer;
  /** The plan and proof of what is on the screen, also before it is recorded. */
  readonly worked: WorkedCase | undefined;
  /** Why the case cannot be worked as it stands. */
  readonly refusals: readonly string[];
}

export type Opening =
  | { readonly state: 'opening' }
  | { readonly state: 'failed'; readonly message: string }
  | {
      readonly state: 'begun';
      readonly case: BegunCase;
      readonly kit: Kit | undefined;
      readonly messages: readonly string[];
    }
  | { readonly state: 'open'; readonly case: OpenCase };

const filmWith = (view: CaseView, id: string, change: (film: CaseFilm) => CaseFilm): CaseView => ({
  ...view,
  films: view.films.map((film) => (film.id === id ? change(film) : film)),
});

/**
 * How long marks rest before the leg is measured anew by the server, ms.
 *
 * @numerical
 */
const legWaitMs = 400;

/** The view as it would be with one more statement. */
function withStatement(view: CaseView, statement: Statement): CaseView {
  switch (statement.kind) {
    case 'setting': {
      const same = (s: { readonly guide: string; readonly link: string }): boolean =>
        s.guide === statement.body.guide && s.link === statement.body.link;
      return { ...view, settings: [...view.settings.filter((s) => !same(s)), statement.body] };
    }
    case 'aim':
      return {
        ...view,
        aim: { philosophy: statement.body.philosophy as PhilosophyName, wanted: statement.body.wanted ?? [] },
      };
    case 'use':
      return { ...view, use: [...view.use, statement.body.guide] };
    case 'mark': {
      const { film: id, ...said } = statement.body;
      return filmWith(view, id, (film) => {
        const before = film.marks.find((mark) => mark.name === said.name);
        const mark = { ...said, entries: before?.entries ?? [] };
        return { ...film, marks: [...film.marks.filter((other) => other.name !== said.name), mark] };
      });
    }
    case 'retract': {
      // What was there before a taken-back entry comes with the server's answer.
      const { entry } = statement.body;
      return {
        ...view,
        films: view.films
          .filter((film) => film.id !== entry)
          .map((film) => ({ ...film, marks: film.marks.filter((mark) => mark.entries.at(-1) !== entry) })),
      };
    }
    case 'remark': {
      const { body } = statement;
      return filmWith(view, body.film, (film) => ({ ...film, remarks: [...film.remarks, body] }));
    }
    case 'markSpreads':
      return { ...view, markSpreads: statement.body };
    case 'turnedOver':
      return filmWith(view, statement.body.film, (film) => ({ ...film, mirrored: statement.body.mirrored }));
    case 'calibration':
      return filmWith(view, statement.body.film, (film) => ({
        ...film,
        calibration: { entry: '', by: 'local', at: new Date().toISOString(), body: statement.body },
      }));
    default:
      return view;
  }
}

export function useOpenCase(id: string | undefined): Opening {
  const [view, setView] = useState<CaseView>();
  const [answer, setAnswer] = useState<CaseLegAnswer | NoLegAnswer>();
  const [failedToOpen, setFailedToOpen] = useState<string>();
  const [pending, setPending] = useState<readonly Statement[]>([]);
  const [shown, setShown] = useState<Statement>();
  const [failure, setFailure] = useState<string>();
  const sending = useRef(false);
  const measuredOf = useRef<string>(undefined);

  useEffect(() => {
    if (id === undefined) return;
    let current = true;
    setView(undefined);
    setAnswer(undefined);
    measuredOf.current = undefined;
    setFailedToOpen(undefined);
    setPending([]);
    setShown(undefined);
    Promise.all([fetchView(id), fetchLeg(id)]).then(
      ([v, leg]) => {
        if (!current) return;
        setView(v.view);
        setAnswer(leg);
      },
      (e: unknown) => current && setFailedToOpen(e instanceof Error ? e.message : String(e)),
    );
    return () => {
      current = false;
    };
  }, [id]);

  // The leg follows what is recorded of it: marks, calibrations, films.
  const key = view && legKey(view);
  const hasAnswer = answer !== undefined;
  useEffect(() => {
    if (id === undefined || key === undefined || !hasAnswer) return;
    if (measuredOf.current === undefined) {
      measuredOf.current = key;
      return;
    }
    if (measuredOf.current === key || pending.length > 0) return;
    let current = true;
    const wait = setTimeout(() => {
      fetchLeg(id).then(
        (leg) => {
          if (!current) return;
          measuredOf.current = key;
          setAnswer(leg);
        },
        (e: unknown) => current && setFailure(e instanceof Error ? e.message : String(e)),
      );
    }, legWaitMs);
    return () => {
      current = false;
      clearTimeout(wait);
    };
  }, [id, key, hasAnswer, pending.length]);

  const send = useCallback(async (): Promise<void> => {
    if (id === undefined || !view || pending.length === 0 || sending.current) return;
    sending.current = true;
    const batch = pending;
    try {
      const next = await addStatements(id, view.head, batch);
      setView(next.view);
      setPending((now) => now.slice(batch.length));
      setFailure(undefined);
    } catch (e) {
      if (e instanceof ServerRefusal && e.status === 409) {
        // Somebody else added meanwhile: take theirs, then send ours after it.
        const fresh = await fetchView(id).catch(() => undefined);
        if (fresh) setView(fresh.view);
        else setFailure(e.message);
      } else if (e instanceof ServerRefusal && e.status === 422) {
        // Refused for what it says: it will not be taken later either.
        setPending((now) => now.slice(batch.length));
        setFailure(e.message);
      } else {
        setFailure(e instanceof Error ? e.message : String(e));
      }
    } finally {
      sending.current = false;
    }
  }, [id, view, pending]);

  useEffect(() => {
    if (failure === undefined) void send();
  }, [send, failure]);

  const now = useMemo(() => {
    if (!view) return undefined;
    const recorded = pending.reduce(withStatement, view);
    return shown ? withStatement(recorded, shown) : recorded;
  }, [view, pending, shown]);

  const result = useMemo(() => {
    if (!now || !answer || 'messages' in answer) return undefined;
    return workLeg(now, { leg: answer.leg, bones: undefined }, answer.kit);
  }, [now, answer]);

  const record = useCallback((statement: Statement): void => {
    setShown(undefined);
    setFailure(undefined);
    setPending((before) => [...before, statement]);
  }, []);
  const took = useCallback((next: CaseView, film: FilmOfCase): void => {
    setView(next);
    setAnswer((before) => before && { ...before, films: [...(before.films ?? []), film] });
  }, []);
  const retry = useCallback(() => setFailure(undefined), []);

  if (failedToOpen !== undefined) return { state: 'failed', message: failedToOpen };
  if (!now || !answer) return { state: 'opening' };
  const begun: BegunCase = {
    view: now,
    films: answer.films ?? [],
    show: setShown,
    record,
    saving: failure !== undefined ? 'failed' : pending.length > 0 ? 'saving' : 'saved',
    failure,
    retry,
    took,
  };
  if ('messages' in answer) return { state: 'begun', case: begun, kit: answer.kit, messages: answer.messages };
  return {
    state: 'open',
    case: {
      ...begun,
      answer,
      worked: result?.ok ? result.value : undefined,
      refusals: result && !result.ok ? result.error.map((refusal) => refusal.message) : [],
    },
  };
}
