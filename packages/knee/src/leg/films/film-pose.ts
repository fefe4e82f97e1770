import { inside } from '../../quantity.ts';
import type { FilmReading, FilmView } from './film.ts';
import { filmDefaults } from './film-defaults.ts';
import type { FilmBone, Root } from './film-sites.ts';

/** How a bone is seen: from the front, from the side, or along the limb. */
export type Sight = 'front' | 'side' | 'along';

export const sightOf: Readonly<Record<FilmView, Sight>> = {
  'long-leg': 'front',
  'knee-front': 'front',
  'knee-lateral': 'side',
  skyline: 'along',
  'after-front': 'front',
  'after-lateral': 'side',
};

/** Numbers of one bone's pose on one film; radians and mm on the film. */
export const poseParts = ['turn', 'tilt', 'spin', 'across', 'down'] as const;
export type PosePart = (typeof poseParts)[number];

export const poseName = (film: number, bone: FilmBone, part: PosePart): string => `${film}.${bone}.${part}`;
export const filmName = (film: number, part: 'scale' | 'bend' | 'turnBend'): string => `${film}.${part}`;

/** @numerical A place on the film is unknown by this much before anything is marked, mm. */
const anywhereMm = 500;
/** @numerical The picture may be turned by this much from where the marks themselves put it, radians. */
const anyhow = 0.6;

/** @numerical Where a film says only pixels its scale is unknown by this share from what the marks make it. */
const anySize = 0.3;

/** Where a bone is taken to lie before it is solved, from its marks alone: radians and mm on the film. */
export interface Start {
  readonly spin: number;
  readonly across: number;
  readonly down: number;
}

/** Roots of one bone's pose on a film. A tibia seen from the front is turned and tilted with its femur. */
export function poseRoots(film: number, sight: Sight, bone: FilmBone, start: Start): readonly Root[] {
  const { turn, lean, tibialTurn, sideTurn, sideTilt } = filmDefaults;
  const angle = (part: 'turn' | 'tilt', of: { readonly mean: number; readonly sd: number }): Root => ({
    name: poseName(film, bone, part),
    mean: inside(of.mean, 'deg'),
    sd: inside(of.sd, 'deg'),
  });
  const place: readonly Root[] = [
    { name: poseName(film, bone, 'across'), mean: start.across, sd: anywhereMm },
    { name: poseName(film, bone, 'down'), mean: start.down, sd: anywhereMm },
  ];
  const spin: Root = { name: poseName(film, bone, 'spin'), mean: start.spin, sd: anyhow };
  if (bone === 'patella') return [spin, ...place];
  if (sight === 'side') return [angle('turn', sideTurn), angle('tilt', sideTilt), spin, ...place];
  return bone === 'femur'
    ? [angle('turn', turn), angle('tilt', lean), spin, ...place]
    : [angle('turn', tibialTurn), ...place];
}

/** Roots of a front film that shows a tibia: how far the knee is bent, and what turn and bend do together. */
export const bendRoots = (film: number, turnBend: number): readonly Root[] => [
  {
    name: filmName(film, 'bend'),
    mean: inside(filmDefaults.bend.mean, 'deg'),
    sd: inside(filmDefaults.bend.sd, 'deg'),
  },
  { name: filmName(film, 'turnBend'), mean: 0, sd: turnBend },
];

/** Root of a film's scale: logarithm of millimetres on the film for one of the bone. */
export function scaleRoot(film: number, reading: FilmReading, guess: number): Root {
  const name = filmName(film, 'scale');
  const { scale } = reading;
  if (scale.kind === 'bone') return { name, mean: 0, sd: Math.max(scale.sd, 1e-6) };
  if (scale.kind === 'detector') {
    const usual = sightOf[reading.view] === 'front' ? filmDefaults.frontMagnification : filmDefaults.sideMagnification;
    return { name, mean: Math.log(usual.mean), sd: usual.sd / usual.mean };
  }
  return { name, mean: Math.log(guess), sd: anySize };
}

/** Source to bone in mm of the bone's plane: perspective of depth. */
export const sourceOf = (reading: FilmReading): number =>
  reading.sourceMm ??
  (reading.view === 'long-leg' || reading.view === 'after-front'
    ? filmDefaults.longSource.value
    : filmDefaults.kneeSource.value);
