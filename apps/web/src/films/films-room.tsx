import { type FactsByBlob, filmScale } from '@kerfline/cases';
import type { Kit } from '@kerfline/knee';
import { useEffect, useMemo, useRef, useState } from 'react';
import { go, pathOf } from '../address.ts';
import type { BegunCase } from '../open-case.ts';
import { fetchBlob } from '../server.ts';
import { DropFilms } from './drop-films.tsx';
import { FilmDesk } from './film-desk.tsx';
import { type HeldFilm, readFilm } from './film-picture.ts';
import { postureWords, viewWords } from './mark-words.ts';
import { useStable } from './use-stable.ts';

/**
 * Films whose pixels are kept at once; others are read again when they are shown.
 *
 * @numerical
 */
const mostHeld = 4;

type Shown =
  | { readonly state: 'reading'; readonly says: string }
  | { readonly state: 'failed'; readonly says: string }
  | { readonly state: 'held'; readonly held: HeldFilm };

/** The films of a case: added, shown, marked. */
export function FilmsRoom({
  begun,
  part,
  messages,
  kit,
}: {
  readonly begun: BegunCase;
  readonly part: string | undefined;
  readonly messages: readonly string[];
  readonly kit: Kit | undefined;
}) {
  const { view, films: known } = begun;
  const pool = useRef(new Map<string, HeldFilm>());
  const [shown, setShown] = useState<Shown & { readonly film?: string }>({ state: 'reading', says: '' });
  useEffect(() => {
    const films = pool.current;
    return () => {
      for (const film of films.values()) film.close();
      films.clear();
    };
  }, []);
  const keep = useStable((id: string, held: HeldFilm): void => {
    pool.current.get(id)?.close();
    pool.current.delete(id);
    pool.current.set(id, held);
    for (const [other, film] of pool.current) {
      if (pool.current.size <= mostHeld) return;
      if (other === id) continue;
      film.close();
      pool.current.delete(other);
    }
  });

  const adding = part === 'films' || view.films.length === 0;
  const film = adding ? undefined : (view.films.find(({ id }) => id === part) ?? view.films[0]);
  const facts: FactsByBlob = useMemo(() => new Map(known.map((of) => [of.blob, of])), [known]);
  const { id, blob, fileName } = film ?? {};
  useEffect(() => {
    if (id === undefined || blob === undefined) return;
    const there = pool.current.get(id);
    if (there) {
      // Shown last, forgotten last.
      pool.current.delete(id);
      pool.current.set(id, there);
      setShown({ state: 'held', held: there, film: id });
      return;
    }
    let current = true;
    let stop: (() => void) | undefined;
    setShown({ state: 'reading', says: 'fetching', film: id });
    fetchBlob(view.case, blob)
      .then((bytes) => {
        if (!current) return undefined;
        const job = readFilm(bytes, fileName ?? '', {
          progress: (share, says) =>
            current && setShown({ state: 'reading', says: `${says} ${Math.round(100 * share)} %`, film: id }),
          facts: () => undefined,
        });
        stop = job.stop;
        return job.held;
      })
      .then((held) => {
        if (!held) return;
        if (!current) {
          held.close();
          return;
        }
        stop = undefined;
        keep(id, held);
        setShown({ state: 'held', held, film: id });
      })
      .catch((e: unknown) => {
        if (current) setShown({ state: 'failed', says: e instanceof Error ? e.message : String(e), film: id });
      });
    return () => {
      current = false;
      stop?.();
    };
  }, [id, blob, fileName, view.case, keep]);

  const tab = (to: string, says: string, now: boolean) => (
    <a
      key={to}
      href={pathOf(view.case, 'leg', to)}
      aria-current={now ? 'page' : undefined}
      onClick={(e) => {
        if (e.metaKey || e.ctrlKey || e.shiftKey) return;
        e.preventDefault();
        go(pathOf(view.case, 'leg', to));
      }}
    >
      {says}
    </a>
  );
  const own = film && facts.get(film.blob);
  return (
    <main className="films">
      <div className="top">
        <h1>Leg</h1>
        <nav className="filmtabs" aria-label="Films">
          {view.films.map((f) => tab(f.id, `${viewWords[f.view]}, ${postureWords[f.posture]}`, f.id === film?.id))}
          {tab('films', 'add films', adding)}
        </nav>
      </div>
      {adding && (
        <DropFilms
          begun={begun}
          added={(added, held) => {
            keep(added, held);
            go(pathOf(view.case, 'leg', added));
          }}
        />
      )}
      {film && shown.film === film.id && shown.state === 'reading' && (
        <p className="words opening" role="status">
          Reading the film: {shown.says}
        </p>
      )}
      {film && shown.film === film.id && shown.state === 'failed' && (
        <p className="verdict" role="alert">
          {shown.says}
        </p>
      )}
      {film && shown.film === film.id && shown.state === 'held' && (
        <FilmDesk
          key={film.id}
          begun={begun}
          film={film}
          facts={facts}
          held={shown.held}
          kit={kit}
          scale={own && filmScale(film, own).scale}
          messages={messages}
        />
      )}
    </main>
  );
}
