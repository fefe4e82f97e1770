import type { Posture } from './film.ts';
import { filmName, poseName, type Sight } from './film-pose.ts';
import { type FilmBone, limbVarusOf } from './film-sites.ts';
import { coordinate, type FilmState, indexIn, type PlacedSite } from './film-state.ts';

/** Places in the state of what says how a bone lies on a film; -1 where it has none. */
export interface SightInputs {
  readonly turn: number;
  readonly tilt: number;
  readonly spin: number;
  readonly across: number;
  readonly down: number;
  readonly scale: number;
  /** Of a tibia seen from the front: turned against the femur, limb varus, bend, and turn times bend. */
  readonly tibia:
    | {
        readonly turn: number;
        readonly varus: number;
        readonly bend: number;
        readonly turnBend: number;
      }
    | undefined;
}

/** The places of a bone's pose in the state of its films. */
export function sightInputs(
  state: FilmState,
  film: number,
  sight: Sight,
  bone: FilmBone,
  posture: Posture,
): SightInputs {
  const of = (part: 'turn' | 'tilt' | 'spin' | 'across' | 'down', whose: FilmBone): number =>
    indexIn(state, poseName(film, whose, part));
  const scale = indexIn(state, filmName(film, 'scale'));
  const place = { across: of('across', bone), down: of('down', bone), scale };
  if (bone === 'patella') return { turn: -1, tilt: -1, spin: of('spin', bone), ...place, tibia: undefined };
  const withFemur = sight === 'front' ? 'femur' : bone;
  const whole = { turn: of('turn', withFemur), tilt: of('tilt', withFemur), spin: of('spin', withFemur), ...place };
  if (sight !== 'front' || bone === 'femur') return { ...whole, tibia: undefined };
  return {
    ...whole,
    tibia: {
      turn: of('turn', 'tibia'),
      varus: indexIn(state, limbVarusOf(posture)),
      bend: indexIn(state, filmName(film, 'bend')),
      turnBend: indexIn(state, filmName(film, 'turnBend')),
    },
  };
}

export const placesOf = (inputs: SightInputs): readonly number[] =>
  [
    inputs.turn,
    inputs.tilt,
    inputs.spin,
    inputs.across,
    inputs.down,
    inputs.scale,
    ...(inputs.tibia ? Object.values(inputs.tibia) : []),
  ].filter((place) => place >= 0);

/** What a film's geometry adds to a bone's pose. */
export interface FilmView2D {
  readonly sight: Sight;
  /** Source to bone, mm of the bone's plane. */
  readonly sourceMm: number;
}

/**
 * Where a site is seen on the film, mm lateral (from the side: forward) and up, before perspective, and how far it lies towards the source, mm.
 * Turn and tilt are rotations of the bone about its own axes: turn external about P, tilt about L (front) or A (side).
 */
function seen(
  view: FilmView2D,
  bone: FilmBone,
  inputs: SightInputs,
  site: PlacedSite,
  x: Float64Array,
): readonly [right: number, up: number, towards: number] {
  const l0 = coordinate(site, 0, x);
  const a0 = coordinate(site, 1, x);
  const p0 = coordinate(site, 2, x);
  if (view.sight === 'along') return [l0, a0, p0];
  if (bone === 'patella') return [a0, p0, -l0];
  // A turn takes front to lateral; a tilt, a bend or a varus takes the upper end forward or lateral.
  if (view.sight === 'side') {
    const [ct, st] = [Math.cos(x[inputs.tilt]!), Math.sin(x[inputs.tilt]!)];
    const [c, s] = [Math.cos(x[inputs.turn]!), Math.sin(x[inputs.turn]!)];
    const l = l0 * ct + p0 * st;
    return [a0 * c - l * s, p0 * ct - l0 * st, -(l * c + a0 * s)];
  }
  let l = l0;
  let a = a0;
  let p = p0;
  if (inputs.tibia) {
    const [co, so] = [Math.cos(x[inputs.tibia.turn]!), Math.sin(x[inputs.tibia.turn]!)];
    const [cv, sv] = [Math.cos(x[inputs.tibia.varus]!), Math.sin(x[inputs.tibia.varus]!)];
    const [cb, sb] = [Math.cos(x[inputs.tibia.bend]!), Math.sin(x[inputs.tibia.bend]!)];
    const turned = l0 * co + a0 * so;
    const front = a0 * co - l0 * so;
    l = turned * cv + p0 * sv;
    const up = p0 * cv - turned * sv;
    a = front * cb + up * sb;
    p = up * cb - front * sb;
  }
  const [c, s] = [Math.cos(x[inputs.turn]!), Math.sin(x[inputs.turn]!)];
  const [ct, st] = [Math.cos(x[inputs.tilt]!), Math.sin(x[inputs.tilt]!)];
  const front = a * c - l * s;
  const lateral = l * c + a * s + (inputs.tibia ? x[inputs.tibia.turnBend]! * p0 : 0);
  return [lateral, p * ct - front * st, front * ct + p * st];
}

/**
 * A site's place on the film, mm lateral (from the side: forward) and up of the film's middle, as the source sees it.
 *
 * @param about where on the film perspective is taken: the mark itself, or where it is expected
 */
export function onFilm(
  view: FilmView2D,
  bone: FilmBone,
  inputs: SightInputs,
  site: PlacedSite,
  x: Float64Array,
  about?: readonly [number, number],
): readonly [right: number, up: number] {
  const [right, up, towards] = seen(view, bone, inputs, site, x);
  const spin = x[inputs.spin]!;
  const scale = Math.exp(x[inputs.scale]!);
  const c = Math.cos(spin);
  const s = Math.sin(spin);
  const flat = [
    scale * (right * c - up * s) + x[inputs.across]!,
    scale * (right * s + up * c) + x[inputs.down]!,
  ] as const;
  const from = about ?? flat;
  return [flat[0] + (from[0] * towards) / view.sourceMm, flat[1] + (from[1] * towards) / view.sourceMm];
}
