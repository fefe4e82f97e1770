import type { Posture } from './film.ts';
import type { Wanted } from './film-questions.ts';
import { limbVarusOf } from './film-sites.ts';
import { type FilmState, indexIn } from './film-state.ts';

/** Angles that marks are placed for, as functions of the state that films are solved for; radians. */
export function wantedAngles(state: FilmState, posture: Posture): readonly Wanted[] {
  const lean = (name: string, root: string): Wanted => {
    const at = indexIn(state, root);
    return { name, inputs: [at], value: (x) => Math.atan(x[at]!) };
  };
  const varus = indexIn(state, limbVarusOf(posture));
  return [
    { name: 'HKA', inputs: [varus], value: (x) => x[varus]! },
    lean('LDFA', 'distalTilt'),
    lean('MPTA', 'plateauTilt'),
    lean('shaftMechanical', 'shaftLean'),
    lean('slope', 'slope'),
  ];
}
