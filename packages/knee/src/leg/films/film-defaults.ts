import {
  fromMemory,
  type MeanDefault,
  type RangeDefault,
  type ScalarDefault,
  workingDefault,
} from '../../defaults/clinical-default.ts';

const film = (
  name: string,
  unit: 'deg' | 'share' | 'mm',
  mean: number,
  sd: number,
  usedFor: string,
  source: string,
  sdSource?: string,
): MeanDefault => ({
  name: `Films: ${name}`,
  unit,
  mean,
  sd,
  usedFor,
  source,
  ...(sdSource === undefined ? {} : { sdSource }),
});

const limit = (name: string, unit: 'deg' | 'sd' | 'share' | 'mm', value: number, usedFor: string): ScalarDefault => ({
  name: `Films: ${name}`,
  unit,
  value,
  usedFor,
  source: workingDefault,
});

const marked = 'Acta Radiol Open 2022 (20584601221096297, abstract): knee films of 80 patients';

/** What is believed of how a film was taken before anything is marked on it, and from when on it is said to be doubtful. */
export const filmDefaults = {
  turn: film(
    'limb turned',
    'deg',
    0,
    10,
    'how far the rear condyle line of a front film may be turned against the detector; kneecap and fibula narrow it',
    workingDefault,
  ),
  bend: film('knee bent', 'deg', 5, 6, 'how far the knee of a front film may be bent', workingDefault),
  tibialTurn: film(
    'tibia turned against femur',
    'deg',
    5,
    8,
    'side-to-side line of the plateau against the rear condyle line; external',
    workingDefault,
  ),
  lean: film('femur leaning', 'deg', 0, 1.5, 'femur out of the plane of a front film', workingDefault),
  sideTurn: film('side view turned', 'deg', 0, 5, 'turn of a bone about its long axis on a side film', workingDefault),
  sideTilt: film('side view tilted', 'deg', 0, 4, 'tilt of a bone out of the plane of a side film', workingDefault),
  limbVarus: film(
    'limb varus before a film',
    'deg',
    2.9,
    7.4,
    'what a limb angle is before marks say it',
    'MacDessi, Bone Jt Open 2021;2(5) (abstract): arthritic mHKA -2.88 +/- 7.39',
  ),
  frontMagnification: film(
    'magnification of front views',
    'share',
    1.153,
    0.04,
    'a film measured at the detector; sizes are refused all the same',
    marked,
    workingDefault,
  ),
  sideMagnification: film(
    'magnification of side views',
    'share',
    1.121,
    0.04,
    'a film measured at the detector; sizes are refused all the same',
    marked,
    workingDefault,
  ),
  longSource: limit('source of long films', 'mm', 2800, 'perspective, where the file does not say it'),
  kneeSource: limit('source of knee films', 'mm', 1150, 'perspective, where the file does not say it'),
  seenLdfa: {
    name: 'Films: LDFA seen',
    range: [79, 93],
    unit: 'deg',
    usedFor: 'a measured LDFA outside is a doubt',
    source: fromMemory('native values that a published series saw'),
  },
  seenMpta: {
    name: 'Films: MPTA seen',
    range: [78, 98],
    unit: 'deg',
    usedFor: 'a measured MPTA outside is a doubt',
    source: fromMemory('native values that a published series saw'),
  },
  turnedLimit: limit('turned too far', 'deg', 10, 'a front film turned more than this is a doubt (trade 2.2, line 3)'),
  bentLimit: limit('bent too far', 'deg', 10, 'a front film bent more than this is a doubt (trade 2.2, line 3)'),
  markOff: limit('a mark out of place', 'sd', 4, 'a mark farther than this from where the others expect it is named'),
  disagree: limit('films that disagree', 'sd', 3, 'two films farther apart than this on one angle are named'),
  turnedOver: limit(
    'film turned over',
    'share',
    0.5,
    'marks that fit the mirror image with less than this share of the misfit',
  ),
  together: limit('marks together', 'mm', 0.5, 'two marks closer than this are named'),
} as const satisfies Readonly<Record<string, MeanDefault | ScalarDefault | RangeDefault>>;

const place = (name: string, mean: number, sd: number): MeanDefault =>
  film(name, 'mm', mean, sd, 'where a site is looked for that this leg has not shown', workingDefault);

