import { doubt, err, type Finding, info, ok, type Result } from '@kerfline/geometry';
import { inside, outside, type Q } from '../../quantity.ts';
import { type Refusal, refusal } from '../../refusal.ts';
import { saidQuantity } from '../../said-quantity.ts';
import type { Side } from '../../side.ts';
import type { Leg, Source } from '../leg.ts';
import { ankleOffset, type PopulationValue, populationOrigin, populationSource, typicalLeg } from '../population.ts';
import { quantityDefinition } from '../quantities.ts';
import { type FilmReading, isAfter, type PixelCovariance, type Posture, postures } from './film.ts';
import { beliefOf, rootAfter, withOpening } from './film-belief.ts';
import { filmDefaults } from './film-defaults.ts';
import { filmFaults, marksTogether, notShown, turnedOrBent, turnedOver } from './film-findings.ts';
import { outOfFilm, type StartedFilm, startedFilm, stateOf, type TakenMark, takenMarks } from './film-marks.ts';
import { filmName, poseName } from './film-pose.ts';
import { doubtShares, expectedMarks, gradientOf, leftOut, missedMost, sdOfRoot } from './film-questions.ts';
import { canalHeights, limbVarusOf } from './film-sites.ts';
import { sizeSeen, sizes } from './film-sizes.ts';
import { type Solved, solved } from './film-solve.ts';
import { type FilmState, indexIn, withSpreads } from './film-state.ts';
import { wantedAngles } from './film-wanted.ts';
import { literatureSpreads, type MarkSpreads } from './mark-spread.ts';

export interface FilmsOptions {
  /** A person's own spreads of marks; otherwise those of the literature. */
  readonly spreads?: MarkSpreads | undefined;
  /** Length of the rod in the femoral canal: its canal line is then told where the rod lies, mm. */
  readonly rodLengthMm?: number | undefined;
  /** While a mark is being moved: without what can wait (open marks, doubts, one mark or film against the others). */
  readonly moving?: boolean | undefined;
}

/** What is believed of how one film was taken. */
export interface FilmResult {
  readonly id: string;
  /** Turn of the limb, rear condyle line against the detector; of a front film only. */
  readonly rotation: Q | undefined;
  readonly flexion: Q | undefined;
  /** Millimetres on the film for one of the bone, by the spacing that the reading gives. */
  readonly magnification: { readonly value: number; readonly sd: number };
  /** How far each mark lies from where all the others expect it, and the spread that it was taken with, pixels squared. */
  readonly marks: readonly {
    readonly name: string;
    readonly offMm: number;
    readonly offSds: number;
    readonly covPx2: PixelCovariance;
  }[];
}

/** A mark that is not placed yet: where it is expected, and what it would narrow (degrees). */
export interface OpenMark {
  readonly film: string;
  readonly name: string;
  readonly pixel: readonly [column: number, row: number];
  readonly covPx2: readonly [readonly [number, number], readonly [number, number]];
  readonly narrows: readonly { readonly name: string; readonly before: number; readonly after: number }[];
}

export interface LegFromFilms {
  readonly leg: Leg;
  readonly films: readonly FilmResult[];
  /** Marks not placed yet, the one that narrows the answer most first. */
  readonly open: readonly OpenMark[];
  /** For HKA, LDFA, MPTA, shaftMechanical and slope: the sources of doubt by their share of the variance. */
  readonly doubts: Readonly<Record<string, readonly { readonly source: string; readonly share: number }[]>>;
}

const siteNames = [
  'hipCentre',
  'femoralKneeCentre',
  'distalMedial',
  'distalLateral',
  'posteriorMedial',
  'posteriorLateral',
  'epicondyleMedial',
  'epicondyleLateral',
  'femoralCanalLow',
  'femoralCanalHigh',
  'tibialKneeCentre',
  'malleolarMidpoint',
  'malleolusMedial',
  'malleolusLateral',
  'plafondCentre',
  'plateauMedial',
  'plateauLateral',
  'medialRimFront',
  'medialRimRear',
] as const;

/** Quantities that stand on one root each, in the order they are spoken of. */
const rootOfQuantity: Readonly<Record<string, string>> = {
  LDFA: 'distalTilt',
  MPTA: 'plateauTilt',
  shaftMechanical: 'shaftLean',
  canalFlexion: 'canalFlexion',
  slope: 'slope',
  condylarTwist: 'twist',
  femurLength: 'femurLength',
  tibiaLength: 'tibiaLength',
  distalSpacing: 'distalSpacing',
  posteriorSpacing: 'posteriorSpacing',
  plateauSpacing: 'plateauSpacing',
  ankleOffset: 'ankleOffset',
};

