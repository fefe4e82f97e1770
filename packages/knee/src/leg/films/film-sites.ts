import type { MeanDefault } from '../../defaults/clinical-default.ts';
import { inside } from '../../quantity.ts';
import { boneDefaults } from '../leg-from-bones.ts';
import { ankleOffset, typicalLeg } from '../population.ts';
import { type Posture, postures } from './film.ts';
import { filmDefaults, leanDefaults, placeDefaults } from './film-defaults.ts';

/** Bones that lie on a film as one piece. */
export type FilmBone = 'femur' | 'tibia' | 'patella';

/** One number that lays out sites: mm or the tangent of an angle; independent of the others before films are read. */
export interface Root {
  readonly name: string;
  readonly mean: number;
  readonly sd: number;
}

/** A part of a coordinate: a number alone, or times a root, or times the product of two. */
export type Term = readonly [coefficient: number, root?: string, times?: string];

/** A site by its coordinates L, A, P (mm) in the frame of its bone, each a sum of terms. */
export interface SiteModel {
  readonly bone: FilmBone;
  readonly at: readonly [l: readonly Term[], a: readonly Term[], p: readonly Term[]];
}

const lengthRoot = (name: string, of: MeanDefault): Root => ({ name, mean: of.mean, sd: of.sd });

/** Root of a line's lean: the tangent of an angle in degrees, `square` less if it is measured from square. */
function leanRoot(name: string, of: MeanDefault, turned: (deg: number) => number = (v) => v): Root {
  const angle = inside(turned(of.mean), 'deg');
  return { name, mean: Math.tan(angle), sd: inside(of.sd, 'deg') / Math.cos(angle) ** 2 };
}

const fromSquare = (deg: number): number => 90 - deg;

const kneecapShape = ['frontSide', 'frontHeight', 'rearSide', 'rearHeight', 'medialEdgeFront', 'lateralEdgeFront'].map(
  (part) => lengthRoot(`kneecap.${part}`, placeDefaults.kneecapShape),
);

/** Root of the limb's varus as films of one posture show it: postures are never mixed. */
export const limbVarusOf = (posture: Posture): string => `limbVarus.${posture}`;

/** Every root of the sites, with what people in general have. */
const siteRoots: readonly Root[] = [
  lengthRoot('femurLength', typicalLeg.femurLength),
  lengthRoot('tibiaLength', typicalLeg.tibiaLength),
  lengthRoot('distalSpacing', typicalLeg.distalSpacing),
  lengthRoot('posteriorSpacing', typicalLeg.posteriorSpacing),
  lengthRoot('plateauSpacing', typicalLeg.plateauSpacing),
  lengthRoot('headRadius', typicalLeg.headRadius),
  lengthRoot('femurWidth', typicalLeg.femurWidth),
  lengthRoot('tibiaWidth', typicalLeg.tibiaWidth),
  lengthRoot('tibiaDepth', typicalLeg.tibiaDepth),
  lengthRoot('patellaThickness', typicalLeg.patellaThickness),
  lengthRoot('patellaWidth', typicalLeg.patellaWidth),
  lengthRoot('ankleOffset', ankleOffset),
  leanRoot('distalTilt', typicalLeg.LDFA, fromSquare),
  leanRoot('plateauTilt', typicalLeg.MPTA, fromSquare),
  leanRoot('slope', typicalLeg.slope),
  leanRoot('twist', typicalLeg.condylarTwist),
  leanRoot('shaftLean', typicalLeg.shaftMechanical),
  leanRoot('canalFlexion', typicalLeg.canalFlexion),
  // A canal of which a cut square to it is in varus leans medial going up.
  leanRoot('tibialCanalLean', leanDefaults.tibialCanalVarus, (v) => -v),
  leanRoot('tibialCanalFlexion', leanDefaults.tibialCanalSlope, (v) => -v),
  leanRoot('crestLean', leanDefaults.crestLean),
  ...Object.entries(placeDefaults)
    .filter(([name]) => name !== 'canalHeight' && name !== 'kneecapShape')
    .map(([name, of]) => lengthRoot(name, of)),
  ...kneecapShape,
  ...postures.map((posture) => ({
    name: limbVarusOf(posture),
    mean: inside(filmDefaults.limbVarus.mean, 'deg'),
    sd: inside(filmDefaults.limbVarus.sd, 'deg'),
  })),
];

