import { doubt, err, type Finding, info, ok, type Result } from '@kerfline/geometry';
import { fisherShares } from '@kerfline/uncertainty';
import { type ScalarDefault, workingDefault } from '../../defaults/clinical-default.ts';
import { type Refusal, refusal } from '../../refusal.ts';
import type { FilmMark, FilmView, PixelSpacing } from './film.ts';
import { along, middleOf, type OnFilm, onFilm, sizeOf, stepTo } from './film-plane.ts';
import { looseWay } from './loose-way.ts';
import { type MarkKind, type MarkPlace, markPlace } from './mark-catalogue.ts';

/** How repeated marks are judged. */
export const markRepeatDefaults = {
  leastPairs: {
    name: 'Repeated marks: pairs asked for',
    value: 5,
    unit: 'count',
    usedFor: 'a spread from fewer pairs of one kind is shown but not used',
    source: workingDefault,
  },
  oddChance: {
    name: 'Repeated marks: odd place',
    value: 0.01,
    unit: 'share',
    usedFor: 'a place is named when repeats as far apart had less than this chance among all places of its kind',
    source: workingDefault,
  },
} as const satisfies Readonly<Record<string, ScalarDefault>>;

/** One film, marked two or more times by one person who did not see the marks of before. */
export interface RepeatedFilm {
  /** Names the film in findings. */
  readonly id: string;
  readonly view: FilmView;
  /** mm of a pixel, in the plane whose mm are wanted. */
  readonly spacing: PixelSpacing;
  readonly repeats: readonly (readonly Pick<FilmMark, 'name' | 'pixel'>[])[];
}

/** How marks of one kind repeat: one standard deviation of one mark within one person. */
export interface KindRepeats {
  readonly acrossMm: number;
  readonly alongMm: number;
  /** Degrees of freedom: markings beyond the first of each place on each film; with two repeats the number of pairs. */
  readonly pairs: number;
  /** Places on films that were marked at least twice. */
  readonly places: number;
  /** Whether there are pairs enough, and a spread at all. */
  readonly used: boolean;
}

export interface MarkRepeats {
  readonly kinds: Readonly<Partial<Record<MarkKind, KindRepeats>>>;
  readonly findings: readonly Finding[];
}

/** Squares about their mean of the repeats of one place on one film. */
interface PlaceRepeats {
  readonly place: MarkPlace;
  readonly film: string;
  readonly freedom: number;
  readonly across: number;
  readonly along: number;
  /** Largest distance between two of them. */
  readonly apartMm: number;
}

const unit = (step: OnFilm): OnFilm => [step[0] / sizeOf(step), step[1] / sizeOf(step)];

/** Marks whose line, first to second, is the long axis of a bone on a film; the first pair that is marked counts. */
const axisMarks = {
  femur: [
    ['femoralKneeCentre', 'hipCentre'],
    ['femoralCanalLow', 'femoralCanalHigh'],
  ],
  tibia: [
    ['plafondCentre', 'tibialKneeCentre'],
    ['tibialCanalLow', 'tibialCanalHigh'],
  ],
} as const;

/** The way up a bone on a film: along its axis as marked, or along the film. A canal is followed by its own two marks. */
function upright(place: MarkPlace, at: ReadonlyMap<string, OnFilm>): OnFilm {
  const film: OnFilm = [0, -1];
  if (place.on !== 'femur' && place.on !== 'tibia') return film;
  const lines = axisMarks[place.on];
  const pairs = place.kind === 'canalMiddle' ? [lines[1]] : lines;
  for (const [low, high] of pairs) {
    const [from, to] = [at.get(low), at.get(high)];
    if (from && to && sizeOf(stepTo(to, from)) > 0) return unit(stepTo(to, from));
  }
  return film;
}

/** All faults of a film's repeats, not the first. */
function faultsOf({ id, view, spacing, repeats }: RepeatedFilm): readonly Refusal[] {
  const faults: Refusal[] = [];
  if (!(spacing.rowMm > 0 && spacing.columnMm > 0)) {
    faults.push(
      refusal('bad-spacing', `${id}: a pixel of ${spacing.columnMm} x ${spacing.rowMm} mm; both must be above 0.`),
    );
  }
  if (repeats.length < 2) {
    faults.push(refusal('too-few-repeats', `${id} is marked ${repeats.length} times; at least 2 are needed.`));
  }
  repeats.forEach((marks, k) => {
    const seen = new Set<string>();
    for (const { name, pixel } of marks) {
      const place = markPlace(name);
      const where = `${id}, marking ${k + 1}: ${name}`;
      if (!place) faults.push(refusal('unknown-mark', `${where} is no mark that is known.`));
      else if (!place.views.includes(view)) {
        faults.push(refusal('mark-of-another-view', `${where} is not seen on a ${view} film.`));
      }
      if (!pixel.every(Number.isFinite)) faults.push(refusal('bad-mark', `${where} lies at ${pixel.join(', ')}.`));
      if (seen.has(name)) faults.push(refusal('marked-twice', `${where} is there twice.`));
      seen.add(name);
    }
    const earlier = repeats.slice(0, k).findIndex((other) => sameMarks(other, marks));
    if (earlier >= 0) {
      faults.push(
        refusal(
          'same-marks',
          `${id}: markings ${earlier + 1} and ${k + 1} are the same to the last digit, so that they are no repeat.`,
        ),
      );
    }
  });
  return faults;
}