/** @numerical A root narrowed to less than this share of its first spread has been seen on the films. */
const seenShare = 0.85;

/** Films solved together, with all that the solution can be asked. */
interface SolvedFilms {
  readonly films: readonly StartedFilm[];
  readonly state: FilmState;
  readonly marks: readonly TakenMark[];
  readonly solution: Solved;
}

/** @numerical The first search only has to find turn and bend to within a fraction of their spread; the second goes on from it. */
const roughly = 0.3;

/**
 * Solves films together. What turn and bend do to a tibia together is their product, which no slope at the mean shows: it is a
 * number of its own (`turnBend`) whose spread is the product of theirs, first as they are believed and then as they were found.
 */
function solvedFilms(films: readonly StartedFilm[], spreads: MarkSpreads, rodLengthMm?: number): SolvedFilms {
  const { turn, bend } = filmDefaults;
  const usual = inside(turn.sd, 'deg') * inside(bend.sd, 'deg');
  const believed = stateOf(
    films,
    films.map(() => usual),
    canalHeights(rodLengthMm),
  );
  const marks = takenMarks(believed, films, spreads);
  const observations = marks.map((mark) => mark.observation);
  const first = solved(believed, observations, { near: roughly });
  const found = films.flatMap(({ film, sight }) =>
    sight === 'front'
      ? [
          {
            name: filmName(film, 'turnBend'),
            sd: sdOfRoot(first, poseName(film, 'femur', 'turn')) * sdOfRoot(first, filmName(film, 'bend')),
          },
        ]
      : [],
  );
  const state = withSpreads(believed, found);
  return { films, state, marks, solution: solved(state, observations, { from: first.mean }) };
}

const angle = (value: number, sd: number, positive: 'external' | 'flexion', method: string): Q => ({
  value: outside(value, 'deg'),
  unit: 'deg',
  positive,
  sd: outside(sd, 'deg'),
  method,
});

function filmResult(s: SolvedFilms, film: StartedFilm, off: ReturnType<typeof leftOut> | undefined): FilmResult {
  const { solution } = s;
  const front = film.sight === 'front';
  const turn = front ? rootAfter(solution, poseName(film.film, 'femur', 'turn')) : undefined;
  const bend = front ? rootAfter(solution, filmName(film.film, 'bend')) : undefined;
  const scale = rootAfter(solution, filmName(film.film, 'scale'));
  return {
    id: film.reading.id,
    rotation:
      turn && angle(turn.mean, turn.sd, 'external', 'rear condyle line against the detector, from kneecap and fibula'),
    flexion: bend && angle(bend.mean, bend.sd, 'flexion', 'bend of the knee out of the plane of the film'),
    magnification: { value: Math.exp(scale.mean), sd: Math.exp(scale.mean) * scale.sd },
    marks: s.marks.flatMap(({ film: of, mark, observation }, k) =>
      off && of === film && s.marks.findIndex((other) => other.film === film && other.mark === mark) === k
        ? [
            {
              name: mark.name,
              offMm: off[k]!.mm,
              offSds: off[k]!.sds,
              covPx2: pixelCovariance(film, observation.covariance),
            },
          ]
        : [],
    ),
  };
}

/** A covariance on the film as the solver has it, as one of columns and rows. */
function pixelCovariance(
  { reading: { scale }, handed }: StartedFilm,
  [xx, xy, yy]: readonly [number, number, number],
): PixelCovariance {
  const { rowMm, columnMm } = scale.kind === 'none' ? scale.aspect : scale.spacing;
  const across = (-handed * xy) / (columnMm * rowMm);
  return [
    [xx / columnMm ** 2, across],
    [across, yy / rowMm ** 2],
  ];
}

/** The posture whose limb angle a leg takes: standing before lying, and either before one that nobody stated. */
function limbSeen(s: SolvedFilms): readonly Posture[] {
  return postures.filter((posture) => narrowed(s.solution, limbVarusOf(posture)));
}

function narrowed(solution: Solved, root: string): boolean {
  const first = Math.sqrt(solution.state.variance[indexIn(solution.state, root)]!);
  return sdOfRoot(solution, root) < seenShare * first;
}

