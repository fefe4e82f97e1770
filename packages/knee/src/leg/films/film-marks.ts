import type { Side } from '../../side.ts';
import type { FilmMark, FilmReading, Pixel, PixelSpacing } from './film.ts';
import { bendRoots, poseRoots, type Sight, type Start, scaleRoot, sightOf, sourceOf } from './film-pose.ts';
import { type FilmView2D, onFilm, placesOf, sightInputs } from './film-sight.ts';
import { type CanalHeights, canalHeights, type FilmBone, type Root, siteOfMark, siteRootsFor } from './film-sites.ts';
import type { PairObservation } from './film-solve.ts';
import { type Flat, laidOn } from './film-start.ts';
import { type FilmState, filmState, indexIn, placedSite } from './film-state.ts';
import { looseWay } from './loose-way.ts';
import { type MarkPlace, markPlace } from './mark-catalogue.ts';
import type { MarkSpreads } from './mark-spread.ts';

/** A film on its way to be solved: where each bone starts, and which way round the picture is. */
export interface StartedFilm {
  readonly film: number;
  readonly reading: FilmReading;
  readonly sight: Sight;
  /** 1 where lateral (from the side: front) lies at the right of the picture, else -1. */
  readonly handed: 1 | -1;
  readonly starts: ReadonlyMap<FilmBone, Start>;
  /** First guess of millimetres on the film for one of the bone. */
  readonly scale: number;
  /** How badly the marks lie on a usual leg this way round, and the other way; mm. Only of front films with enough marks. */
  readonly misfit: readonly [number, number] | undefined;
}

/** A mark as the solver sees it. */
export interface TakenMark {
  readonly film: StartedFilm;
  readonly mark: FilmMark;
  readonly place: MarkPlace;
  readonly observation: PairObservation;
}

const spacingOf = ({ scale }: FilmReading): PixelSpacing => (scale.kind === 'none' ? scale.aspect : scale.spacing);

/** A pixel as mm right and up of the film's middle. */
export function flatOf(reading: FilmReading, [column, row]: readonly [number, number]): Flat {
  const { rowMm, columnMm } = spacingOf(reading);
  return [(column - reading.columns / 2) * columnMm, (reading.rows / 2 - row) * rowMm];
}

/** The way back. */
function pixelOf(reading: FilmReading, [right, up]: Flat): readonly [number, number] {
  const { rowMm, columnMm } = spacingOf(reading);
  return [right / columnMm + reading.columns / 2, reading.rows / 2 - up / rowMm];
}

/**
 * A pixel as the solver takes it: mm lateral (from the side: forward) and up of the film's middle. Pictures are mirrored here,
 * on the way in, and between here and the way out every film is alike.
 */
export function intoFilm({ reading, handed }: Pick<StartedFilm, 'reading' | 'handed'>, pixel: Pixel): Flat {
  const [right, up] = flatOf(reading, pixel);
  return [handed * right, up];
}

/** The way back. */
export const outOfFilm = ({ reading, handed }: Pick<StartedFilm, 'reading' | 'handed'>, [forth, up]: Flat): Pixel =>
  pixelOf(reading, [handed * forth, up]);

/** Bones that a sight has poses for; a front film's tibia is told from its femur. */
const bonesOf: Readonly<Record<Sight, readonly FilmBone[]>> = {
  front: ['femur', 'tibia'],
  side: ['femur', 'tibia', 'patella'],
  along: ['patella'],
};

const noStart: Start = { spin: 0, across: 0, down: 0 };

/** Roots of films: poses, scales and heights of marks that only show a line. */
function filmRoots(films: readonly StartedFilm[], turnBend: readonly number[], heights: CanalHeights): readonly Root[] {
  return films.flatMap((f, k) => [
    scaleRoot(f.film, f.reading, f.scale),
    ...bonesOf[f.sight].flatMap((bone) => poseRoots(f.film, f.sight, bone, f.starts.get(bone) ?? noStart)),
    ...(f.sight === 'front' ? bendRoots(f.film, turnBend[k]!) : []),
    // Also of marks that are not placed yet: they can then be asked what they would tell.
    ...['femoralCanalLow', 'femoralCanalHigh', 'tibialCanalLow', 'tibialCanalHigh'].map(
      (name) => siteOfMark(name, f.film, heights)!.height!,
    ),
  ]);
}

