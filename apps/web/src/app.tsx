import { useEffect, useState } from 'react';
import { addressOf, go, pathOf, usePath } from './address.ts';
import { BenchPage } from './bench-page.tsx';
import { Caution, Head, PrintedMargins } from './head.tsx';
import { LegPage } from './leg-page.tsx';
import { useOpenCase } from './open-case.ts';
import { ProofPage } from './proof-page.tsx';
import { type ListedCase, listCases } from './server.ts';

/** The cases there are, when the address names none; the first visit goes straight to the only one. */
function Cases() {
  const [cases, setCases] = useState<readonly ListedCase[]>();
  const [failure, setFailure] = useState<string>();
  useEffect(() => {
    listCases().then(
      ({ cases: found }) => {
        if (found.length === 1 && !found[0]!.unreadable) go(pathOf(found[0]!.id, 'leg'), true);
        else setCases(found);
      },
      (e: unknown) => setFailure(e instanceof Error ? e.message : String(e)),
    );
  }, []);
  if (failure) return <p className="verdict">{failure}</p>;
  if (!cases) return <p className="words opening">Opening …</p>;
  return (
    <main>
      <div className="top">
        <h1>Cases</h1>
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
  const { caseId, room } = addressOf(usePath());
  const opening = useOpenCase(caseId);
  const open = opening.state === 'open' ? opening.case : undefined;
  useEffect(() => {
    document.title = open ? `${open.view.side.toUpperCase()} knee, ${open.view.label}: ${room}` : 'Kerfline';
  }, [open, room]);
  const saving = open?.saving === 'saving' ? 'being recorded' : '';
  return (
    <>
      <a className="skip" href="#content">
        to the content
      </a>
      {open && <PrintedMargins view={open.view} />}
      <Head view={open?.view} room={room} saving={saving} />
      {open?.failure && (
        <p className="verdict bar" role="alert">
          Not recorded: {open.failure}{' '}
          <button type="button" className="quiet" onClick={open.retry}>
            try again
          </button>
        </p>
      )}
      <div id="content">
        {caseId === undefined && <Cases />}
        {caseId !== undefined && opening.state === 'opening' && <p className="words opening">Opening the case …</p>}
        {opening.state === 'failed' && <p className="verdict">{opening.message}</p>}
        {open && room === 'leg' && <LegPage open={open} />}
        {open && room === 'bench' && <BenchPage open={open} />}
        {open && room === 'proof' && <ProofPage open={open} />}
      </div>
      <Caution />
    </>
  );
}
