import { type FilmView, markPlace, type Posture } from '@kerfline/knee';

const words: Readonly<Record<string, string>> = {
  hipCentre: 'head centre',
  femoralCanalHigh: 'femur canal, upper',
  femoralCanalLow: 'femur canal, lower',
  anteriorCortex: 'front cortex',
  epicondyleMedial: 'side point M',
  epicondyleLateral: 'side point L',
  femurEdgeMedial: 'femur edge M',
  femurEdgeLateral: 'femur edge L',
  femoralKneeCentre: 'knee centre, femur',
  distalMedial: 'distal M',
  distalLateral: 'distal L',
  posteriorMedial: 'rear M',
  posteriorLateral: 'rear L',
  patellaCentre: 'kneecap middle',
  patellaFront: 'kneecap front',
  patellaRear: 'kneecap rear',
  patellaEdgeMedial: 'kneecap edge M',
  patellaEdgeLateral: 'kneecap edge L',
  tibialKneeCentre: 'knee centre, tibia',
  plateauMedial: 'plateau M',
  plateauLateral: 'plateau L',
  medialRimFront: 'front rim M',
  medialRimRear: 'rear rim M',
  tibiaEdgeMedial: 'tibia edge M',
  tibiaEdgeLateral: 'tibia edge L',
  tibiaEdgeFront: 'tibia edge, front',
  tibiaEdgeRear: 'tibia edge, rear',
  fibulaHead: 'fibula head',
  tubercle: 'tubercle',
  crestUpper: 'crest, upper',
  crestLower: 'crest, lower',
  tibialCanalHigh: 'tibia canal, upper',
  tibialCanalLow: 'tibia canal, lower',
  malleolusMedial: 'malleolus M',
  malleolusLateral: 'malleolus L',
  plafondCentre: 'ankle centre',
  componentDistalMedial: 'femoral part M',
  componentDistalLateral: 'femoral part L',
  trayMedial: 'tray M',
  trayLateral: 'tray L',
  componentDistalFront: 'femoral part, front',
  componentDistalRear: 'femoral part, rear',
  trayFront: 'tray, front',
  trayRear: 'tray, rear',
};

/** A mark's name in two or three words. */
export const markWord = (name: string): string => words[name] ?? name;

const anyMark = new RegExp(`\\b(${Object.keys(words).join('|')})\\b`, 'g');

/** A sentence that speaks of marks by their code names, in the words of the page. */
export const namedMarks = (sentence: string): string => sentence.replace(anyMark, (name) => markWord(name));

/** What to look for, in a line. */
export const markSays = (name: string): string => markPlace(name)?.says ?? name;

export const viewWords: Readonly<Record<FilmView, string>> = {
  'long-leg': 'Long leg, front',
  'knee-front': 'Knee, front',
  'knee-lateral': 'Knee, side',
  skyline: 'Kneecap, skyline',
  'after-front': 'After, front',
  'after-lateral': 'After, side',
};

export const postureWords: Readonly<Record<Posture, string>> = {
  standing: 'standing',
  lying: 'lying',
  notStated: 'posture not stated',
};

/** Quantities that the marks are placed for: their letters where they have any, else words. */
export const quantityWord = (name: string): string =>
  name === 'shaftMechanical' ? 'shaft to axis' : name === 'clinicalHKA' ? 'HKA' : name;
