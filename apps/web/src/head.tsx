import type { CaseView } from '@kerfline/cases';
import { bodyFigure, caution } from '@kerfline/sheets';
import { casesPath, go, pathOf, type Room, rooms } from './address.ts';
import { Picture } from './picture.tsx';

const roomNames: Readonly<Record<Room, string>> = { leg: 'Leg', bench: 'Bench', proof: 'Proof' };

/** Where we are on the left, whose knee on the right. */
export function Head({
  view,
  room,
  saving,
}: {
  readonly view: CaseView | undefined;
  readonly room: Room;
  readonly saving: string;
}) {
  return (
    <header className="head">
      <div className="kerf">
        Kerf
        <i />
        line
      </div>
      <nav className="tocases" aria-label="Cases">
        <a
          href={casesPath}
          onClick={(e) => {
            if (e.metaKey || e.ctrlKey || e.shiftKey) return;
            e.preventDefault();
            go(casesPath);
          }}
        >
          Cases
        </a>
      </nav>
      {view && (
        <nav className="rooms" aria-label="Rooms">
          {rooms.map((r) => (
            <a
              key={r}
              href={pathOf(view.case, r)}
              aria-current={r === room ? 'page' : undefined}
              onClick={(e) => {
                if (e.metaKey || e.ctrlKey || e.shiftKey) return;
                e.preventDefault();
                go(pathOf(view.case, r));
              }}
            >
              {roomNames[r]}
            </a>
          ))}
        </nav>
      )}
      {view && (
        <div className="whose">
          <Picture drawing={bodyFigure(view.side)} />
          <div className="side">{view.side.toUpperCase()} knee</div>
          <dl>
            <div>
              Patient <b>{view.label}</b>
            </div>
            <div>
              Revision <b>{view.revision}</b>, plan <b>{`${view.head.slice(0, 4)} ${view.head.slice(4, 8)}`}</b>
              {saving !== '' && <span role="status"> {saving}</span>}
            </div>
          </dl>
        </div>
      )}
    </header>
  );
}

export const Caution = () => <footer className="foot">{caution}</footer>;

const cssText = (text: string): string =>
  `"${text.replaceAll(/[\\"]/g, (c) => `\\${c}`).replaceAll(/[\n\r\f]/g, ' ')}"`;

/** Whose knee on every printed page, with the caution, in the margins that browsers leave for it. */
export function PrintedMargins({ view }: { readonly view: CaseView }) {
  const whose = `${view.side.toUpperCase()} knee, ${view.label}, revision ${view.revision}, plan ${view.head.slice(0, 8)}`;
  const small = 'font: 7pt sans-serif; color: #555;';
  return (
    <style>{`@page {
      margin: 14mm 8mm 16mm;
      @top-right { content: ${cssText(whose)}; font: bold 9pt sans-serif; }
      @bottom-left { content: ${cssText(caution)}; ${small} width: 85%; }
      @bottom-right { content: "page " counter(page) " of " counter(pages); ${small} }
    }`}</style>
  );
}
