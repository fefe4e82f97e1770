import {
  appended,
  type CaseView,
  type FilmFacts,
  factsOfFilms,
  filmFindings,
  filmReadings,
  type Ledger,
  readStatement,
  replay,
  type Statement,
} from '@kerfline/cases';
import type { Finding } from '@kerfline/geometry';
import {
  afterOperation,
  componentAngles,
  type FilmReading,
  isAfter,
  type LegFromFilms,
  legFromFilms,
  literatureSpreads,
  type MarkSpreads,
  type PixelCovariance,
  type Posture,
  type Q,
  quantities,
  quantityDefinitions,
  type Side,
  withStated,
} from '@kerfline/knee';
import { BadInput, must } from './bad-input.ts';
import { bytesOf } from './files.ts';
import { pairedFilms, withFilms } from './film-entries.ts';
import { scaleText } from './film-words.ts';
import { findingsText } from './findings-text.ts';
import { quantityRows } from './quantity-rows.ts';
import { said } from './said.ts';
import { table } from './table.ts';

export interface FilmMeasureOptions {
  readonly marks: readonly string[];
  readonly side: Side;
  readonly posture?: Posture;
  readonly spreads?: string;
  readonly json?: boolean;
}

/** What `film measure` gives. */
export interface FilmMeasurement {
  readonly side: Side;
  /** Each mark on the film that shows it with the least spread. */
  readonly landmarks: Readonly<
    Record<
      string,
      { readonly film: string; readonly pixel: readonly [number, number]; readonly covPx2: PixelCovariance }
    >
  >;
  readonly quantities: Readonly<Record<string, Q>>;
  readonly findings: readonly Finding[];
  readonly films: readonly FilmMeasured[];
  /** Marks that are not placed yet, the one that narrows the answer most first. */
  readonly next: LegFromFilms['open'];
  /** Sources of doubt of each angle by their share of its variance. */
  readonly dominates: LegFromFilms['doubts'];
}

interface FilmMeasured extends Omit<LegFromFilms['films'][number], 'id'> {
  readonly film: string;
  readonly view: FilmReading['view'];
  readonly posture: Posture;
  readonly columns: number;
  readonly rows: number;
  readonly length: FilmFacts['length']['state'];
  readonly scale: FilmReading['scale'];
}

/** How well one person finds marks again, from a file: `{"by", "kinds"}`. */
async function ownSpreads(path: string | undefined): Promise<MarkSpreads | undefined> {
  if (path === undefined) return undefined;
  const bytes = await bytesOf(path, 'The spreads');
  let body: unknown;
  try {
    body = JSON.parse(new TextDecoder().decode(bytes));
  } catch (e) {
    throw new BadInput([`${path} is not JSON: ${(e as Error).message}.`]);
  }
  const read = readStatement({ kind: 'markSpreads', body });
  if (!read.ok) throw new BadInput([`${path}: ${read.error.message}.`]);
  return read.value.kind === 'markSpreads' ? { ...literatureSpreads, ...read.value.body.kinds } : undefined;
}

/** Size of a spread: the area of its ellipse, mm2 on the film as far as its pixels tell. */
const spreadOf = ([[a, b], [c, d]]: PixelCovariance, { scale }: FilmReading): number => {
  const { rowMm, columnMm } = scale.kind === 'none' ? scale.aspect : scale.spacing;
  return Math.sqrt(Math.max(0, a * d - b * c)) * rowMm * columnMm;
};

function landmarksOf(readings: readonly FilmReading[], films: LegFromFilms['films']): FilmMeasurement['landmarks'] {
  const best = new Map<string, { readonly spread: number; readonly landmark: FilmMeasurement['landmarks'][string] }>();
  for (const reading of readings) {
    const placed = films.find((film) => film.id === reading.id)?.marks ?? [];
    for (const { name, pixel } of reading.marks) {
      const covPx2 = placed.find((mark) => mark.name === name)?.covPx2;
      if (!covPx2) continue;
      const spread = spreadOf(covPx2, reading);
      if (spread < (best.get(name)?.spread ?? Number.POSITIVE_INFINITY)) {
        best.set(name, { spread, landmark: { film: reading.id, pixel, covPx2 } });
      }
    }
  }
  return Object.fromEntries([...best].map(([name, { landmark }]) => [name, landmark]));
}

