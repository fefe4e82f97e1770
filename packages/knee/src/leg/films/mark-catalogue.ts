import type { FilmView } from './film.ts';

/** How a mark is found, which tells how far it may be off (`mark-spread.ts`). */
export type MarkKind = 'headCentre' | 'jointCentre' | 'contact' | 'prominence' | 'canalMiddle' | 'edge' | 'middle';

/** A place that can be marked on films of some views. */
export interface MarkPlace {
  readonly name: string;
  readonly on: 'femur' | 'tibia' | 'patella' | 'component';
  readonly kind: MarkKind;
  readonly views: readonly FilmView[];
  /** What to look for, in a line. */
  readonly says: string;
}

const front: readonly FilmView[] = ['long-leg', 'knee-front'];
const whole: readonly FilmView[] = ['long-leg', 'after-front'];
const side: readonly FilmView[] = ['knee-lateral'];
const shaftFront: readonly FilmView[] = ['long-leg', 'knee-front', 'after-front'];
const shaftAll: readonly FilmView[] = [...shaftFront, 'knee-lateral', 'after-lateral'];

/** Every mark there is, in the order of the limb from the hip down. */
export const markPlaces: readonly MarkPlace[] = [
  {
    name: 'hipCentre',
    on: 'femur',
    kind: 'headCentre',
    views: whole,
    says: 'centre of the femoral head: a circle through its rim',
  },
  {
    name: 'femoralCanalHigh',
    on: 'femur',
    kind: 'canalMiddle',
    views: shaftAll,
    says: 'middle of the femoral canal, high: half way between the cortices',
  },
  {
    name: 'femoralCanalLow',
    on: 'femur',
    kind: 'canalMiddle',
    views: shaftAll,
    says: 'middle of the femoral canal, low: half way between the cortices',
  },
  {
    name: 'anteriorCortex',
    on: 'femur',
    kind: 'edge',
    views: side,
    says: 'front cortex of the femur, 45 mm above its lowest point',
  },
  { name: 'epicondyleMedial', on: 'femur', kind: 'prominence', views: front, says: 'side point of the femur, medial' },
  {
    name: 'epicondyleLateral',
    on: 'femur',
    kind: 'prominence',
    views: front,
    says: 'side point of the femur, lateral',
  },
  {
    name: 'femurEdgeMedial',
    on: 'femur',
    kind: 'edge',
    views: front,
    says: 'medial edge of the femur, 9 mm above its lowest point',
  },
  {
    name: 'femurEdgeLateral',
    on: 'femur',
    kind: 'edge',
    views: front,
    says: 'lateral edge of the femur, 9 mm above its lowest point',
  },
  {
    name: 'femoralKneeCentre',
    on: 'femur',
    kind: 'jointCentre',
    views: [...front, 'after-front'],
    says: 'top of the notch, middle of the femur at the knee',
  },
  {
    name: 'distalMedial',
    on: 'femur',
    kind: 'contact',
    views: [...front, ...side],
    says: 'lowest point of the medial condyle',
  },
  {
    name: 'distalLateral',
    on: 'femur',
    kind: 'contact',
    views: [...front, ...side],
    says: 'lowest point of the lateral condyle',
  },
  { name: 'posteriorMedial', on: 'femur', kind: 'contact', views: side, says: 'rearmost point of the medial condyle' },
  {
    name: 'posteriorLateral',
    on: 'femur',
    kind: 'contact',
    views: side,
    says: 'rearmost point of the lateral condyle',
  },
  {
    name: 'patellaCentre',
    on: 'patella',
    kind: 'middle',
    views: front,
    says: 'middle of the outline of the kneecap: tells how the limb was turned',
  },
  { name: 'patellaFront', on: 'patella', kind: 'edge', views: ['skyline', ...side], says: 'front of the kneecap' },
  {
    name: 'patellaRear',
    on: 'patella',
    kind: 'edge',
    views: ['skyline', ...side],
    says: 'ridge at the back of the kneecap',
  },
  { name: 'patellaEdgeMedial', on: 'patella', kind: 'edge', views: ['skyline'], says: 'medial edge of the kneecap' },
  { name: 'patellaEdgeLateral', on: 'patella', kind: 'edge', views: ['skyline'], says: 'lateral edge of the kneecap' },
  {
    name: 'tibialKneeCentre',
    on: 'tibia',
    kind: 'jointCentre',
    views: [...front, 'after-front'],
    says: 'middle between the two spines of the tibia',
  },
  {
    name: 'plateauMedial',
    on: 'tibia',
    kind: 'contact',
    views: front,
    says: 'middle of the medial plateau, on the subchondral line',
  },
  {
    name: 'plateauLateral',
    on: 'tibia',
    kind: 'contact',
    views: front,
    says: 'middle of the lateral plateau, on the subchondral line',
  },
  { name: 'medialRimFront', on: 'tibia', kind: 'contact', views: side, says: 'front rim of the medial plateau' },
  { name: 'medialRimRear', on: 'tibia', kind: 'contact', views: side, says: 'rear rim of the medial plateau' },
  {
    name: 'tibiaEdgeMedial',
    on: 'tibia',
    kind: 'edge',
    views: front,
    says: 'medial edge of the tibia, 10 mm below the plateau',
  },
  {
    name: 'tibiaEdgeLateral',
    on: 'tibia',
    kind: 'edge',
    views: front,
    says: 'lateral edge of the tibia, 10 mm below the plateau',
  },
  {
    name: 'tibiaEdgeFront',
    on: 'tibia',
    kind: 'edge',
    views: side,
    says: 'front edge of the tibia, 10 mm below the plateau',
  },
  {
    name: 'tibiaEdgeRear',
    on: 'tibia',
    kind: 'edge',
    views: side,
    says: 'rear edge of the tibia, 10 mm below the plateau',
  },
  {
    name: 'fibulaHead',
    on: 'tibia',
    kind: 'prominence',
    views: front,
    says: 'top of the head of the fibula: tells how the limb was turned',
  },
  { name: 'tubercle', on: 'tibia', kind: 'prominence', views: side, says: 'foremost point of the tubercle' },
  { name: 'crestUpper', on: 'tibia', kind: 'edge', views: side, says: 'front of the shin, a quarter of the way down' },
  {
    name: 'crestLower',
    on: 'tibia',
    kind: 'edge',
    views: side,
    says: 'front of the shin, three fifths of the way down',
  },
  {
    name: 'tibialCanalHigh',
    on: 'tibia',
    kind: 'canalMiddle',
    views: shaftAll,
    says: 'middle of the tibial canal, high: half way between the cortices',
  },
  {
    name: 'tibialCanalLow',
    on: 'tibia',
    kind: 'canalMiddle',
    views: shaftAll,
    says: 'middle of the tibial canal, low: half way between the cortices',
  },
  {
    name: 'malleolusMedial',
    on: 'tibia',
    kind: 'prominence',
    views: whole,
    says: 'medial malleolus, its most medial point',
  },
  {
    name: 'malleolusLateral',
    on: 'tibia',
    kind: 'prominence',
    views: whole,
    says: 'lateral malleolus, its most lateral point',
  },
  {
    name: 'plafondCentre',
    on: 'tibia',
    kind: 'jointCentre',
    views: whole,
    says: 'middle of the joint surface of the tibia at the ankle',
  },
  {
    name: 'componentDistalMedial',
    on: 'component',
    kind: 'contact',
    views: ['after-front'],
    says: 'lowest point of the femoral component, medial',
  },
  {
    name: 'componentDistalLateral',
    on: 'component',
    kind: 'contact',
    views: ['after-front'],
    says: 'lowest point of the femoral component, lateral',
  },
  {
    name: 'trayMedial',
    on: 'component',
    kind: 'contact',
    views: ['after-front'],
    says: 'medial end of the underside of the tray',
  },
  {
    name: 'trayLateral',
    on: 'component',
    kind: 'contact',
    views: ['after-front'],
    says: 'lateral end of the underside of the tray',
  },
  {
    name: 'componentDistalFront',
    on: 'component',
    kind: 'contact',
    views: ['after-lateral'],
    says: 'distal inner face of the femoral component, front end',
  },
  {
    name: 'componentDistalRear',
    on: 'component',
    kind: 'contact',
    views: ['after-lateral'],
    says: 'distal inner face of the femoral component, rear end',
  },
  {
    name: 'trayFront',
    on: 'component',
    kind: 'contact',
    views: ['after-lateral'],
    says: 'front end of the underside of the tray',
  },
  {
    name: 'trayRear',
    on: 'component',
    kind: 'contact',
    views: ['after-lateral'],
    says: 'rear end of the underside of the tray',
  },
];

/** The marks of a view, from the hip down. */
export const marksOfView = (view: FilmView): readonly MarkPlace[] =>
  markPlaces.filter((place) => place.views.includes(view));

const byName = new Map(markPlaces.map((place) => [place.name, place]));

/** The place of a mark's name; `undefined` for a name that is none. */
export const markPlace = (name: string): MarkPlace | undefined => byName.get(name);
