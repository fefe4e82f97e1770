import { type CaseFilm, type FactsByBlob, filmReadings, type Statement } from '@kerfline/cases';
import {
  type FilmScale,
  firstMarks,
  isAfter,
  type Kit,
  type LegFromFilms,
  marksOfView,
  type Pixel,
} from '@kerfline/knee';
import { useEffect, useMemo, useRef, useState } from 'react';
import { go, pathOf } from '../address.ts';
import { Findings } from '../findings.tsx';
import type { BegunCase } from '../open-case.ts';
import { AfterResults } from './after-results.tsx';
import { CalibrationPanel } from './calibration-panel.tsx';
import { filmLines } from './film-lines.ts';
import type { ShownMark } from './film-paint.ts';
import type { HeldFilm } from './film-picture.ts';
import { FilmResults } from './film-results.tsx';
import { type FilmTask, taskAids } from './film-task.ts';
import { FilmViewer, type ViewerHandle } from './film-viewer.tsx';
import { HandPanel } from './hand-panel.tsx';
import { LeaveFilm } from './leave-film.tsx';
import { MarkDrawer, type NextMark } from './mark-drawer.tsx';
import { markWord, namedMarks, postureWords, quantityWord, viewWords } from './mark-words.ts';
import { RepeatPanel } from './repeat-panel.tsx';
import { useFilmLeg } from './use-film-leg.ts';
import { useHelper } from './use-helper.ts';
import { useStable } from './use-stable.ts';
import { useUndo } from './use-undo.ts';

const none: readonly string[] = [];
const noDoubts: LegFromFilms['doubts'] = {};