/**
 * A leg from marks on its films, all solved together: sites and how each film was taken. What no film shows is taken from
 * people in general and flagged. Films measure bone: contacts lie on it.
 *
 * @param films readings with at least two marks between them; films after the operation are left out
 * @returns the leg with what is believed of every film, or every reason why these marks cannot be of that leg
 */
export function legFromFilms(
  side: Side,
  films: readonly FilmReading[],
  options: FilmsOptions = {},
): Result<LegFromFilms, readonly Refusal[]> {
  const spreads = options.spreads ?? literatureSpreads;
  const faults = films.flatMap((film) => filmFaults(film, side));
  if (faults.length > 0) return err(faults);
  const used = films.filter((film) => !isAfter(film.view));
  if (used.reduce((sum, film) => sum + film.marks.length, 0) < 2) {
    return err([refusal('few-marks', 'Place at least two marks on a film: from fewer nothing can be said of a leg.')]);
  }
  const started = used.map((film, k) => startedFilm(film, k, side));
  const over = started.flatMap((film) => turnedOver(film) ?? []);
  if (over.length > 0) return err(over);

  const s = solvedFilms(started, spreads, options.rodLengthMm);
  const off = options.moving ? undefined : leftOut(s.solution);
  const results = started.map((film) => filmResult(s, film, off));
  const seen = limbSeen(s);
  const posture = seen[0];
  const built = filmLeg(side, s, used, posture);
  const wanted = wantedAngles(s.state, posture ?? 'notStated');
  const leg: Leg = {
    ...built,
    findings: [
      ...used.flatMap((film) => [...marksTogether(film), ...notShown(film)]),
      ...results.flatMap((result) => [
        ...(result.rotation && result.flexion
          ? turnedOrBent(
              result.id,
              { value: result.rotation.value!, sd: result.rotation.sd! },
              { value: result.flexion.value!, sd: result.flexion.sd! },
            )
          : []),
        ...result.marks
          .filter((mark) => mark.offSds > filmDefaults.markOff.value)
          .map((mark) =>
            doubt(
              'mark-out-of-place',
              `Film ${result.id}: ${mark.name} lies ${mark.offMm.toFixed(1)} mm from where the other marks expect it, ${mark.offSds.toFixed(1)} times the spread.`,
            ),
          ),
      ]),
      ...postureFindings(s, seen),
      ...(options.moving ? [] : disagreements(started, spreads)),
      ...unusualAngles(s.solution),
      ...built.findings,
    ],
  };
  return ok({
    leg,
    films: results,
    open: options.moving ? [] : openMarks(s, spreads, wanted),
    doubts: options.moving
      ? {}
      : Object.fromEntries(
          wanted.map((w) => [
            w.name,
            doubtShares(s.solution, gradientOf(s.solution, w), s.marks, (root) => doubtOf(root, started)),
          ]),
        ),
  });
}

/** The source of doubt that a root belongs to, in words. */
function doubtOf(root: string, films: readonly StartedFilm[]): string {
  const [number, ...rest] = root.split('.');
  const film = films.find((f) => String(f.film) === number);
  if (!film) return root.startsWith('height.') ? 'height of a canal mark' : 'people in general';
  const part = rest.at(-1)!;
  const what =
    part === 'scale'
      ? 'scale'
      : part === 'turn' || part === 'bend' || part === 'turnBend'
        ? 'turn and bend of the limb'
        : part === 'tilt'
          ? 'tilt of the bone'
          : 'place on the film';
  return `${what} (film ${film.reading.id})`;
}

/** @numerical Where no mark by itself narrows the angles by this much together, radians, the one that can least be missed comes first. */
const worthAsking = 0.001;

/** Marks not placed yet, by the most that any of them narrows the angles that the plan needs. */
function openMarks(s: SolvedFilms, spreads: MarkSpreads, wanted: ReturnType<typeof wantedAngles>): readonly OpenMark[] {
  const expected = expectedMarks(s.solution, s.films, spreads, wanted).map((mark) => ({
    mark,
    gain: mark.narrows.reduce((sum, { before, after }) => sum + before - after, 0),
  }));
  const missed = expected.some(({ gain }) => gain > worthAsking)
    ? undefined
    : missedMost(s.state, s.films, spreads, wanted);
  const order = ({ mark, gain }: (typeof expected)[number]): number =>
    missed?.find(({ film, place }) => film === mark.film && place === mark.place)?.loss ?? gain;
  return [...expected]
    .sort((a, b) => order(b) - order(a))
    .map(({ mark: { film, place, at, covariance, narrows } }) => ({
      film: film.reading.id,
      name: place.name,
      pixel: outOfFilm(film, at),
      covPx2: pixelCovariance(film, covariance),
      narrows: narrows.map(({ name, before, after }) => ({
        name,
        before: outside(before, 'deg'),
        after: outside(after, 'deg'),
      })),
    }));
}