function sameMarks(first: RepeatedFilm['repeats'][number], second: RepeatedFilm['repeats'][number]): boolean {
  const at = new Map(first.map(({ name, pixel }) => [name, pixel]));
  const common = second.filter(({ name }) => at.has(name));
  return (
    common.length > 0 &&
    common.every(({ name, pixel }) => pixel[0] === at.get(name)![0] && pixel[1] === at.get(name)![1])
  );
}

function placesOf({ id, view, spacing, repeats }: RepeatedFilm): readonly PlaceRepeats[] {
  const byName = new Map<string, OnFilm[]>();
  for (const { name, pixel } of repeats.flat()) {
    byName.set(name, [...(byName.get(name) ?? []), onFilm(pixel, spacing)]);
  }
  const middles = new Map([...byName].map(([name, at]) => [name, middleOf(at)]));
  return [...byName]
    .filter(([, at]) => at.length > 1)
    .map(([name, at]) => {
      const place = markPlace(name)!;
      const up = upright(place, middles);
      const level: OnFilm = [-up[1], up[0]];
      const [loose, firm] = looseWay(place, view) === 'upright' ? [up, level] : [level, up];
      const off = at.map((p) => stepTo(p, middles.get(name)!));
      const squares = (way: OnFilm): number => off.reduce((sum, d) => sum + along(d, way) ** 2, 0);
      return {
        place,
        film: id,
        freedom: at.length - 1,
        across: squares(firm),
        along: squares(loose),
        apartMm: Math.max(...at.flatMap((p) => at.map((q) => sizeOf(stepTo(p, q))))),
      };
    });
}

const total = (groups: readonly PlaceRepeats[], of: 'freedom' | 'across' | 'along'): number =>
  groups.reduce((sum, group) => sum + group[of], 0);

/** Places whose repeats lie farther apart than those of their kind let expect: a slip, or another place taken for it. */
function oddPlaces(groups: readonly PlaceRepeats[]): readonly Finding[] {
  return groups.flatMap((group) => {
    const others = groups.filter((other) => other !== group);
    const freedom = total(others, 'freedom');
    if (freedom < markRepeatDefaults.leastPairs.value - 1) return [];
    // Both ways of every place are looked at.
    const chance = markRepeatDefaults.oddChance.value / (2 * groups.length);
    const odd = (['across', 'along'] as const).some((way) => {
      const ratio = group[way] / group.freedom / (total(others, way) / freedom);
      return fisherShares(ratio, group.freedom, freedom).above < chance;
    });
    if (!odd) return [];
    return doubt(
      'far-apart',
      `${group.film}: ${group.place.name} (${group.place.says}) was marked ${group.apartMm.toFixed(1)} mm apart, far more than the others of its kind. Was it the same place? It is counted as it is.`,
    );
  });
}

/**
 * How well one person marks: the spread of repeated marks within each place on each film, pooled by kind.
 *
 * `across` is square to the surface or shaft that the mark lies on, `along` the way it is loose (`looseWay`), both turned
 * with the axis of the bone where that is marked. A shift between the first and the second marking counts as spread.
 *
 * @returns spreads in mm; findings for kinds with too few pairs or no spread, for odd places, and for places marked once; or
 *   every fault of the input
 * @source within-subject sd: Bland and Altman, Lancet 1986;i:307-310
 */
export function markRepeats(films: readonly RepeatedFilm[]): Result<MarkRepeats, readonly Refusal[]> {
  const faults = films.flatMap(faultsOf);
  if (films.length === 0) faults.push(refusal('too-few-repeats', 'There are 0 films; at least 1 is needed.'));
  if (faults.length > 0) return err(faults);
  const groups = films.flatMap(placesOf);
  if (groups.length === 0) {
    return err([refusal('too-few-repeats', 'No place is marked twice on one film; at least 1 is needed.')]);
  }
  const findings: Finding[] = [];
  const kinds: Partial<Record<MarkKind, KindRepeats>> = {};
  for (const kind of new Set(groups.map((group) => group.place.kind))) {
    const ofKind = groups.filter((group) => group.place.kind === kind);
    const pairs = total(ofKind, 'freedom');
    const acrossMm = Math.sqrt(total(ofKind, 'across') / pairs);
    const alongMm = Math.sqrt(total(ofKind, 'along') / pairs);
    const enough = pairs >= markRepeatDefaults.leastPairs.value;
    const spreads = acrossMm > 0 && alongMm > 0;
    kinds[kind] = { acrossMm, alongMm, pairs, places: ofKind.length, used: enough && spreads };
    if (!enough) {
      findings.push(
        doubt(
          'few-pairs',
          `Marks of kind ${kind}: ${pairs} ${pairs === 1 ? 'pair' : 'pairs'}; at least ${markRepeatDefaults.leastPairs.value} are needed. The spread is shown but not used.`,
        ),
      );
    } else if (!spreads) {
      findings.push(
        doubt(
          'no-spread',
          `Marks of kind ${kind} did not move at all ${acrossMm > 0 ? 'along' : 'across'}; a spread of nothing is not used. Were they placed anew?`,
        ),
      );
    }
    findings.push(...oddPlaces(ofKind));
  }
  for (const film of films) findings.push(...markedOnce(film));
  return ok({ kinds, findings });
}

function markedOnce({ id, repeats }: RepeatedFilm): readonly Finding[] {
  const names = repeats.flat().map(({ name }) => name);
  const once = names.filter((name) => names.indexOf(name) === names.lastIndexOf(name));
  return once.length === 0 ? [] : [info('marked-once', `${id}: marked only once and passed over: ${once.join(', ')}.`)];
}
