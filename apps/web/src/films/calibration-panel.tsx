import { type CaseFilm, calibrated, type FilmFacts, type Statement } from '@kerfline/cases';
import type { FilmScale } from '@kerfline/knee';
import { useState } from 'react';
import { DecimalField } from './decimal-field.tsx';
import { lengthText } from './film-questions.ts';
import type { FilmTask } from './film-task.ts';
import { foundText } from './hand-panel.tsx';

type Calibration = Extract<Statement, { kind: 'calibration' }>;

/** What a millimetre is on this film, and how it can be made to be one of the bone. */
export function CalibrationPanel({
  film,
  facts,
  scale,
  task,
  begin,
  leave,
  record,
}: {
  readonly film: CaseFilm;
  readonly facts: FilmFacts;
  readonly scale: FilmScale | undefined;
  readonly task: FilmTask | undefined;
  readonly begin: (kind: 'ball' | 'ruler') => void;
  readonly leave: () => void;
  readonly record: (statement: Statement) => void;
}) {
  const [sizeMm, setSize] = useState<number>();
  const [depthMm, setDepth] = useState<number>();
  const [depthSdMm, setDepthSd] = useState<number>();
  const { length } = facts;
  const kind = task?.kind === 'ball' || task?.kind === 'ruler' ? task.kind : undefined;
  const measured = kind ? task : undefined;
  const shown = measured?.points.length ?? 0;
  const enough = kind === 'ball' ? shown >= 3 : shown === 2;
  const rim = measured?.found?.measure === 'rim' ? measured.found.points : measured?.points;
  const lacking = [
    enough ? '' : kind === 'ball' ? `${3 - shown} more points on its rim` : 'both of its ends',
    sizeMm === undefined ? 'its size' : '',
    depthMm === undefined ? 'its depth' : '',
    depthSdMm === undefined ? 'how far that may be off' : '',
  ].filter((words) => words !== '');
  const body = ((): Calibration['body'] | undefined => {
    if (!kind || !measured || sizeMm === undefined || depthMm === undefined || depthSdMm === undefined)
      return undefined;
    if (!enough || !rim) return undefined;
    const pair = (p: readonly [number, number]): [number, number] => [p[0], p[1]];
    const common = { film: film.id, sizeMm, depthMm, depthSdMm };
    return kind === 'ball'
      ? { ...common, kind, rim: rim.map(pair) }
      : { ...common, kind, ends: [pair(rim[0]!), pair(rim[1]!)] };
  })();
  const result = body && calibrated(body, facts);
  return (
    <section className="calibration" aria-label="What a millimetre is on this film">
      <h2>Millimetres</h2>
      <p className="words">
        {scale?.kind === 'bone'
          ? `${scale.method}; off by ${(100 * scale.sd).toFixed(1)} % one deviation.`
          : lengthText(facts)}
      </p>
      {scale?.kind !== 'bone' && <p className="unknown">Lengths of the bone are not known on this film; angles are.</p>}
      <p className="note">
        {film.removed === 0
          ? 'Nothing that identifies was found in the file.'
          : `${film.removed} attributes that identify were taken out of the file before it was kept.`}
      </p>
      {!kind && (
        <div className="words48">
          <button type="button" onClick={() => begin('ball')}>
            calibrate on a ball
          </button>
          <button type="button" onClick={() => begin('ruler')}>
            calibrate on a ruler
          </button>
          {length.offered && (
            <button
              type="button"
              onClick={() => record({ kind: 'calibration', body: { film: film.id, kind: 'offered' } })}
            >
              take magnification {length.offered.factor.toFixed(3)} from {length.offered.from}
            </button>
          )}
          {(length.state === 'FIDUCIAL' || length.state === 'GEOMETRY') && (
            <button
              type="button"
              onClick={() => record({ kind: 'calibration', body: { film: film.id, kind: 'confirmed' } })}
            >
              it holds at the depth of the bone
            </button>
          )}
        </div>
      )}
      {kind && (
        <>
          <p role="status" className="words">
            {kind === 'ball' ? 'Show three or more points on the rim of the ball. ' : 'Show both ends of the ruler. '}
            {shown} shown. {foundText(measured?.found, undefined)}
          </p>
          <div className="decimals">
            <DecimalField
              says={kind === 'ball' ? 'its diameter' : 'its length'}
              unit="mm"
              value={sizeMm}
              set={setSize}
            />
            <DecimalField says="nearer to the tube than the bone by" unit="mm" value={depthMm} set={setDepth} />
            <DecimalField says="which may be off by" unit="mm" value={depthSdMm} set={setDepthSd} />
          </div>
          {result && !result.ok && (
            <p className="unknown" role="alert">
              {result.error.message}
            </p>
          )}
          {result?.ok && (
            <p className="f">
              {result.value.spacing.columnMm.toFixed(4)} mm in a pixel{' '}
              <span className="pm">± {(100 * result.value.sd).toFixed(1)} %</span>
            </p>
          )}
          <div className="words48">
            <button
              type="button"
              className="act"
              disabled={!result?.ok}
              onClick={() => {
                if (!body) return;
                record({ kind: 'calibration', body });
                leave();
              }}
            >
              record it
            </button>
            <button type="button" onClick={leave}>
              leave it
            </button>
          </div>
          {lacking.length > 0 && <p className="note">Still to be said: {lacking.join(', ')}.</p>}
        </>
      )}
    </section>
  );
}
