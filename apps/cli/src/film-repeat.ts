import { writeFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { type Finding, info } from '@kerfline/geometry';
import {
  drawnQuantities,
  type KindRepeats,
  type MarkKind,
  type MarkRepeats,
  markRepeatDefaults,
  markRepeats,
  outside,
  type PixelSpacing,
  type QuantityRepeats,
  quantityRepeats,
  type Side,
} from '@kerfline/knee';
import { type Command, InvalidArgumentError } from 'commander';
import { BadInput, must } from './bad-input.ts';
import { bytesOf, cannotWrite } from './files.ts';
import { type Marking, markingFile } from './film-repeat-marks.ts';
import { findingsText } from './findings-text.ts';
import { table } from './table.ts';

/** One film and the files of its markings. */
interface FilmToRepeat {
  readonly film: string;
  readonly marks: readonly string[];
}

export interface FilmRepeatOptions {
  readonly films: readonly FilmToRepeat[];
  /** mm of a pixel in the plane of the bone, for all films; otherwise each film says it. */
  readonly spacing?: number;
  /** Whose marks they are. */
  readonly by: string;
  readonly out?: string;
  readonly json?: boolean;
}

/** What a film, or a calibration in one of its marks files, says of lengths: mm of a pixel, or none. */
export type FilmLengthOf = (
  film: string,
  marks: string,
  side: Side,
) => Promise<{
  readonly spacing: PixelSpacing | null;
  /** Shape of a pixel where its size is not known; square unless given. */
  readonly aspect?: PixelSpacing;
  readonly description: string;
}>;

/** Reads no lengths, only that the file is there. */
const noLength: FilmLengthOf = async (film) => {
  await bytesOf(film, 'The film');
  return { spacing: null, description: 'no length was read from the file' };
};

interface RepeatedFilmRead {
  readonly film: string;
  readonly markings: readonly Marking[];
  readonly spacing: PixelSpacing | null;
  readonly aspect: PixelSpacing;
  readonly scale: string;
}

const square: PixelSpacing = { rowMm: 1, columnMm: 1 };

const filmWords = ({ view, side }: Marking): string => `${view} film${side ? ` of the ${side} leg` : ''}`;

async function readFilm(
  { film, marks }: FilmToRepeat,
  typed: number | undefined,
  lengthOf: FilmLengthOf,
): Promise<RepeatedFilmRead> {
  if (marks.length < 2) {
    throw new BadInput([
      `${film} has ${marks.length} marks ${marks.length === 1 ? 'file' : 'files'}; at least 2 are needed.`,
    ]);
  }
  const markings: Marking[] = [];
  for (const path of marks) markings.push(await markingFile(path));
  const first = markings[0]!;
  const side = sideOf(markings);
  const other = markings.findIndex((m) => m.view !== first.view || (m.side !== undefined && m.side !== side));
  if (other > 0) {
    throw new BadInput([
      `${marks[other]} is of a ${filmWords(markings[other]!)}, ${marks[0]} of a ${filmWords(first)}; they must be of one film.`,
    ]);
  }
  if (typed !== undefined) {
    await bytesOf(film, 'The film');
    return {
      film,
      markings,
      spacing: { rowMm: typed, columnMm: typed },
      aspect: square,
      scale: `${typed} mm a pixel, as typed`,
    };
  }
  // One calibration for all markings: a scale that differs between them would count as spread.
  const calibrated = markings.findIndex((m) => m.calibrated);
  const { spacing, aspect, description } = await lengthOf(film, marks[Math.max(0, calibrated)]!, side ?? 'right');
  return {
    film,
    markings,
    spacing,
    aspect: aspect ?? square,
    scale: spacing ? `${spacing.columnMm.toPrecision(4)} mm a pixel: ${description}` : `no length: ${description}`,
  };
}

/** Spreads by kind, from the films whose millimetres are known. */
function kindsOf(films: readonly RepeatedFilmRead[]): MarkRepeats {
  const inMm = films.flatMap(({ film, markings, spacing }) =>
    spacing ? [{ id: basename(film), view: markings[0]!.view, spacing, repeats: markings.map((m) => m.marks) }] : [],
  );
  const without = films.filter(({ spacing }) => !spacing);
  // Marks of films without a length are looked through for faults all the same.
  if (without.length > 0) {
    must(
      markRepeats(
        without.map(({ film, markings }) => ({
          id: basename(film),
          view: markings[0]!.view,
          spacing: square,
          repeats: markings.map((m) => m.marks),
        })),
      ),
    );
  }
  const found = inMm.length > 0 ? must(markRepeats(inMm)) : { kinds: {}, findings: [] };
  return {
    kinds: found.kinds,
    findings: [
      ...without.map(({ film, scale }) =>
        info(
          'no-length',
          `${basename(film)}: ${scale}. Its marks say nothing in mm; only its angles are shown. Give mm of a pixel with --spacing.`,
        ),
      ),
      ...found.findings,
    ],
  };
}

const sideOf = (markings: readonly Marking[]): Side | undefined => markings.find(({ side }) => side)?.side;

/** Quantities as drawn, in mm and degrees, one row a film; lengths only where the film has one. */
function quantitiesOf(films: readonly RepeatedFilmRead[]): readonly QuantityRepeats[] {
  const rows = new Map<string, { unit: 'mm' | 'deg'; rows: number[][] }>();
  for (const { markings, spacing, aspect } of films) {
    const ofFilm = new Map<string, { unit: 'mm' | 'deg'; row: number[] }>();
    for (const { marks } of markings) {
      for (const { name, unit, value } of drawnQuantities(marks, spacing ?? aspect)) {
        if (unit === 'mm' && !spacing) continue;
        const { row } = ofFilm.get(name) ?? { row: [] };
        ofFilm.set(name, { unit, row: [...row, outside(value, unit)] });
      }
    }
    for (const [name, { unit, row }] of ofFilm) {
      if (row.length > 1) rows.set(name, { unit, rows: [...(rows.get(name)?.rows ?? []), row] });
    }
  }
  return [...rows].map(([name, { unit, rows: all }]) => must(quantityRepeats({ name, unit, rows: all })));
}

const kindWords: Readonly<Record<MarkKind, string>> = {
  headCentre: 'centre of the femoral head',
  jointCentre: 'joint centres',
  contact: 'points on joint surfaces',
  prominence: 'prominences',
  canalMiddle: 'middle of a canal',
  edge: 'edges',
  middle: 'middle of an outline',
};

const least = markRepeatDefaults.leastPairs.value;

/** A spread with how far it may be off itself: of its degrees of freedom, one in the root of twice as many. */
const withSpread = (sd: number, off: number): string => `${sd.toFixed(2)} +/- ${off.toFixed(2)}`;

function kindRows(kinds: MarkRepeats['kinds']): readonly (readonly string[])[] {
  return (Object.entries(kinds) as [MarkKind, KindRepeats][]).map(([kind, { acrossMm, alongMm, pairs, used }]) => [
    kindWords[kind],
    withSpread(acrossMm, acrossMm / Math.sqrt(2 * pairs)),
    withSpread(alongMm, alongMm / Math.sqrt(2 * pairs)),
    String(pairs),
    used ? '' : pairs < least ? `too few: ${least - pairs} more needed` : 'not used',
  ]);
}

/** Limits from a few films say next to nothing. */
const hasLimits = ({ agreement }: QuantityRepeats): boolean => agreement !== undefined && agreement.pairs >= least;

const quantityRow = (q: QuantityRepeats): readonly string[] => {
  const { name, unit, repeatability: r, agreement: a } = q;
  return [
    name,
    withSpread(r.sem, r.seOfSem),
    r.coefficient.toFixed(2),
    unit,
    String(r.degreesOfFreedom),
    r.degreesOfFreedom < least ? 'too few' : '',
    a && hasLimits(q) ? `${a.limits.low.toFixed(2)} to ${a.limits.high.toFixed(2)}` : '',
  ];
};

const count = (n: number, one: string): string => `${n} ${one}${n === 1 ? '' : 's'}`;

function report(
  films: readonly RepeatedFilmRead[],
  kinds: MarkRepeats['kinds'],
  quantities: readonly QuantityRepeats[],
  by: string,
): string {
  const limits = quantities.some(hasLimits);
  return [
    `How well marks repeat within one person (${by})`,
    ...films.map(
      ({ film, markings, scale }) =>
        `${basename(film)}: ${sideOf(markings) ? `${sideOf(markings)!.toUpperCase()} leg, ` : ''}${markings[0]!.view}, marked ${markings.length} times; ${scale}.`,
    ),
    ...(Object.keys(kinds).length === 0
      ? []
      : [
          '',
          'How far one mark is off, mm (one standard deviation). Across: square to the surface or shaft that it lies on.',
          'Along: the way it is loose. Pairs: markings beyond the first, over all places of a kind.',
          '',
          table([['marks', 'across', 'along', 'pairs', ''], ...kindRows(kinds)]),
        ]),
    ...(quantities.length === 0
      ? []
      : [
          '',
          'How far a quantity of one marking is off, as drawn on the film. How the limb was turned or bent is common to the',
          'markings of a film and not in these figures. Two markings of one film differ by less than the second figure in 95 of',
          '100 cases: more than that is not marking alone.',
          ...(limits ? ['First minus second marking: 95 of 100 films lie between these limits.'] : []),
          '',
          table([
            ['quantity', 'one marking', 'two differ by up to', 'unit', 'pairs', '', limits ? 'first minus second' : ''],
            ...quantities.map(quantityRow),
          ]),
        ]),
  ].join('\n');
}

/** The spreads that may be used, as `film measure --spreads` takes them. */
function spreadsFile(kinds: MarkRepeats['kinds'], by: string): string {
  const used = (Object.entries(kinds) as [MarkKind, KindRepeats][]).filter(([, kind]) => kind.used);
  const spreads = {
    by,
    kinds: Object.fromEntries(used.map(([kind, { acrossMm, alongMm, pairs }]) => [kind, { acrossMm, alongMm, pairs }])),
  };
  return `${JSON.stringify(spreads, null, 2)}\n`;
}

async function written(out: string, kinds: MarkRepeats['kinds'], by: string): Promise<Finding> {
  try {
    await writeFile(out, spreadsFile(kinds, by));
  } catch (e) {
    cannotWrite(e, `The spreads: ${out}`);
  }
  const used = Object.values(kinds).filter((kind) => kind.used).length;
  const all = Object.keys(kinds).length;
  return info(
    'spreads-written',
    `${out} holds the spreads of ${used} of ${count(all, 'kind')}. For all others the listed spreads stay in use.`,
  );
}

/**
 * How well one person's marks repeat, by kind and by quantity, from films marked two or more times; writes the spreads that
 * may be used.
 *
 * @param lengthOf what a film says of lengths
 */
export async function filmRepeatCommand(
  options: FilmRepeatOptions,
  lengthOf: FilmLengthOf = noLength,
): Promise<string> {
  const twice = options.films.find(({ film }, k) => options.films.findIndex((other) => other.film === film) < k);
  if (twice) throw new BadInput([`${twice.film} is given twice; give all its marks files after one --film.`]);
  const films: RepeatedFilmRead[] = [];
  for (const film of options.films) films.push(await readFilm(film, options.spacing, lengthOf));
  const { kinds, findings } = kindsOf(films);
  const quantities = quantitiesOf(films);
  const all = [
    ...findings,
    ...quantities.flatMap((q) => q.findings),
    ...(options.out === undefined ? [] : [await written(options.out, kinds, options.by)]),
  ];
  if (options.json) {
    return JSON.stringify(
      {
        by: options.by,
        films: films.map(({ film, markings, spacing, scale }) => ({
          film: basename(film),
          view: markings[0]!.view,
          side: sideOf(markings) ?? null,
          markings: markings.length,
          spacing,
          scale,
        })),
        kinds,
        quantities: Object.fromEntries(
          quantities.map(({ name, unit, repeatability: r, agreement }) => [
            name,
            {
              unit,
              sem: r.sem,
              seOfSem: r.seOfSem,
              minimalDetectableChange: r.coefficient,
              films: r.subjects,
              pairs: r.degreesOfFreedom,
              ...(agreement ? { firstMinusSecond: agreement } : {}),
            },
          ]),
        ),
        findings: all,
      },
      null,
      2,
    );
  }
  return [report(films, kinds, quantities, options.by), ...(all.length > 0 ? ['', findingsText(all)] : [])].join('\n');
}

const pixelSize = (text: string): number => {
  const value = Number(text.replace(',', '.').replace(/mm$/, ''));
  if (!(value > 0 && value <= 5)) throw new InvalidArgumentError('mm of a pixel, above 0 and at most 5, are needed.');
  return value;
};

/**
 * Adds `repeat` to the group of commands about films. `--marks` belongs to the `--film` before it; both may come again.
 */
export function addFilmRepeat(group: Command, print: (text: string) => void, lengthOf?: FilmLengthOf): void {
  const films: { film: string; marks: string[] }[] = [];
  group
    .command('repeat')
    .description('how well one person marks: the same film marked two or more times, and other films likewise')
    .requiredOption('--film <file>', 'a film; may be repeated, each followed by its --marks', (film: string) => {
      films.push({ film, marks: [] });
      return films;
    })
    .requiredOption(
      '--marks <files...>',
      'marks files of the film before, one for each time it was marked',
      (file: string) => {
        const film = films.at(-1);
        if (!film) throw new InvalidArgumentError('--film must come before its --marks.');
        film.marks.push(file);
        return films;
      },
    )
    .option('--spacing <mm>', 'mm of a pixel at the bone, where the film does not say it', pixelSize)
    .option('--by <who>', 'whose marks they are', 'local')
    .option('--out <file>', 'spreads to write, for film measure --spreads')
    .option('--json', 'for programs')
    .addHelpText(
      'after',
      '\nExample:\n  kerfline film repeat --film long.dcm --marks monday.json friday.json --out spreads.json\n' +
        '  kerfline film repeat --film one.dcm --marks a.json b.json --film two.dcm --marks c.json d.json',
    )
    .action(async (options: Omit<FilmRepeatOptions, 'films'>) =>
      print(await filmRepeatCommand({ ...options, films }, lengthOf)),
    );
}
