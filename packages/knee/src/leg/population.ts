import { fromMemory, type MeanDefault, workingDefault } from '../defaults/clinical-default.ts';
import type { Source } from './leg.ts';
import type { ContactSite } from './sites.ts';

/** A value taken from people in general because this leg was not asked; never used without a finding. mm or degrees. */
export type PopulationValue = MeanDefault & { readonly unit: 'mm' | 'deg' };

const inGeneral =
  (usedFor: string) =>
  (name: string, unit: 'mm' | 'deg', mean: number, sd: number, source: string, sdSource?: string): PopulationValue => ({
    name: `People in general: ${name}`,
    unit,
    mean,
    sd,
    usedFor,
    source,
    ...(sdSource === undefined ? {} : { sdSource }),
  });

const whole = inGeneral('whole cartilage over a contact that a scan shows as bone');
const femurCartilage = 'Sandhar, Nedopil, Hull, J Exp Orthop 2026 (abstract)';
const tibiaCartilage = fromMemory('the literature, not re-read');

/** Thickness of whole cartilage at each contact, mm. */
export const cartilage: Readonly<Record<ContactSite, PopulationValue>> = {
  distalMedial: whole('cartilage, distal medial', 'mm', 2.4, 0.5, femurCartilage),
  distalLateral: whole('cartilage, distal lateral', 'mm', 2.4, 0.5, femurCartilage),
  posteriorMedial: whole('cartilage, posterior medial', 'mm', 2.4, 0.5, femurCartilage),
  posteriorLateral: whole('cartilage, posterior lateral', 'mm', 2.4, 0.5, femurCartilage),
  plateauMedial: whole('cartilage, plateau medial', 'mm', 2.5, 0.5, tibiaCartilage, workingDefault),
  plateauLateral: whole('cartilage, plateau lateral', 'mm', 3.5, 0.5, tibiaCartilage, workingDefault),
};

/** Cartilage lost where nobody has said how much: none, give or take what the eye can miss. */
export const unstatedWear = inGeneral('cartilage lost at a contact of which nothing was said')(
  'wear',
  'mm',
  0,
  0.7,
  workingDefault,
);

const typed = inGeneral('a leg from stated values of which this was not stated');

/** Ankle: middle of the malleoli lateral of the middle of the joint surface. */
export const ankleOffset = inGeneral('a leg from stated values of which this was not stated; bones without a fibula')(
  'ankleOffset',
  'mm',
  2,
  1.5,
  'plain films of 26 adults 2.1 +/- 1.1 (J Med Assoc Thai 2012;95 suppl 9:S1, abstract)',
  workingDefault,
);

const unused = inGeneral('nothing yet: such a leg leaves it unknown');
const lowerLimbs = 'J Orthop Surg Res 2022;17 (s13018-022-03389-7, abstract)';
const preprint = 'preprint 10.21203/rs.3.rs-5512571, both sexes';

/** What stands for a quantity of a typed leg that nobody typed. */
export const typicalLeg = {
  LDFA: typed('LDFA', 'deg', 88, 2.6, lowerLimbs),
  MPTA: typed('MPTA', 'deg', 87, 2.5, fromMemory('Paley 2002'), workingDefault),
  JLCA: unused('JLCA', 'deg', 0.5, 1.5, 'MacDessi, Bone Jt Open 2021;2(5)', workingDefault),
  shaftMechanical: typed(
    'shaftMechanical',
    'deg',
    5.9,
    1.3,
    fromMemory('means 5.8 to 6.1 and sd 1.2 to 1.7 of five series, not named'),
  ),
  canalFlexion: typed('canalFlexion', 'deg', 0, 1.5, workingDefault),
  slope: typed(
    'slope',
    'deg',
    7.7,
    3,
    fromMemory('medial rim, between the methods of five series, not named'),
    workingDefault,
  ),
  tibialCanalSlope: inGeneral('a tibial canal of which only the front view was stated')(
    'tibialCanalSlope',
    'deg',
    0,
    1.5,
    workingDefault,
  ),
  condylarTwist: typed(
    'condylarTwist',
    'deg',
    3,
    1.8,
    'Griffin, J Arthroplasty 2000;15:354',
    fromMemory('of the same series'),
  ),
  trochlearTwist: unused('trochlearTwist', 'deg', 4, 2.3, fromMemory('Arima, J Bone Joint Surg Am 1995;77:1331')),
  headRadius: unused('headRadius', 'mm', 23, 2.4, fromMemory('Noble, Clin Orthop 1988;235:148')),
  femurLength: typed('femurLength', 'mm', 420, 30, `mechanical lengths of ${lowerLimbs}`, workingDefault),
  tibiaLength: typed('tibiaLength', 'mm', 360, 28, 'Strecker, J Bone Joint Surg Br 1997;79:1019'),
  femurWidth: unused('femurWidth', 'mm', 72, 6, fromMemory('between three series, not named'), workingDefault),
  femurDepth: unused('femurDepth', 'mm', 50, 4, workingDefault),
  tibiaWidth: unused('tibiaWidth', 'mm', 74, 5.5, preprint),
  tibiaDepth: unused('tibiaDepth', 'mm', 50, 4, preprint),
  // Five measured legs had 44 to 54, 46 to 52 and 39 to 46.
  distalSpacing: typed('distalSpacing', 'mm', 48, 3.5, workingDefault),
  posteriorSpacing: typed('posteriorSpacing', 'mm', 49, 3, workingDefault),
  plateauSpacing: typed('plateauSpacing', 'mm', 42, 3, workingDefault),
  patellaThickness: unused('patellaThickness', 'mm', 22.5, 2.2, 'Koh, J Arthroplasty 2002;17:56 and others'),
  patellaWidth: unused(
    'patellaWidth',
    'mm',
    45,
    4,
    'width twice the thickness: Iranpour, Clin Orthop 2008;466:1198',
    workingDefault,
  ),
} as const satisfies Readonly<Record<string, PopulationValue>>;

/** Every value of people in general. */
export const populationDefaults: readonly PopulationValue[] = [
  ...Object.values(cartilage),
  unstatedWear,
  ankleOffset,
  ...Object.values(typicalLeg),
];

/** Where a value comes from, mean and sd. */
export const populationOrigin = ({ source, sdSource }: PopulationValue): string =>
  sdSource === undefined ? source : `${source}; sd ${sdSource}`;

export const populationSource = (value: PopulationValue): Source => ({
  from: 'population',
  method: `${value.mean} +/- ${value.sd} ${value.unit}: ${populationOrigin(value)}`,
});