/** Marks of one film that measure a root by themselves. */
const measuredBy: Readonly<Record<string, readonly (readonly string[])[]>> = {
  distalTilt: [['hipCentre', 'femoralKneeCentre', 'distalMedial', 'distalLateral']],
  shaftLean: [['hipCentre', 'femoralKneeCentre', 'femoralCanalLow', 'femoralCanalHigh']],
  plateauTilt: [
    ['tibialKneeCentre', 'plafondCentre', 'plateauMedial', 'plateauLateral'],
    ['tibialKneeCentre', 'malleolusMedial', 'malleolusLateral', 'plateauMedial', 'plateauLateral'],
  ],
  slope: [['medialRimFront', 'medialRimRear', 'tibialCanalLow', 'tibialCanalHigh']],
};

/**
 * @numerical How many times wider than people differ a root is believed that this leg's own marks measure: a measured angle is then
 * drawn toward the mean of people by a tenth of what it would be.
 */
const ownVoice = 3;

/** The roots of the sites for films on which these marks are placed, one list of names for each film. */
export const siteRootsFor = (marked: readonly (readonly string[])[], heights: CanalHeights): readonly Root[] => [
  ...Object.entries(heights).map(([name, mean]) => ({ name: toldAt(name as keyof CanalHeights), mean, sd: 0 })),
  ...siteRoots.map((root) => {
    const measured = (measuredBy[root.name] ?? []).some((marks) =>
      marked.some((names) => marks.every((name) => names.includes(name))),
    );
    return measured ? { ...root, sd: ownVoice * root.sd } : root;
  }),
];

const zero: readonly Term[] = [];

/** A point of a line that starts at `start` at the knee and leans by the tangents, at a height that is itself a root. */
const onLine = (
  bone: FilmBone,
  start: readonly [string, string],
  lean: readonly [string | undefined, string],
  height: readonly Term[],
): SiteModel => {
  const along = (tangent: string | undefined): readonly Term[] =>
    tangent === undefined
      ? []
      : height.map(
          ([coefficient, root]): Term => (root === undefined ? [coefficient, tangent] : [coefficient, root, tangent]),
        );
  return { bone, at: [[[1, start[0]], ...along(lean[0])], [[1, start[1]], ...along(lean[1])], height] };
};

const distal = (sign: 1 | -1): SiteModel => ({
  bone: 'femur',
  at: [
    [
      [1, 'distalCentre'],
      [sign / 2, 'distalSpacing'],
    ],
    [[1, 'distalFront']],
    [
      [-1, 'distalDepth'],
      [sign / 2, 'distalSpacing', 'distalTilt'],
    ],
  ],
});

const rear = (sign: 1 | -1): SiteModel => ({
  bone: 'femur',
  at: [
    [
      [1, 'rearCentre'],
      [sign / 2, 'posteriorSpacing'],
    ],
    [[1, 'rearFront']],
    [[1, 'rearHeight']],
  ],
});

const sidePoint = (sign: 1 | -1): SiteModel => ({
  bone: 'femur',
  at: [
    [
      [1, 'sideCentre'],
      [sign, 'sideReach'],
    ],
    [
      [1, 'sideFront'],
      [-sign, 'sideReach', 'twist'],
    ],
    [[1, 'sideHeight']],
  ],
});

const plateau = (sign: 1 | -1): SiteModel => ({
  bone: 'tibia',
  at: [
    [
      [1, 'plateauCentre'],
      [sign / 2, 'plateauSpacing'],
    ],
    [[1, 'plateauFront']],
    [
      [-1, 'plateauDepth'],
      [sign / 2, 'plateauSpacing', 'plateauTilt'],
    ],
  ],
});

