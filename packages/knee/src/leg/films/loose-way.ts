import type { FilmView } from './film.ts';
import type { MarkPlace } from './mark-catalogue.ts';

/**
 * Marks whose loose way is the long axis of the bone, seen from front or side: on a side of it, or in its canal. All others
 * lie on flat ends and are loose square to it. A centre is loose both ways alike.
 */
const looseUpAndDown: readonly string[] = [
  'femoralCanalHigh',
  'femoralCanalLow',
  'anteriorCortex',
  'epicondyleMedial',
  'epicondyleLateral',
  'femurEdgeMedial',
  'femurEdgeLateral',
  'posteriorMedial',
  'posteriorLateral',
  'patellaFront',
  'patellaRear',
  'tibiaEdgeMedial',
  'tibiaEdgeLateral',
  'tibiaEdgeFront',
  'tibiaEdgeRear',
  'tubercle',
  'crestUpper',
  'crestLower',
  'tibialCanalHigh',
  'tibialCanalLow',
  'malleolusMedial',
  'malleolusLateral',
];

/** Whether a mark is loose along the long axis of its bone (`upright`) or square to it (`level`), as seen on a film. */
export function looseWay(place: MarkPlace, view: FilmView): 'upright' | 'level' {
  // Seen along the limb, front and back of the kneecap are loose sideways and its edges front to back.
  if (view === 'skyline') return place.name.startsWith('patellaEdge') ? 'upright' : 'level';
  return looseUpAndDown.includes(place.name) ? 'upright' : 'level';
}
