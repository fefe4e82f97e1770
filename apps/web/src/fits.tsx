import type { CaseView } from '@kerfline/cases';
import type { Fits, Guide } from '@kerfline/knee';
import { trayPicture } from '@kerfline/sheets';
import { useEffect, useState } from 'react';
import { Picture } from './picture.tsx';
import { fetchFits } from './server.ts';

/** How long nothing must have changed before fits are worked out anew, ms. */
const settleMs = 400;

export type FitsNow =
  | { readonly state: 'working' }
  | { readonly state: 'failed'; readonly message: string }
  | { readonly state: 'known'; readonly fits: Fits };

/** How the sizes of a case match its bones as it is recorded; worked out anew by the server after each entry. */
export function useFits(view: CaseView): FitsNow {
  const { case: id, head } = view;
  const [known, setKnown] = useState<{ readonly head: string; readonly now: FitsNow }>();
  useEffect(() => {
    let current = true;
    // While settings follow each other, only the last is laid on the bone.
    const soon = setTimeout(() => {
      fetchFits(id).then(
        (answer) => current && setKnown({ head, now: { state: 'known', fits: answer.fits } }),
        (e: unknown) =>
          current && setKnown({ head, now: { state: 'failed', message: e instanceof Error ? e.message : String(e) } }),
      );
    }, settleMs);
    return () => {
      current = false;
      clearTimeout(soon);
    };
  }, [id, head]);
  return known?.head === head ? known.now : { state: 'working' };
}

const mm = (value: number): string => `${value.toFixed(1)} mm`;

/** One line for each thing that is known of a fit. */
const Rows = ({ rows }: { readonly rows: readonly (readonly [string, string])[] }) => (
  <dl>
    {rows.map(([what, words]) => (
      <div key={what}>
        <dt>{what}</dt>
        <dd>{words}</dd>
      </div>
    ))}
  </dl>
);

function trayRows({ tray }: Fits): readonly (readonly [string, string])[] {
  const called = tray?.choices.find((choice) => choice.tray.size === tray.size);
  if (!tray || !called) return [];
  const { overhangMm, underCoverMm, cover } = called.fit;
  const sides = (of: typeof overhangMm): string =>
    Object.entries(of)
      .filter(([, value]) => value >= 0.05)
      .map(([side, value]) => `${side} ${mm(value)}`)
      .join(', ') || 'none';
  return [
    ...(cover === undefined ? [] : ([['cover', `${Math.round(100 * cover)} % of the cut`]] as const)),
    ['over the edge', sides(overhangMm)],
    ['bare bone', sides(underCoverMm)],
    ...(tray.keelMm === undefined ? [] : ([['keel', `${mm(tray.keelMm)} of bone beside it`]] as const)),
  ];
}

function femurRows({ femur }: Fits): readonly (readonly [string, string])[] {
  if (!femur) return [];
  const { overhangMm, shiftMm } = femur.fit;
  const side = (value: number): string =>
    value >= 0.05 ? `${mm(value)} out` : value <= -0.05 ? `${mm(-value)} inside` : 'flush';
  const shift =
    Math.abs(shiftMm) < 0.05 ? '' : `, shifted ${mm(Math.abs(shiftMm))} ${shiftMm > 0 ? 'lateral' : 'medial'}`;
  return [
    ['sides', `M ${side(overhangMm.medial)}, L ${side(overhangMm.lateral)}${shift}`],
    ...(femur.pegsMm === undefined ? [] : ([['pegs', `${mm(femur.pegsMm)} of bone beside them`]] as const)),
  ];
}

function buttonRows({ button }: Fits): readonly (readonly [string, string])[] {
  const called = button?.choices.find((choice) => choice.button.size === button.size);
  if (!button || !called) return [];
  return [
    ['place', `${mm(called.medialMm)} medial of the middle`],
    ['edge', called.fits ? `${mm(-called.overhangMm)} of bone all round` : `${mm(called.overhangMm)} out`],
    ...(button.pegMm === undefined ? [] : ([['peg', `${mm(button.pegMm)} of bone beside it`]] as const)),
  ];
}

/** What a guide that takes a size shows of how that size matches this bone. */
export function FitOfGuide({
  guide,
  now,
  view,
}: {
  readonly guide: Guide;
  readonly now: FitsNow;
  readonly view: CaseView;
}) {
  const part = guide.links.find((link) => link.kind === 'sized');
  const takes = part?.kind === 'sized' && (part.component !== 'tray' || !part.follows) ? part.component : undefined;
  if (!takes) return null;
  if (now.state === 'working') return <p className="note">Laying the size on the bone…</p>;
  if (now.state === 'failed') return <p className="note">The fit cannot be said: {now.message}</p>;
  const rows = { tray: trayRows, femur: femurRows, button: buttonRows }[takes](now.fits);
  if (rows.length === 0) return null;
  const sd = now.fits[takes]?.edgeSdMm;
  const picture = takes === 'tray' && now.fits.tray ? trayPicture(now.fits.tray, view.side) : undefined;
  return (
    <div className="prep">
      <h3>
        On this bone{' '}
        <span>
          {now.fits.by === 'outlines' ? 'by the outline of the cut, life size' : 'by widths alone'}
          {sd === undefined ? '' : `; edges of the bone ± ${mm(sd)}`}
        </span>
      </h3>
      {picture && <Picture drawing={picture} />}
      <Rows rows={rows} />
    </div>
  );
}