const rim = (sign: 1 | -1): SiteModel => ({
  bone: 'tibia',
  at: [
    [
      [1, 'plateauCentre'],
      [-1 / 2, 'plateauSpacing'],
    ],
    [
      [1, 'plateauFront'],
      [sign, 'rimReach'],
    ],
    [
      [1, 'rimHeight'],
      [sign, 'rimReach', 'slope'],
    ],
  ],
});

const malleolus = (sign: 1 | -1): SiteModel => ({
  bone: 'tibia',
  at: [
    [[sign, 'malleolusSide']],
    [[-sign, 'malleolusFront']],
    [
      [-1, 'tibiaLength'],
      [-sign, 'malleolusHeight'],
    ],
  ],
});

/** @numerical Levels at which widths and depths are defined (design.md 10): above the lowest point, below the plateau. */
const sectionAt = { femurMm: 9, tibiaMm: 10 } as const;

const femurEdge = (sign: 1 | -1): SiteModel => ({
  bone: 'femur',
  at: [
    [
      [1, 'femurMiddle'],
      [sign / 2, 'femurWidth'],
    ],
    [[1, 'sideFront']],
    [[-1, 'distalDepth'], [sectionAt.femurMm]],
  ],
});

const tibiaEdge = (sign: 1 | -1): SiteModel => ({
  bone: 'tibia',
  at: [
    [
      [1, 'tibiaMiddle'],
      [sign / 2, 'tibiaWidth'],
    ],
    [[1, 'plateauFront']],
    [[-1, 'plateauDepth'], [-sectionAt.tibiaMm]],
  ],
});

const tibiaEdgeSide = (sign: 1 | -1): SiteModel => ({
  bone: 'tibia',
  at: [
    [[1, 'plateauCentre']],
    [
      [1, 'tibiaMiddleFront'],
      [sign / 2, 'tibiaDepth'],
    ],
    [[-1, 'plateauDepth'], [-sectionAt.tibiaMm]],
  ],
});

/** @numerical Where a stretch of canal is looked for and told, mm from the knee centre, when no rod says where. */
const canalAt = { femoralCanalLow: 100, femoralCanalHigh: 200, tibialCanalHigh: -150, tibialCanalLow: -250 } as const;

/** Heights at which canals are looked for and told, mm from the knee centre. */
export type CanalHeights = Readonly<Record<keyof typeof canalAt, number>>;

/** The same for a rod in the femoral canal: where the stretch that it lies in begins and ends. */
export const canalHeights = (rodLengthMm?: number): CanalHeights =>
  rodLengthMm === undefined
    ? canalAt
    : {
        ...canalAt,
        femoralCanalLow: boneDefaults.rodWindowStart.value * rodLengthMm,
        femoralCanalHigh: rodLengthMm,
      };

const toldAt = (name: keyof typeof canalAt): string => `told.${name}`;

const lines = {
  femoralCanal: (height: readonly Term[]) =>
    onLine('femur', ['femoralCanalSide', 'femoralCanalFront'], ['shaftLean', 'canalFlexion'], height),
  tibialCanal: (height: readonly Term[]) =>
    onLine('tibia', ['tibialCanalSide', 'tibialCanalFront'], ['tibialCanalLean', 'tibialCanalFlexion'], height),
  crest: (height: readonly Term[]) => onLine('tibia', ['crestSide', 'crestFront'], [undefined, 'crestLean'], height),
} as const;

/** @numerical How far down the shin the crest is told, as shares of its length (docs/methods.md). */
const crestShares = { upper: 0.25, lower: 0.6 } as const;