/**
 * Marks to begin with, while too few are placed to say anything of the leg: first the one that could least be missed if all were
 * placed. Where it lies on the film is not known yet, so none says what it narrows.
 */
export function firstMarks(
  side: Side,
  films: readonly FilmReading[],
  options: FilmsOptions = {},
): readonly Pick<OpenMark, 'film' | 'name'>[] {
  const spreads = options.spreads ?? literatureSpreads;
  const started = films.filter((film) => !isAfter(film.view)).map((film, k) => startedFilm(film, k, side));
  const state = stateOf(
    started,
    started.map(() => 0),
  );
  return [...missedMost(state, started, spreads, wantedAngles(state, started[0]?.reading.posture ?? 'notStated'))]
    .sort((a, b) => b.loss - a.loss)
    .filter(({ film, place }) => !film.reading.marks.some((mark) => mark.name === place.name))
    .map(({ film, place }) => ({ film: film.reading.id, name: place.name }));
}

function postureFindings(s: SolvedFilms, seen: readonly Posture[]): readonly Finding[] {
  const said = (posture: Posture): string => {
    const { mean, sd } = rootAfter(s.solution, limbVarusOf(posture));
    return `${(180 - outside(mean, 'deg')).toFixed(1)} +/- ${outside(sd, 'deg').toFixed(1)} deg`;
  };
  const findings: Finding[] = [];
  if (seen.includes('standing') && seen.includes('lying')) {
    findings.push(
      info(
        'two-postures',
        `HKA is ${said('standing')} standing and ${said('lying')} lying. The standing one is taken; they are not mixed.`,
      ),
    );
  }
  if (seen[0] === 'lying') {
    findings.push(
      doubt(
        'lying-film',
        'The limb angle is of a lying film: standing ones differ by 2.5 deg on average, 95 % within 6.4 (PMC5644689, abstract).',
      ),
    );
  }
  if (seen[0] === 'notStated') {
    findings.push(
      doubt('posture-not-stated', 'Nobody said whether the film of the limb angle was taken standing or lying.'),
    );
  }
  return findings;
}

/** Joint lines farther from the axes than legs have been seen to have: a mark is more often wrong than the leg. */
function unusualAngles(solution: Solved): readonly Finding[] {
  return (['LDFA', 'MPTA'] as const).flatMap((name) => {
    const root = rootOfQuantity[name]!;
    const { range, source } = name === 'LDFA' ? filmDefaults.seenLdfa : filmDefaults.seenMpta;
    const value = 90 - outside(Math.atan(rootAfter(solution, root).mean), 'deg');
    if (!narrowed(solution, root) || (value >= range[0] && value <= range[1])) return [];
    return [
      doubt(
        'unusual-angle',
        `${name} would be ${value.toFixed(1)} deg; legs have been seen with ${range[0]} to ${range[1]} (${source}). Look at its marks again.`,
      ),
    ];
  });
}

/** Films that say different things of one angle, each read alone. */
function disagreements(films: readonly StartedFilm[], spreads: MarkSpreads): readonly Finding[] {
  if (films.length < 2) return [];
  const alone = films
    .filter((film) => film.reading.marks.length > 2)
    .map((film) => {
      const { solution, state } = solvedFilms([film], spreads);
      const { posture, id } = film.reading;
      return wantedAngles(state, posture).flatMap((w) => {
        const root = w.name === 'HKA' ? limbVarusOf(posture) : rootOfQuantity[w.name]!;
        if (!narrowed(solution, root)) return [];
        const q = angleSaid(
          w.name,
          outside(w.value(solution.mean), 'deg'),
          outside(rootAfter(solution, root).sd, 'deg'),
        );
        return [{ name: w.name === 'HKA' ? `HKA (${posture})` : w.name, film: id, q }];
      });
    });
  const said = ({ q, film }: (typeof alone)[number][number]): string => {
    const { value, spread, word } = saidQuantity(q);
    return `${[value, '+/-', spread, 'deg', word].filter((part) => part !== '').join(' ')} on film ${film}`;
  };
  return alone.flatMap((one, i) =>
    alone.slice(i + 1).flatMap((other) =>
      one.flatMap((a) => {
        const b = other.find((found) => found.name === a.name);
        if (!b || Math.abs(a.q.value! - b.q.value!) <= filmDefaults.disagree.value * Math.hypot(a.q.sd!, b.q.sd!))
          return [];
        return [
          doubt(
            'films-disagree',
            `${a.name} is ${said(a)} and ${said(b)}: more apart than their spreads allow. Look at the marks of both again.`,
          ),
        ];
      }),
    ),
  );
}

