import type { CaseFilm, CaseMark, Statement } from '@kerfline/cases';
import { markPlace, type Pixel, type PixelSpacing } from '@kerfline/knee';
import { DecimalField } from './decimal-field.tsx';
import type { Measured } from './film-messages.ts';
import type { FilmTask, How } from './film-task.ts';
import { markSays, markWord } from './mark-words.ts';
import { directionOf, type Helper } from './use-helper.ts';

const helperOf = (
  name: string,
  marks: CaseFilm['marks'],
): { readonly how: How; readonly says: string; readonly asks: string } | undefined => {
  switch (markPlace(name)?.kind) {
    case 'headCentre':
      return {
        how: 'rim',
        says: 'by its rim',
        asks: 'Show three or more points on the rim; each is drawn to the edge near it.',
      };
    case 'canalMiddle':
      return {
        how: 'across',
        says: 'from its two edges',
        asks: 'Show one point outside each side of the shaft, at the height that is wanted.',
      };
    case 'contact':
      if (!directionOf(name, marks)) return undefined;
      return { how: 'tangent', says: 'where it touches', asks: 'Show a point near the end of the surface.' };
    default:
      return undefined;
  }
};

/** What a helper found, in words and numbers. */
export function foundText(found: Measured | undefined, mm: PixelSpacing | undefined): string {
  const size = (px: number): string => (mm ? `${(px * mm.columnMm).toFixed(2)} mm` : `${px.toFixed(1)} pixels`);
  switch (found?.measure) {
    case 'rim':
      return `circle through ${found.points.length} points, radius ${size(found.radiusPx)}, off by ${size(found.residualPx)}`;
    case 'across':
      return `middle between the ${found.between} edges, ${size(Math.hypot(found.edges[0][0] - found.edges[1][0], found.edges[0][1] - found.edges[1][1]))} apart, off by ${size(found.residualPx)}`;
    case 'tangent':
      return `touching point, off by ${size(found.residualPx)}`;
    case 'none':
      return found.message;
    case undefined:
      return '';
  }
}

/** The mark in hand: what to look for, its numbers, and its helper. */
export function HandPanel({
  task,
  placed,
  marks,
  cursor,
  mm,
  helper,
  move,
  how,
  set,
  putDown,
  takeOff,
}: {
  readonly task: FilmTask | undefined;
  readonly placed: CaseMark | undefined;
  readonly marks: CaseFilm['marks'];
  readonly cursor: Pixel | undefined;
  readonly mm: PixelSpacing | undefined;
  readonly helper: Helper;
  readonly move: (pixel: Pixel) => void;
  readonly how: (how: How) => void;
  readonly set: (name: string, pixel: Pixel, more?: Partial<Extract<Statement, { kind: 'mark' }>['body']>) => void;
  readonly putDown: () => void;
  readonly takeOff: (name: string) => void;
}) {
  if (task?.kind !== 'mark' || !cursor) return null;
  const { name } = task;
  const offered = helperOf(name, marks);
  const found = task.how === 'hand' ? undefined : task.found;
  const said = foundText(found, mm);
  const worked = found && found.measure !== 'none';
  const place = (): void =>
    worked
      ? set(name, cursor, {
          by: 'helper',
          note: said,
          ...(found.measure === 'rim' ? { radiusPx: found.radiusPx } : {}),
        })
      : set(name, cursor);
  return (
    <section className="inhandpanel" aria-label="In hand">
      <h2>
        <span className="set">{markWord(name)}</span>
      </h2>
      <p className="words">{markSays(name)}</p>
      <div className="decimals">
        <DecimalField says="column" unit="pixels" value={cursor[0]} set={(v) => move([v, cursor[1]])} />
        <DecimalField says="row" unit="pixels" value={cursor[1]} set={(v) => move([cursor[0], v])} />
      </div>
      {placed?.note !== undefined && task.how === 'hand' && <p className="note">Placed: {placed.note}</p>}
      {offered && (
        <div className="words48">
          <button type="button" aria-pressed={task.how === 'hand'} onClick={() => how('hand')}>
            by hand
          </button>
          <button type="button" aria-pressed={task.how === offered.how} onClick={() => how(offered.how)}>
            {offered.says}
          </button>
        </div>
      )}
      {offered && task.how === offered.how && (
        <p role="status" className={found?.measure === 'none' ? 'unknown' : worked ? 'f' : 'words'}>
          {said === '' ? `${offered.asks} ${task.points.length > 0 ? `${task.points.length} shown.` : ''}` : said}
        </p>
      )}
      <div className="words48">
        <button type="button" className="act" disabled={task.how !== 'hand' && !worked} onClick={place}>
          set it
        </button>
        {task.points.length > 0 && (
          <button type="button" onClick={helper.forget}>
            forget the points
          </button>
        )}
        <button type="button" onClick={putDown}>
          put it down
        </button>
        {placed && (
          <button type="button" onClick={() => takeOff(name)}>
            take it off the film
          </button>
        )}
      </div>
    </section>
  );
}