/** Sites of a leg from films, in the frames that `Leg` has (docs/frames.md), the tray's line along L. */
export const siteModels: Readonly<Record<string, SiteModel>> = {
  hipCentre: { bone: 'femur', at: [zero, zero, [[1, 'femurLength']]] },
  femoralKneeCentre: { bone: 'femur', at: [zero, zero, zero] },
  distalMedial: distal(-1),
  distalLateral: distal(1),
  posteriorMedial: rear(-1),
  posteriorLateral: rear(1),
  epicondyleMedial: sidePoint(-1),
  epicondyleLateral: sidePoint(1),
  anteriorCortex: { bone: 'femur', at: [[[1, 'cortexSide']], [[1, 'cortexFront']], [[1, 'cortexHeight']]] },
  femoralCanalLow: lines.femoralCanal([[1, toldAt('femoralCanalLow')]]),
  femoralCanalHigh: lines.femoralCanal([[1, toldAt('femoralCanalHigh')]]),
  femurEdgeMedial: femurEdge(-1),
  femurEdgeLateral: femurEdge(1),
  patellaCentre: { bone: 'femur', at: [[[1, 'kneecapSide']], [[1, 'kneecapFront']], [[1, 'kneecapHeight']]] },
  tibialKneeCentre: { bone: 'tibia', at: [zero, zero, zero] },
  malleolarMidpoint: { bone: 'tibia', at: [zero, zero, [[-1, 'tibiaLength']]] },
  malleolusMedial: malleolus(-1),
  malleolusLateral: malleolus(1),
  plafondCentre: {
    bone: 'tibia',
    at: [
      [[-1, 'ankleOffset']],
      [[1, 'plafondFront']],
      [
        [-1, 'tibiaLength'],
        [1, 'plafondHeight'],
      ],
    ],
  },
  plateauMedial: plateau(-1),
  plateauLateral: plateau(1),
  medialRimFront: rim(1),
  medialRimRear: rim(-1),
  tubercle: { bone: 'tibia', at: [[[1, 'tubercleSide']], [[1, 'tubercleFront']], [[-1, 'tubercleDepth']]] },
  tibialCanalLow: lines.tibialCanal([[1, toldAt('tibialCanalLow')]]),
  tibialCanalHigh: lines.tibialCanal([[1, toldAt('tibialCanalHigh')]]),
  crestUpper: lines.crest([[-crestShares.upper, 'tibiaLength']]),
  crestLower: lines.crest([[-crestShares.lower, 'tibiaLength']]),
  fibulaHead: { bone: 'tibia', at: [[[1, 'fibulaSide']], [[1, 'fibulaFront']], [[-1, 'fibulaDepth']]] },
  tibiaEdgeMedial: tibiaEdge(-1),
  tibiaEdgeLateral: tibiaEdge(1),
  tibiaEdgeFront: tibiaEdgeSide(1),
  tibiaEdgeRear: tibiaEdgeSide(-1),
  patellaFront: {
    bone: 'patella',
    at: [[[1, 'kneecap.frontSide']], [[1 / 2, 'patellaThickness']], [[1, 'kneecap.frontHeight']]],
  },
  patellaRear: {
    bone: 'patella',
    at: [[[1, 'kneecap.rearSide']], [[-1 / 2, 'patellaThickness']], [[1, 'kneecap.rearHeight']]],
  },
  patellaEdgeMedial: { bone: 'patella', at: [[[-1 / 2, 'patellaWidth']], [[1, 'kneecap.medialEdgeFront']], zero] },
  patellaEdgeLateral: { bone: 'patella', at: [[[1 / 2, 'patellaWidth']], [[1, 'kneecap.lateralEdgeFront']], zero] },
};

/** Marks that say only where a line is: the height at which it was looked for is the observer's choice. */
const lineOf: Readonly<Record<string, keyof typeof lines>> = {
  femoralCanalLow: 'femoralCanal',
  femoralCanalHigh: 'femoralCanal',
  tibialCanalLow: 'tibialCanal',
  tibialCanalHigh: 'tibialCanal',
};

/** The site a mark shows, and the root of its own height if it only shows a line. */
export function siteOfMark(
  name: string,
  film: number,
  heights: CanalHeights = canalAt,
): { readonly model: SiteModel; readonly height?: Root } | undefined {
  const line = lineOf[name];
  if (line === undefined) {
    const model = siteModels[name];
    return model && { model };
  }
  const root = `height.${film}.${name}`;
  return {
    model: lines[line]([[1, root]]),
    height: { name: root, mean: heights[name as keyof CanalHeights], sd: placeDefaults.canalHeight.sd },
  };
}
