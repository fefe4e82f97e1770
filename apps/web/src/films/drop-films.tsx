import type { FilmFacts } from '@kerfline/cases';
import { type FilmView, filmViews, type Posture, postures, type Side } from '@kerfline/knee';
import { useEffect, useRef, useState } from 'react';
import type { BegunCase } from '../open-case.ts';
import { addFilm, type SaidOfFilm } from '../server.ts';
import { type HeldFilm, readFilm } from './film-picture.ts';
import { FilmPreview } from './film-preview.tsx';
import { lengthText, likelyView, sideConflict } from './film-questions.ts';
import { postureWords, viewWords } from './mark-words.ts';

/** A film that was dropped and is not yet part of the case. */
interface Dropped {
  readonly key: number;
  readonly file: File;
  readonly share: number;
  readonly doing: string;
  readonly facts?: FilmFacts | undefined;
  readonly identifying?: readonly string[] | undefined;
  readonly held?: HeldFilm | undefined;
  readonly fault?: string | undefined;
  readonly sending?: boolean | undefined;
  readonly stop: () => void;
}

interface Answers {
  readonly view?: FilmView;
  readonly posture?: Posture;
  readonly letter?: SaidOfFilm['letter'];
  readonly mirrored: boolean;
}

const letters: readonly { readonly letter: SaidOfFilm['letter']; readonly says: string }[] = [
  { letter: 'R', says: 'R' },
  { letter: 'L', says: 'L' },
  { letter: 'none', says: 'no letter' },
  { letter: 'notAsked', says: 'not looked' },
];

function Choice<T extends string>({
  name,
  asks,
  from,
  now,
  choose,
  says,
}: {
  readonly name: string;
  readonly asks: string;
  readonly from: readonly T[];
  readonly now: T | undefined;
  readonly choose: (value: T) => void;
  readonly says: (value: T) => string;
}) {
  return (
    <fieldset className="choice">
      <legend>{asks}</legend>
      {from.map((value) => (
        <label key={value} className={now === value ? 'chosen' : undefined}>
          <input type="radio" name={name} checked={now === value} onChange={() => choose(value)} />
          {says(value)}
        </label>
      ))}
    </fieldset>
  );
}

function FilmQuestions({
  dropped,
  side,
  add,
}: {
  readonly dropped: Dropped;
  readonly side: Side;
  readonly add: (said: SaidOfFilm) => void;
}) {
  const [answers, setAnswers] = useState<Answers>({ mirrored: false });
  const [said, setSaid] = useState<string>();
  const { facts, file, held, key } = dropped;
  if (!facts) return null;
  const likely = likelyView(facts);
  const conflict = sideConflict(side, facts, answers);
  const lacking = [
    answers.view ? '' : 'how it was taken',
    answers.posture ? '' : 'how the patient was',
    answers.letter ? '' : 'which letter stands on it',
  ].filter((words) => words !== '');
  const go = (): void => {
    const { view, posture, letter, mirrored } = answers;
    if (!view || !posture || !letter) {
      setSaid(`Still to be said: ${lacking.join(', ')}.`);
      return;
    }
    if (conflict) {
      setSaid(conflict);
      return;
    }
    setSaid(undefined);
    add({ fileName: file.name, side, view, posture, letter, mirrored });
  };
  return (
    <div className="asked">
      {held && <FilmPreview held={held} mirrored={answers.mirrored} label={`The film ${file.name}`} />}
      <div>
        <p>{lengthText(facts)}</p>
        {[...facts.findings, ...facts.length.findings].map((f) => (
          <p key={f.code + f.message} className={f.severity === 'info' ? 'note' : 'unknown'}>
            {f.message}
          </p>
        ))}
        {held?.picture.exposure && <p className="unknown">{held.picture.exposure}</p>}
        <p className="note">
          {facts.sideTag === 'none' ? 'The file names no side. ' : `The file says: ${facts.sideTag}. `}
          {facts.kind === 'dicom'
            ? 'What would identify a person is taken out before the film is kept.'
            : 'A picture is kept as it is, with all that stands in it.'}
        </p>
        {dropped.identifying && dropped.identifying.length > 0 && (
          <details>
            <summary>{dropped.identifying.length} attributes are taken out</summary>
            <p className="note">{dropped.identifying.join(', ')}</p>
          </details>
        )}
        {likely && !answers.view && (
          <p>
            By {likely.because} it is likely: {viewWords[likely.view]}.{' '}
            <button type="button" className="quiet" onClick={() => setAnswers({ ...answers, view: likely.view })}>
              yes, {viewWords[likely.view].toLowerCase()}
            </button>
          </p>
        )}
        <Choice
          name={`view-${key}`}
          asks="How it was taken"
          from={filmViews}
          now={answers.view}
          choose={(view) => setAnswers({ ...answers, view })}
          says={(view) => viewWords[view]}
        />
        <Choice
          name={`posture-${key}`}
          asks="The patient was"
          from={postures}
          now={answers.posture}
          choose={(posture) => setAnswers({ ...answers, posture })}
          says={(posture) => (posture === 'notStated' ? 'not stated' : postureWords[posture])}
        />
        <Choice
          name={`letter-${key}`}
          asks="Letter that stands on the film beside this leg"
          from={letters.map(({ letter }) => letter)}
          now={answers.letter}
          choose={(letter) => setAnswers({ ...answers, letter })}
          says={(letter) => letters.find((l) => l.letter === letter)!.says}
        />
        <Choice
          name={`over-${key}`}
          asks="The film lies"
          from={['straight', 'over'] as const}
          now={answers.mirrored ? 'over' : 'straight'}
          choose={(lies) => setAnswers({ ...answers, mirrored: lies === 'over' })}
          says={(lies) => (lies === 'over' ? 'turned over: left and right are changed' : 'as it was exposed')}
        />
        {(said ?? conflict) && (
          <p className="unknown" role="alert">
            {said ?? conflict}
          </p>
        )}
        <button type="button" className="act" disabled={dropped.sending} onClick={go}>
          {dropped.sending ? 'being kept' : `add this film to the ${side.toUpperCase()} knee`}
        </button>
      </div>
    </div>
  );
}