/** Lengths that lay out the sites before films show them; mm. Mostly those of the project's own virtual knee. */
export const placeDefaults = {
  distalDepth: place('distal contacts below the knee centre', 6.5, 2.5),
  distalFront: place('distal contacts before the knee centre', -9, 5),
  distalCentre: place('middle of the distal contacts, lateral', -1.8, 2.5),
  rearFront: place('rear contacts before the knee centre', -38, 5),
  rearHeight: place('rear contacts above the knee centre', 15, 4),
  rearCentre: place('middle of the rear contacts, lateral', -1, 2.5),
  sideCentre: place('middle of the side points, lateral', -3.5, 2.5),
  femurMiddle: place('middle of the edges of the femur, lateral', -3.3, 2.5),
  cortexSide: place('front cortex, lateral', 2, 4),
  tibiaMiddle: place('middle of the edges of the tibia, lateral', 0.9, 2.5),
  tibiaMiddleFront: place('middle of the edges of the tibia before the knee centre', 3, 4),
  sideReach: place('side points from the knee centre, sideways', 41, 4),
  sideHeight: place('side points above the knee centre', 19, 4),
  sideFront: place('side points before the knee centre', -12, 5),
  cortexFront: place('front cortex before the knee centre', 19, 5),
  cortexHeight: place('front cortex above the knee centre', 38, 2),
  femoralCanalSide: place('femoral canal at the knee, lateral', -1.5, 4),
  femoralCanalFront: place('femoral canal at the knee, before it', 9, 5),
  canalHeight: place('a canal mark from its usual height', 0, 60),
  plateauDepth: place('plateau below the tibial knee centre', 8.5, 2.5),
  plateauFront: place('plateau points before the knee centre', 3, 4),
  plateauCentre: place('middle of the plateau points, lateral', 1.3, 2.5),
  rimHeight: place('middle of the medial rims above the knee centre', -7.5, 2.5),
  rimReach: place('front and rear rim from their middle', 19, 3),
  malleolusSide: place('malleoli from their middle, sideways', 25, 5),
  malleolusFront: place('medial malleolus before the middle', 24, 7),
  malleolusHeight: place('medial malleolus above the middle', 4.8, 3),
  plafondHeight: place('ankle joint surface above the middle of the malleoli', 3.3, 3),
  plafondFront: place('ankle joint surface before the middle of the malleoli', 3, 2.5),
  tibialCanalSide: place('tibial canal at the knee, lateral', -1, 4),
  tibialCanalFront: place('tibial canal at the knee, before it', 5, 6),
  crestFront: place('crest at the knee, before it', 28, 5),
  crestSide: place('crest, lateral', 2, 4),
  tubercleSide: place('tubercle, lateral', 10, 4),
  tubercleFront: place('tubercle before the knee centre', 32, 5),
  tubercleDepth: place('tubercle below the knee centre', 37, 5),
  fibulaSide: place('head of the fibula, lateral', 34.5, 5),
  fibulaFront: place('head of the fibula before the knee centre', -23, 5),
  fibulaDepth: place('head of the fibula below the knee centre', 20, 5),
  kneecapSide: place('middle of the kneecap, lateral', 3, 5),
  kneecapFront: place('middle of the kneecap before the knee centre', 38, 6),
  kneecapHeight: place('middle of the kneecap above the knee centre', 27, 12),
  kneecapShape: place('a point of the kneecap from its middle', 0, 5),
} as const satisfies Readonly<Record<string, MeanDefault>>;

/** Leans of lines of which people in general are known; degrees. */
export const leanDefaults = {
  tibialCanalVarus: film(
    'tibial canal, front view',
    'deg',
    0,
    1.5,
    'lean of the canal before a film shows it',
    fromMemory('0 +/- 1.5 when straight'),
  ),
  tibialCanalSlope: film(
    'tibial canal, side view',
    'deg',
    -1.1,
    1.2,
    'lean of the canal before a side film shows it: slope to the mechanical axis less slope to the axis of the shaft',
    'Orthop J Sports Med 2024 (23259671241296858, abstract): 196 full-length side films',
  ),
  crestLean: film('crest, side view', 'deg', 3.5, 2.5, 'lean of the crest before a side film shows it', workingDefault),
} as const satisfies Readonly<Record<string, MeanDefault>>;
