import { lazy, Suspense, useEffect, useState } from 'react';
import { addressOf, beginPath, go, pathOf, usePath } from './address.ts';
import { BenchPage } from './bench-page.tsx';
import { Caution, Head, PrintedMargins } from './head.tsx';
import { LegPage } from './leg-page.tsx';
import { useOpenCase } from './open-case.ts';
import { ProofPage } from './proof-page.tsx';
import { type ListedCase, listCases } from './server.ts';

// Films come in a file of their own, fetched when a case has some.
const FilmsRoom = lazy(() => import('./films/films-room.tsx').then(({ FilmsRoom: room }) => ({ default: room })));
const BeginPage = lazy(() => import('./films/begin-page.tsx').then(({ BeginPage: page }) => ({ default: page })));

/** The cases there are, when the address names none; the first visit goes straight to the only one. */
function Cases({ first }: { readonly first: boolean }) {
  const [cases, setCases] = useState<readonly ListedCase[]>();
  const [failure, setFailure] = useState<string>();
  useEffect(() => {
    listCases().then(
      ({ cases: found }) => {
        if (first && found.length === 1 && !found[0]!.unreadable) go(pathOf(found[0]!.id, 'leg'), true);
        else setCases(found);
      },
      (e: unknown) => setFailure(e instanceof Error ? e.message : String(e)),
    );
  }, [first]);
  if (failure) return <p className="verdict">{failure}</p>;
  if (!cases) return <p className="words opening">Opening …</p>;
  return (
    <main>
      <div className="top">
        <h1>Cases</h1>
        <p className="words">A case begins with a side; then films, bones or stated values are added.</p>
        <a
          className="act"
          href={beginPath}
          onClick={(e) => {
            if (e.metaKey || e.ctrlKey || e.shiftKey) return;
            e.preventDefault();
            go(beginPath);
          }}
        >
          begin a case
        </a>
      </div>
      <ul className="cases">
        {cases.map((c) => (
          <li key={c.id}>
            {c.unreadable ? (
              <span>
                {c.id}: {c.unreadable}
              </span>
            ) : (
              <a href={pathOf(c.id, 'leg')}>
                {c.side?.toUpperCase()} knee, {c.label}
              </a>
            )}
          </li>
        ))}
      </ul>
    </main>
  );
}

export function App() {
  const path = usePath();
  const { caseId, room, part, begins } = addressOf(path);
  const opening = useOpenCase(caseId);
  const begun = opening.state === 'open' || opening.state === 'begun' ? opening.case : undefined;
  const open = opening.state === 'open' ? opening.case : undefined;
  const { side, label } = begun?.view ?? {};
  useEffect(() => {
    document.title = side ? `${side.toUpperCase()} knee, ${label}: ${room}` : 'Kerfline';
  }, [side, label, room]);
  const saving = begun?.saving === 'saving' ? 'being recorded' : '';
  const fetching = <p className="words opening">Opening …</p>;
  const filmsOnDesk = begun && room === 'leg' && (begun.view.films.length > 0 || part !== undefined || !open);
  return (
    <>
      <a className="skip" href="#content">
        to the content
      </a>
      {begun && <PrintedMargins view={begun.view} />}
      <Head view={begun?.view} room={room} saving={saving} />
      {begun?.failure && (
        <p className="verdict bar" role="alert">
          Not recorded: {begun.failure}{' '}
          <button type="button" className="quiet" onClick={begun.retry}>
            try again
          </button>
        </p>
      )}
      <div id="content">
        {caseId === undefined && !begins && <Cases first={path === '/'} />}
        {begins && (
          <Suspense fallback={fetching}>
            <BeginPage />
          </Suspense>
        )}
        {caseId !== undefined && opening.state === 'opening' && <p className="words opening">Opening the case …</p>}
        {opening.state === 'failed' && <p className="verdict">{opening.message}</p>}
        {filmsOnDesk && (
          <Suspense fallback={fetching}>
            <FilmsRoom
              begun={begun}
              part={part}
              messages={opening.state === 'begun' ? opening.messages : []}
              kit={opening.state === 'begun' ? opening.kit : open?.answer.kit}
            />
          </Suspense>
        )}
        {open && room === 'leg' && <LegPage open={open} besideFilms={filmsOnDesk === true} />}
        {opening.state === 'begun' &&
          room !== 'leg' &&
          opening.messages.map((words) => (
            <p key={words} className="verdict" role="alert">
              {words}
            </p>
          ))}
        {open && room === 'bench' && <BenchPage open={open} />}
        {open && room === 'proof' && <ProofPage open={open} />}
      </div>
      <Caution />
    </>
  );
}