/** Measures a leg on films and their marks. */
export async function measureFilms(films: readonly string[], options: FilmMeasureOptions): Promise<FilmMeasurement> {
  const { side, posture } = options;
  const pairs = pairedFilms(films, options.marks);
  const spreads = await ownSpreads(options.spreads);
  const stamp = { at: new Date().toISOString(), by: 'local' };
  const created: Statement = { kind: 'created', body: { side, label: 'measured' } };
  const begun: Ledger = appended({ case: 'films', entries: [] }, created, stamp);
  const taken = await withFilms(begun, new Map(), pairs, { side, posture, stamp });
  const view: CaseView = replay(taken.ledger);
  const facts = factsOfFilms(view.films, taken.blobs);
  const byPath = (id: string): string => taken.paths.get(id) ?? id;
  const readings = filmReadings(view, facts).map((reading) => ({ ...reading, id: byPath(reading.id) }));
  const after = must(afterOperation(side, readings, spreads));
  const known = [...taken.findings, ...filmFindings(view, facts)];
  if (readings.every((reading) => isAfter(reading.view))) {
    return { side, landmarks: {}, quantities: after, findings: known, films: [], next: [], dominates: {} };
  }
  const found = must(legFromFilms(side, readings, { spreads }));
  const leg = withStated({ ...found.leg, findings: [...known, ...found.leg.findings] }, []);
  return {
    side,
    landmarks: landmarksOf(readings, found.films),
    quantities: { ...quantities(leg), ...after },
    findings: leg.findings,
    films: found.films.map(({ id, ...film }) => {
      const reading = readings.find((r) => r.id === id)!;
      const { blob } = view.films.find((f) => byPath(f.id) === id)!;
      return {
        film: id,
        view: reading.view,
        posture: reading.posture,
        columns: reading.columns,
        rows: reading.rows,
        length: facts.get(blob)!.length.state,
        scale: reading.scale,
        ...film,
      };
    }),
    next: found.open,
    dominates: found.doubts,
  };
}

/** How many of the marks that are not placed yet are worth a line. */
const nextShown = 3;

export async function filmMeasureCommand(films: readonly string[], options: FilmMeasureOptions): Promise<string> {
  const found = await measureFilms(films, options);
  if (options.json) return JSON.stringify(found, null, 2);
  const taken = found.films.map(({ film, view, posture, scale, rotation, flexion }) => {
    const words = [rotation && `turned ${angle(rotation)}`, flexion && `bent ${angle(flexion)}`].filter(Boolean);
    return `${film}: ${view}, ${posture === 'notStated' ? 'posture not stated' : posture}; ${scaleText(scale)}${words.length > 0 ? `; ${words.join(', ')}` : ''}`;
  });
  const next = found.next.slice(0, nextShown).map((mark) => `${mark.name} on ${mark.film}`);
  return [
    `${found.side.toUpperCase()} leg, ${measuredOn(found.films.length)}`,
    '',
    ...taken,
    '',
    table([
      ['quantity', 'value', 'give or take', '', 'unit', 'is'],
      ...quantityRows(found.quantities, [...quantityDefinitions, ...componentAngles]),
    ]),
    '',
    ...(next.length > 0 ? [`What would narrow this most: ${next.join('; ')}.`, ''] : []),
    findingsText(found.findings),
  ].join('\n');
}

const measuredOn = (films: number): string =>
  films === 0 ? 'components after the operation' : films === 1 ? 'measured on a film' : `measured on ${films} films`;

function angle(q: Q): string {
  const { value, spread, word } = said(q);
  return `${value} ${spread} deg ${word}`.trim();
}