/** The state that films are solved for. */
export const stateOf = (
  films: readonly StartedFilm[],
  turnBend: readonly number[],
  heights: CanalHeights = canalHeights(),
): FilmState =>
  filmState([
    ...siteRootsFor(
      films.map(({ reading }) => reading.marks.map((mark) => mark.name)),
      heights,
    ),
    ...filmRoots(films, turnBend, heights),
  ]);

export const viewOf = (film: StartedFilm): FilmView2D => ({
  sight: film.sight,
  sourceMm: sourceOf(film.reading),
});

const boneOf = (place: MarkPlace, film: number): FilmBone => siteOfMark(place.name, film)!.model.bone;

/** What a mark of a place on a film would be, as a function of the state. */
export function predictor(
  state: FilmState,
  film: StartedFilm,
  place: MarkPlace,
  about?: Flat,
): { readonly inputs: readonly number[]; readonly predict: (x: Float64Array) => Flat } {
  const { model } = siteOfMark(place.name, film.film)!;
  const site = placedSite(state, model);
  const inputs = sightInputs(state, film.film, film.sight, model.bone, film.reading.posture);
  const view = viewOf(film);
  return {
    inputs: [...new Set([...site.inputs, ...placesOf(inputs)])],
    predict: (x) => onFilm(view, model.bone, inputs, site, x, about),
  };
}

/** Covariance of a mark on its film, mm: xx, xy, yy. */
export function markCovariance(
  film: StartedFilm,
  place: MarkPlace,
  spreads: MarkSpreads,
  covPx2?: FilmMark['covPx2'],
): readonly [number, number, number] {
  if (covPx2) {
    const { rowMm, columnMm } = spacingOf(film.reading);
    return [covPx2[0][0] * columnMm ** 2, -film.handed * covPx2[0][1] * columnMm * rowMm, covPx2[1][1] * rowMm ** 2];
  }
  const { acrossMm, alongMm } = spreads[place.kind];
  const upright = looseWay(place, film.reading.view) === 'upright';
  const [x2, y2] = (upright ? [acrossMm, alongMm] : [alongMm, acrossMm]).map((sd) => (sd * film.scale) ** 2);
  const spin = film.starts.get(boneOf(place, film.film))?.spin ?? 0;
  const [c, s] = [Math.cos(spin), Math.sin(spin)];
  return [c * c * x2! + s * s * y2!, c * s * (x2! - y2!), s * s * x2! + c * c * y2!];
}

/** Every mark of a film that shows a bone. */
const placesMarked = (reading: FilmReading): readonly { readonly mark: FilmMark; readonly place: MarkPlace }[] =>
  reading.marks.flatMap((mark) => {
    const place = markPlace(mark.name);
    return place && place.on !== 'component' ? [{ mark, place }] : [];
  });

/** The marks of films as observations of their state, radii of circles among them. */
export function takenMarks(
  state: FilmState,
  films: readonly StartedFilm[],
  spreads: MarkSpreads,
): readonly TakenMark[] {
  return films.flatMap((film) =>
    placesMarked(film.reading).flatMap(({ mark, place }) => {
      const value = intoFilm(film, mark.pixel);
      const covariance = markCovariance(film, place, spreads, mark.covPx2);
      const seen: TakenMark = {
        film,
        mark,
        place,
        observation: { value, covariance, ...predictor(state, film, place, value) },
      };
      return mark.radiusPx === undefined ? [seen] : [seen, radiusOf(state, film, mark, place, covariance)];
    }),
  );
}

