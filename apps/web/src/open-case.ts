import { type CaseView, type Statement, type WorkedCase, workLeg } from '@kerfline/cases';
import type { PhilosophyName } from '@kerfline/knee';
import { useCallback, useEffect, useMemo, useRef, useState } from 'react';
import { addStatements, type CaseLegAnswer, fetchLeg, fetchView, ServerRefusal } from './server.ts';

/** A case on the screen: what is recorded, and what it comes to at this moment. */
export interface OpenCase {
  readonly view: CaseView;
  readonly answer: CaseLegAnswer;
  /** The plan and proof of what is on the screen, also before it is recorded. */
  readonly worked: WorkedCase | undefined;
  /** Why the case cannot be worked as it stands. */
  readonly refusals: readonly string[];
  /** Shows a change at once, without recording it: while a hand is still moving. */
  readonly show: (statement: Statement) => void;
  /** Records a change. */
  readonly record: (statement: Statement) => void;
  readonly saving: 'saved' | 'saving' | 'failed';
  readonly failure: string | undefined;
  /** Sends once more what could not be recorded. */
  readonly retry: () => void;
}

export type Opening =
  | { readonly state: 'opening' }
  | { readonly state: 'failed'; readonly message: string }
  | { readonly state: 'open'; readonly case: OpenCase };

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
    default:
      return view;
  }
}

export function useOpenCase(id: string | undefined): Opening {
  const [view, setView] = useState<CaseView>();
  const [answer, setAnswer] = useState<CaseLegAnswer>();
  const [failedToOpen, setFailedToOpen] = useState<string>();
  const [pending, setPending] = useState<readonly Statement[]>([]);
  const [shown, setShown] = useState<Statement>();
  const [failure, setFailure] = useState<string>();
  const sending = useRef(false);

  useEffect(() => {
    if (id === undefined) return;
    let current = true;
    setView(undefined);
    setAnswer(undefined);
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
    if (!now || !answer) return undefined;
    return workLeg(now, { leg: answer.leg, bones: undefined }, answer.kit);
  }, [now, answer]);

  const record = useCallback((statement: Statement): void => {
    setShown(undefined);
    setFailure(undefined);
    setPending((before) => [...before, statement]);
  }, []);
  const retry = useCallback(() => setFailure(undefined), []);

  if (failedToOpen !== undefined) return { state: 'failed', message: failedToOpen };
  if (!now || !answer || !result) return { state: 'opening' };
  return {
    state: 'open',
    case: {
      view: now,
      answer,
      worked: result.ok ? result.value : undefined,
      refusals: result.ok ? [] : result.error.map((refusal) => refusal.message),
      show: setShown,
      record,
      saving: failure !== undefined ? 'failed' : pending.length > 0 ? 'saving' : 'saved',
      failure,
      retry,
    },
  };
}
