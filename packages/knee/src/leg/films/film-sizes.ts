import type { FilmReading } from './film.ts';

/** Sizes and the marks that tell them: all of one list, seen on one film. */
const toldBy: Readonly<Record<string, readonly (readonly string[])[]>> = {
  femurWidth: [['femurEdgeMedial', 'femurEdgeLateral']],
  tibiaWidth: [['tibiaEdgeMedial', 'tibiaEdgeLateral']],
  tibiaDepth: [['tibiaEdgeFront', 'tibiaEdgeRear']],
  cortexDepth: [
    ['anteriorCortex', 'posteriorMedial'],
    ['anteriorCortex', 'posteriorLateral'],
  ],
  patellaThickness: [['patellaFront', 'patellaRear']],
  patellaWidth: [['patellaEdgeMedial', 'patellaEdgeLateral']],
  femurLength: [['hipCentre', 'femoralKneeCentre']],
  tibiaLength: [
    ['tibialKneeCentre', 'plafondCentre'],
    ['tibialKneeCentre', 'malleolusMedial', 'malleolusLateral'],
  ],
  distalSpacing: [['distalMedial', 'distalLateral']],
  plateauSpacing: [['plateauMedial', 'plateauLateral']],
};

export const sizes = [...Object.keys(toldBy), 'headRadius'] as const;

/** Whether a size was marked on a film that is calibrated, on one that is not, or not at all. */
export function sizeSeen(size: string, films: readonly FilmReading[]): 'calibrated' | 'uncalibrated' | 'not' {
  const shows = (film: FilmReading): boolean =>
    size === 'headRadius'
      ? film.marks.some((mark) => mark.radiusPx !== undefined)
      : toldBy[size]!.some((marks) => marks.every((name) => film.marks.some((mark) => mark.name === name)));
  const on = films.filter(shows);
  if (on.some((film) => film.scale.kind === 'bone')) return 'calibrated';
  return on.length > 0 ? 'uncalibrated' : 'not';
}