/** One film with its drawer, what is in the hand, and what the marks say. */
export function FilmDesk({
  begun,
  film: recorded,
  facts,
  held,
  kit,
  scale,
  messages,
}: {
  readonly begun: BegunCase;
  readonly film: CaseFilm;
  readonly facts: FactsByBlob;
  readonly held: HeldFilm;
  readonly kit: Kit | undefined;
  readonly scale: FilmScale | undefined;
  readonly messages: readonly string[];
}) {
  const viewer = useRef<ViewerHandle>(null);
  /** Marks of a repetition: the film is marked again as if nothing were on it. */
  const [again, setAgain] = useState<CaseFilm['marks']>();
  const film = useMemo(() => (again ? { ...recorded, marks: again } : recorded), [recorded, again]);
  const [task, setTask] = useState<FilmTask>();
  const [cursor, setCursor] = useState<Pixel>();
  const undo = useUndo(begun);
  const own = facts.get(film.blob);
  const mm = scale && scale.kind !== 'none' ? scale.spacing : undefined;
  const helper = useHelper(held, task, mm, film.marks, setTask);
  const step: readonly [number, number] = mm ? [0.1 / mm.columnMm, 0.1 / mm.rowMm] : [0.1, 0.1];

  const markInHand = task?.kind === 'mark' ? task.name : undefined;
  const placedInHand = film.marks.find((mark) => mark.name === markInHand);
  const moving =
    !again && placedInHand && cursor && task?.kind === 'mark' && task.how === 'hand' && task.moved
      ? { film: film.id, name: placedInHand.name, pixel: cursor }
      : undefined;
  const { recorded: settled, now: worked } = useFilmLeg(begun.view, facts, kit, moving);
  const stableTake = useStable((name: string) => take(name));
  const films = settled.ok ? settled.value.films : undefined;
  const expected = useMemo(
    // Where marks are expected would tell where they were before.
    () => (again ? [] : (films?.open.filter((e) => e.film === film.id) ?? [])),
    [films, film.id, again],
  );
  const placed = new Set(film.marks.map((mark) => mark.name));
  const first = useMemo(
    () => (again || films ? undefined : firstMarks(begun.view.side, filmReadings(begun.view, facts))),
    [again, films, begun.view, facts],
  );
  const offered = expected.find((e) => !placed.has(e.name) && gainText(e.narrows) !== '');
  const offeredGain = offered && gainText(offered.narrows);
  const offeredName = offered?.name ?? first?.find((e) => e.film === film.id && !placed.has(e.name))?.name;
  const next: NextMark | undefined = useMemo(
    () => (offeredName === undefined ? undefined : { name: offeredName, gain: offeredGain ?? '' }),
    [offeredName, offeredGain],
  );
  const result = again ? undefined : films?.films.find((of) => of.id === film.id);

  const startOf = (name: string): Pixel =>
    film.marks.find((mark) => mark.name === name)?.pixel ??
    expected.find((e) => e.name === name)?.pixel ??
    viewer.current?.middle() ?? [held.picture.columns / 2, held.picture.rows / 2];

  const take = (name: string, focus = true): void => {
    const start = startOf(name);
    setTask({ kind: 'mark', name, how: 'hand', moved: false, points: [], found: undefined });
    setCursor(start);
    viewer.current?.bring(start);
    if (focus) viewer.current?.focus();
  };
  const putDown = (): void => {
    const name = markInHand;
    setTask(undefined);
    setCursor(undefined);
    if (name) document.querySelector<HTMLElement>(`[data-mark="${name}"]`)?.focus();
  };
  const set = (name: string, pixel: Pixel, more: Partial<Extract<Statement, { kind: 'mark' }>['body']> = {}): void => {
    const fresh = !placed.has(name);
    const mark: Extract<Statement, { kind: 'mark' }> = {
      kind: 'mark',
      body: { film: film.id, name, pixel: [pixel[0], pixel[1]], by: 'hand', ...more },
    };
    if (again) {
      const kept = again.filter((other) => other.name !== name);
      setAgain([...kept, { name, pixel: [pixel[0], pixel[1]], by: 'hand', entries: [] }]);
    } else {
      begun.record(mark);
      undo.did(mark);
    }
    if (!fresh) {
      setTask({ kind: 'mark', name, how: 'hand', moved: false, points: [], found: undefined });
      setCursor(pixel);
      return;
    }
    // The hand goes on to the next: the suggested one, or the next empty cell of the drawer.
    const order = marksOfView(film.view).map((place) => place.name);
    const from = order.indexOf(name);
    const following = [...order.slice(from + 1), ...order.slice(0, from)].find((n) => !placed.has(n) && n !== name);
    const then = next && next.name !== name ? next.name : following;
    if (then) take(then);
    else putDown();
  };
  const takeOff = (name: string): void => {
    const mark = film.marks.find((m) => m.name === name);
    if (again) setAgain(again.filter((m) => m.name !== name));
    for (const entry of mark?.entries ?? []) {
      begun.record({ kind: 'retract', body: { entry, why: 'taken off the film on the page' } });
    }
    putDown();
  };

  const onKey = (event: React.KeyboardEvent): void => {
    const z = event.key.toLowerCase();
    if (!(event.ctrlKey || event.metaKey) || (z !== 'z' && z !== 'y')) return;
    if (event.target instanceof HTMLInputElement && event.target.type !== 'range') return;
    event.preventDefault();
    if (z === 'y' || event.shiftKey) undo.redo();
    else undo.undo();
  };

  const marks: readonly ShownMark[] = useMemo(() => {
    const shown: ShownMark[] = film.marks.map(({ name, pixel, covPx2, radiusPx }) => ({
      name,
      label: markWord(name),
      pixel,
      covPx2: covPx2 ?? result?.marks.find((mark) => mark.name === name)?.covPx2,
      radiusPx,
      state: name === markInHand ? 'inHand' : 'placed',
    }));
    const has = new Set(film.marks.map((mark) => mark.name));
    for (const { name, pixel, covPx2 } of expected) {
      if (!has.has(name) && name !== markInHand) {
        shown.push({ name, label: markWord(name), pixel, covPx2, state: name === next?.name ? 'next' : 'foretold' });
      }
    }
    if (task && cursor && !(markInHand && has.has(markInHand))) {
      const label = task.kind === 'mark' ? (task.how === 'hand' ? markWord(task.name) : 'point') : 'point';
      shown.push({ name: markInHand ?? 'point', label, pixel: cursor, state: 'inHand' });
    }
    return shown;
  }, [film.marks, result, expected, markInHand, next?.name, task, cursor]);

  const pointing = task !== undefined && !(task.kind === 'mark' && task.how === 'hand');
  const inHand =
    task && cursor
      ? { name: markInHand ?? 'point', pixel: cursor, placed: !pointing && placedInHand !== undefined }
      : undefined;
  const lines = useMemo(
    () =>
      filmLines(
        film.view,
        film.marks.map((mark) => (mark.name === markInHand && cursor ? { ...mark, pixel: cursor } : mark)),
      ),
    [film.view, film.marks, markInHand, cursor],
  );
  useEffect(() => {
    if (helper.taken) {
      setCursor(helper.taken);
      helper.tookIt();
    }
  }, [helper]);
  // Findings name films by their entries and marks by their code names; here they have words.
  const named = (words: string): string =>
    begun.view.films
      .toSorted((a, b) => b.id.length - a.id.length)
      .reduce((text, f) => text.replaceAll(f.id, `"${viewWords[f.view].toLowerCase()}"`), namedMarks(words));
  const findings = settled.ok
    ? settled.value.leg.findings.map((finding) => ({ ...finding, message: named(finding.message) }))
    : [];
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: undo and redo are heard wherever the focus is on the desk
    <div className="desk" onKeyDown={onKey}>
      <div className="filmcolumn">
        {film.mirrored && (
          <p className="turnedover" role="status">
            Recorded as turned over for left and right; shown as it should be seen
          </p>
        )}
        <FilmViewer
          ref={viewer}
          held={held}
          label={`${viewWords[film.view]}, ${postureWords[film.posture]}: ${film.marks.length} marks placed${
            inHand ? `; in hand: ${markInHand ? markWord(markInHand) : 'a point'}` : ''
          }`}
          marks={marks}
          aids={taskAids(task)}
          lines={lines}
          inHand={inHand}
          pointing={pointing}
          step={step}
          mirrored={film.mirrored}
          onTurnOver={(mirrored) => {
            const turned: Statement = { kind: 'turnedOver', body: { film: film.id, mirrored } };
            begun.record(turned);
          }}
          onMove={(_, pixel) => {
            setCursor(pixel);
            setTask((now) => (now?.kind === 'mark' && !now.moved ? { ...now, moved: true } : now));
          }}
          onSet={(name, pixel) => set(name, pixel)}
          onPoint={helper.point}
          onTake={(name) => take(name)}
          onPutDown={putDown}
          onTakeOff={takeOff}
        />
        <p id="film-keys" className="note">
          Arrows move the film, or the mark in hand by {mm ? '0.1 mm' : '0.1 pixels'} (Shift 10 times, Ctrl 100 times);
          Enter sets it, Esc puts it down, Delete takes it off. + and - bring nearer, 0 shows all, R turns, [ and ] turn
          a little, O records that the picture is turned over, I makes bones dark, L the loupe, comma and full stop the
          light, Ctrl+Z takes back.
        </p>
        {own && !again && (
          <CalibrationPanel
            film={film}
            facts={own}
            scale={scale}
            task={task}
            begin={(kind) => {
              const middle = viewer.current?.middle() ?? [held.picture.columns / 2, held.picture.rows / 2];
              setTask({ kind, points: [], found: undefined });
              setCursor(middle);
              viewer.current?.focus();
            }}
            leave={putDown}
            record={begun.record}
          />
        )}
        {!again && <LeaveFilm film={recorded} record={begun.record} />}
      </div>
      <div className="drawercolumn">
        <MarkDrawer
          view={film.view}
          side={film.side}
          marks={film.marks}
          next={next}
          inHand={markInHand}
          take={stableTake}
        />
        <HandPanel
          task={task}
          placed={placedInHand}
          marks={film.marks}
          cursor={cursor}
          mm={mm}
          helper={helper}
          move={(pixel) => {
            setCursor(pixel);
            setTask((now) => (now?.kind === 'mark' ? { ...now, moved: true } : now));
            viewer.current?.bring(pixel);
          }}
          how={(how) => {
            setTask((now) => (now?.kind === 'mark' ? { ...now, how, points: [], found: undefined } : now));
            viewer.current?.focus();
          }}
          set={set}
          putDown={putDown}
          takeOff={takeOff}
        />
        <div className="words48">
          <button type="button" disabled={!undo.canUndo} onClick={undo.undo}>
            take back
          </button>
          <button type="button" disabled={!undo.canRedo} onClick={undo.redo}>
            set again
          </button>
        </div>
        <RepeatPanel
          begun={begun}
          film={recorded}
          facts={facts}
          again={again?.length}
          begin={() => {
            putDown();
            setAgain([]);
          }}
          record={() => {
            const marks = (again ?? []).map(({ name, pixel }) => ({ name, pixel }));
            const session = recorded.remarks.length + 2;
            begun.record({ kind: 'remark', body: { film: film.id, session, marks } });
            putDown();
            setAgain(undefined);
          }}
          leave={() => {
            putDown();
            setAgain(undefined);
          }}
        />
      </div>
      <div className="resultcolumn">
        {isAfter(film.view) && <AfterResults side={film.side} readings={filmReadings(begun.view, facts)} />}
        <FilmResults
          leg={worked.ok ? worked.value.leg : undefined}
          messages={worked.ok ? none : messages.length > 0 ? messages : worked.error.map((r) => r.message)}
          doubts={films?.doubts ?? noDoubts}
          film={result}
        />
        <p className="tobench">
          <a
            className="act"
            href={pathOf(begun.view.case, 'bench')}
            onClick={(e) => {
              if (e.metaKey || e.ctrlKey || e.shiftKey) return;
              e.preventDefault();
              go(pathOf(begun.view.case, 'bench'));
            }}
          >
            to the Bench
          </a>
        </p>
      </div>
      <div className="acrossdesk">
        <Findings findings={findings} />
      </div>
    </div>
  );
}

/** What a mark would win, in numbers: the largest first. */
function gainText(
  narrows: readonly { readonly name: string; readonly before: number; readonly after: number }[],
): string {
  const [most] = [...narrows].sort((a, b) => b.before - b.after - (a.before - a.after));
  if (!most || most.before - most.after < 0.05) return '';
  return `${quantityWord(most.name)} ± ${most.before.toFixed(1)} to ± ${most.after.toFixed(1)}`;
}