/** The radius of a head's circle, known as well as its centre. The solver takes pairs: the second number is nought and says nothing. */
function radiusOf(
  state: FilmState,
  film: StartedFilm,
  mark: FilmMark,
  place: MarkPlace,
  [xx, , yy]: readonly [number, number, number],
): TakenMark {
  const radius = indexIn(state, 'headRadius');
  const scale = indexIn(state, `${film.film}.scale`);
  return {
    film,
    mark,
    place,
    observation: {
      value: [mark.radiusPx! * spacingOf(film.reading).columnMm, 0],
      covariance: [Math.min(xx, yy), 0, 1],
      inputs: [radius, scale],
      predict: (x) => [x[radius]! * Math.exp(x[scale]!), 0],
    },
  };
}

/** @numerical Two marks fit any limb and its mirror image alike. */
const enoughToTell = 3;

/** Places bones on a film from its marks, as they lie on a usual leg; and says how well both ways round fit. */
export function startedFilm(reading: FilmReading, film: number, side: Side): StartedFilm {
  const sight = sightOf[reading.view];
  const right = side === 'right' ? -1 : 1;
  const shown = reading.mirrored ? (-right as 1 | -1) : right;
  // A usual leg on this film, before it is turned and shifted: the same for both ways round.
  const plain: StartedFilm = { film, reading, sight, handed: 1, starts: new Map(), scale: 1, misfit: undefined };
  const state = stateOf([plain], [0]);
  const x = Float64Array.from(state.mean);
  x[indexIn(state, `${film}.scale`)] = 0;
  const usual = placesMarked(reading).map(({ mark, place }) => ({
    bone: boneOf(place, film),
    loose: place.kind === 'canalMiddle',
    from: predictor(state, plain, place, [0, 0]).predict(x),
    pixel: mark.pixel,
  }));
  const ways = ([1, -1] as const).map((handed) => {
    const pairs = usual.map((mark) => ({ ...mark, to: intoFilm({ reading, handed }, mark.pixel) }));
    const lay = (chosen: typeof pairs) => {
      const firm = chosen.filter((pair) => !pair.loose);
      const taken = firm.length > 1 ? firm : chosen;
      return taken.length > 0
        ? {
            ...laidOn(
              taken.map((pair) => pair.from),
              taken.map((pair) => pair.to),
            ),
            count: taken.length,
          }
        : undefined;
    };
    const together = lay(pairs);
    const apart = bonesOf[sight].flatMap((bone) => {
      const laying = lay(pairs.filter((pair) => pair.bone === bone));
      return laying ? [{ bone, laying }] : [];
    });
    // A film from the front turns as a whole; from the side each bone lies by itself.
    const misfit =
      sight === 'front'
        ? (together?.misfit ?? 0)
        : Math.sqrt(apart.reduce((sum, { laying }) => sum + laying.misfit ** 2 * laying.count, 0));
    return { handed, together, apart, misfit, count: pairs.length };
  });
  const by = (handed: 1 | -1) => ways.find((way) => way.handed === handed)!;
  const chosen =
    sight === 'front' || by(1).misfit === by(-1).misfit
      ? by(shown)
      : ways[0]!.misfit < ways[1]!.misfit
        ? ways[0]!
        : ways[1]!;
  const scale =
    reading.scale.kind === 'bone'
      ? 1
      : Math.exp(scaleRoot(film, reading, chosen.together && chosen.count > 1 ? chosen.together.scale : 1).mean);
  const whole = chosen.together;
  const starts = new Map<FilmBone, Start>(
    chosen.apart.map(({ bone, laying }) => {
      const spin = sight === 'front' && whole ? whole.spin : laying.spin;
      return [bone, { spin, across: laying.shift[0], down: laying.shift[1] }];
    }),
  );
  if (sight === 'front' && whole) {
    for (const bone of bonesOf.front) {
      if (!starts.has(bone)) starts.set(bone, { spin: whole.spin, across: whole.shift[0], down: whole.shift[1] });
    }
  }
  return {
    film,
    reading,
    sight,
    handed: chosen.handed,
    starts,
    scale,
    misfit:
      sight === 'front' && chosen.count >= enoughToTell
        ? [by(shown).misfit, by(shown === 1 ? -1 : 1).misfit]
        : undefined,
  };
}