/** Where films are dropped or chosen, read in the page, asked about and given to the case. */
export function DropFilms({
  begun,
  added,
}: {
  readonly begun: BegunCase;
  readonly added: (film: string, held: HeldFilm) => void;
}) {
  const [films, setFilms] = useState<readonly Dropped[]>([]);
  const [over, setOver] = useState(false);
  const count = useRef(0);
  const open = useRef(new Map<number, () => void>());
  const change = (key: number, by: Partial<Dropped>): void =>
    setFilms((all) => all.map((film) => (film.key === key ? { ...film, ...by } : film)));
  // Films that were read and not added go with the page.
  useEffect(() => {
    const closing = open.current;
    return () => {
      for (const close of closing.values()) close();
    };
  }, []);

  const take = async (file: File): Promise<void> => {
    count.current += 1;
    const key = count.current;
    const base: Dropped = { key, file, share: 0, doing: 'opening', stop: () => undefined };
    setFilms((all) => [...all, base]);
    try {
      const job = readFilm(await file.arrayBuffer(), file.name, {
        progress: (share, doing) => change(key, { share, doing }),
        facts: (facts, identifying) => change(key, { facts, identifying }),
      });
      change(key, { stop: job.stop });
      open.current.set(key, job.stop);
      const held = await job.held;
      open.current.set(key, held.close);
      change(key, { held, share: 1, doing: '' });
    } catch (e) {
      open.current.delete(key);
      change(key, { fault: e instanceof Error ? e.message : String(e) });
    }
  };
  const drop = (files: Iterable<File>): void => {
    for (const file of files) void take(file);
  };
  const leave = (key: number): void => {
    open.current.get(key)?.();
    open.current.delete(key);
    setFilms((all) => all.filter((film) => film.key !== key));
  };
  const add = async (film: Dropped, said: SaidOfFilm): Promise<void> => {
    change(film.key, { sending: true, fault: undefined });
    try {
      const answer = await addFilm(begun.view.case, said, film.file);
      const { held } = film;
      open.current.delete(film.key);
      setFilms((all) => all.filter((other) => other.key !== film.key));
      begun.took(answer.view, answer.film);
      if (held) added(answer.film.id, held);
    } catch (e) {
      change(film.key, { sending: false, fault: e instanceof Error ? e.message : String(e) });
    }
  };
  return (
    <section className="drop" aria-label="Add films">
      <fieldset
        className={over ? 'dropplace over' : 'dropplace'}
        onDragOver={(e) => {
          e.preventDefault();
          setOver(true);
        }}
        onDragLeave={() => setOver(false)}
        onDrop={(e) => {
          e.preventDefault();
          setOver(false);
          drop(e.dataTransfer.files);
        }}
        aria-label="Drop films here"
      >
        <p className="words">Drop films here: files of a radiography system, or pictures (PNG, JPEG, TIFF).</p>
        <label className="act file">
          choose files
          <input
            type="file"
            multiple
            onChange={(e) => {
              drop(e.target.files ?? []);
              e.target.value = '';
            }}
          />
        </label>
      </fieldset>
      <ul className="dropped">
        {films.map((film) => (
          <li key={film.key}>
            <h3>
              {film.file.name} <span>{(film.file.size / 1e6).toFixed(1)} MB</span>
            </h3>
            {film.fault !== undefined && (
              <p className="unknown" role="alert">
                {film.fault}
              </p>
            )}
            {film.fault === undefined && !film.held && (
              <p role="status">
                {film.doing} {Math.round(100 * film.share)} %{' '}
                <progress max={1} value={film.share} aria-label={`Reading ${film.file.name}`} />
                <button type="button" className="quiet" onClick={film.stop}>
                  stop
                </button>
              </p>
            )}
            {(film.fault === undefined || film.held) && (
              <FilmQuestions dropped={film} side={begun.view.side} add={(said) => void add(film, said)} />
            )}
            <button type="button" className="quiet" onClick={() => leave(film.key)}>
              leave it out
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