/** A wanted angle of the state, degrees, as the quantity of its name: HKA and the joint lines as angles of their own. */
function angleSaid(name: string, value: number, sd: number): Q {
  const { positive, method, unit } = quantityDefinition(name)!;
  if (name === 'HKA') return { value: 180 - value, unit, sd, method };
  if (name === 'LDFA' || name === 'MPTA') return { value: 90 - value, unit, sd, method };
  return { value, unit, ...(positive ? { positive } : {}), sd, method };
}

/** The leg that solved films come to. */
function filmLeg(side: Side, s: SolvedFilms, films: readonly FilmReading[], posture: Posture | undefined): Leg {
  const { solution } = s;
  const marked = (...names: readonly string[]): boolean =>
    names.some((name) => films.some((film) => film.marks.some((mark) => mark.name === name)));
  const unknown: Record<string, string> = {
    femurDepth: 'not seen on films',
    trochlearTwist: 'not seen on films',
    trochlearGroove: 'not seen on films',
  };
  const findings: Finding[] = [];
  const sources: Record<string, Source> = {};
  for (const size of sizes) {
    const told = sizeSeen(size, films);
    const basic = size in rootOfQuantity;
    if (told === 'uncalibrated') {
      unknown[size] = 'marked only on a film that is not calibrated: mark a ball or a ruler of known size';
    } else if (told === 'not' && !basic) unknown[size] = 'not marked on a film';
  }
  const tibialCanal = marked('tibialCanalLow', 'tibialCanalHigh') && narrowed(solution, 'tibialCanalLean');
  const crest = marked('crestUpper', 'crestLower') && narrowed(solution, 'crestLean');
  const more = [
    ...(unknown.cortexDepth === undefined ? ['anteriorCortex'] : []),
    ...(tibialCanal ? ['tibialCanalLow', 'tibialCanalHigh'] : []),
    ...(crest ? ['crestUpper', 'crestLower'] : []),
    ...(marked('tubercle') ? ['tubercle'] : []),
    ...(marked('fibulaHead') ? ['fibulaHead'] : []),
  ];
  if (!tibialCanal) for (const q of ['tibialCanalVarus', 'tibialCanalSlope']) unknown[q] = 'not marked on a film';
  if (!crest) unknown.crestLean = 'not marked on a film';
  if (!posture) {
    for (const q of ['HKA', 'clinicalHKA', 'JLCA']) unknown[q] = 'no film shows both bones with their axes';
  }
  const numbers = [
    { name: 'ankleOffset', root: 'ankleOffset' },
    { name: 'tibialLineTurn', root: undefined },
    ...['headRadius', 'femurWidth', 'tibiaWidth', 'tibiaDepth', 'patellaThickness', 'patellaWidth']
      .filter((name) => unknown[name] === undefined)
      .map((name) => ({ name, root: name })),
    ...(posture ? [{ name: 'limbVarus', root: limbVarusOf(posture) }] : []),
  ];
  const plain = beliefOf(solution, [...siteNames, ...more], numbers);
  for (const [name, root] of Object.entries(rootOfQuantity)) {
    if (narrowed(solution, root)) continue;
    const usual: PopulationValue =
      name === 'ankleOffset' ? ankleOffset : typicalLeg[name as Exclude<keyof typeof typicalLeg, 'ankleOffset'>];
    sources[name] = populationSource(usual);
    if (unknown[name] === undefined) {
      findings.push(
        doubt(
          'population-value',
          `${name} (${quantityDefinition(name)!.label}) was not seen on a film: ${usual.mean} +/- ${usual.sd} ${usual.unit} of people in general is used (${populationOrigin(usual)}).`,
        ),
      );
    }
  }
  if (sources.MPTA) sources.clinicalMPTA = sources.MPTA;
  return {
    side,
    belief: posture ? withOpening(plain) : plain,
    sources: {
      ...Object.fromEntries(
        plain.slots.map((slot) => [slot.name, { from: 'films', method: 'marked on films' } as const]),
      ),
      ...sources,
    },
    unknown,
    contactsOn: 'bone',
    findings,
  };
}
