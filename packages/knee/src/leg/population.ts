import type { Source } from './leg.ts';
import type { ContactSite } from './sites.ts';

/** A value taken from people in general because this leg was not asked; never used without a finding. */
export interface PopulationValue {
  /** mm or degrees. */
  readonly mean: number;
  readonly sd: number;
  readonly unit: 'mm' | 'deg';
  readonly source: string;
}

const workingDefault = 'working default, no source';

/** Thickness of whole cartilage at each contact, mm. */
export const cartilage: Readonly<Record<ContactSite, PopulationValue>> = {
  distalMedial: { mean: 2.4, sd: 0.5, unit: 'mm', source: 'Sandhar, Nedopil, Hull, J Exp Orthop 2026 (abstract)' },
  distalLateral: { mean: 2.4, sd: 0.5, unit: 'mm', source: 'Sandhar, Nedopil, Hull, J Exp Orthop 2026 (abstract)' },
  posteriorMedial: { mean: 2.4, sd: 0.5, unit: 'mm', source: 'Sandhar, Nedopil, Hull, J Exp Orthop 2026 (abstract)' },
  posteriorLateral: { mean: 2.4, sd: 0.5, unit: 'mm', source: 'Sandhar, Nedopil, Hull, J Exp Orthop 2026 (abstract)' },
  plateauMedial: { mean: 2.5, sd: 0.5, unit: 'mm', source: 'recalled from the literature, not re-read' },
  plateauLateral: { mean: 3.5, sd: 0.5, unit: 'mm', source: 'recalled from the literature, not re-read' },
};

/** Cartilage lost where nobody has said how much: none, give or take what the eye can miss. */
export const unstatedWear: PopulationValue = { mean: 0, sd: 0.7, unit: 'mm', source: workingDefault };

/** Ankle: middle of the malleoli lateral of the middle of the joint surface. */
export const ankleOffset: PopulationValue = {
  mean: 2,
  sd: 1.5,
  unit: 'mm',
  source: 'plain films of 26 adults 2.1 +/- 1.1 (J Med Assoc Thai 2012;95 suppl 9:S1, abstract); sd widened',
};

/** What stands for a quantity of a typed leg that nobody typed. */
export const typicalLeg = {
  LDFA: { mean: 88, sd: 2.6, unit: 'deg', source: 'J Orthop Surg Res 2022;17 (s13018-022-03389-7, abstract)' },
  MPTA: { mean: 87, sd: 2.5, unit: 'deg', source: `mean Paley 2002 (from memory); sd ${workingDefault}` },
  JLCA: { mean: 0.5, sd: 1.5, unit: 'deg', source: `mean from MacDessi, Bone Jt Open 2021;2(5); sd ${workingDefault}` },
  shaftMechanical: { mean: 5.9, sd: 1.3, unit: 'deg', source: 'means 5.8 to 6.1 of five series; sd 1.2 to 1.7' },
  canalFlexion: { mean: 0, sd: 1.5, unit: 'deg', source: workingDefault },
  slope: { mean: 7.7, sd: 3, unit: 'deg', source: 'medial rim, between the methods of five series; sd widened' },
  condylarTwist: { mean: 3, sd: 1.8, unit: 'deg', source: 'Griffin, J Arthroplasty 2000;15:354; sd from memory' },
  trochlearTwist: { mean: 4, sd: 2.3, unit: 'deg', source: 'Arima, J Bone Joint Surg Am 1995;77:1331 (from memory)' },
  headRadius: { mean: 23, sd: 2.4, unit: 'mm', source: 'Noble, Clin Orthop 1988;235:148 (from memory)' },
  femurLength: { mean: 420, sd: 30, unit: 'mm', source: 'mechanical lengths of J Orthop Surg Res 2022;17; sd widened' },
  tibiaLength: { mean: 360, sd: 28, unit: 'mm', source: 'Strecker, J Bone Joint Surg Br 1997;79:1019' },
  femurWidth: { mean: 72, sd: 6, unit: 'mm', source: 'between the series of Egypt, Malaysia, New Zealand; sd widened' },
  femurDepth: { mean: 50, sd: 4, unit: 'mm', source: workingDefault },
  tibiaWidth: { mean: 74, sd: 5.5, unit: 'mm', source: 'preprint 10.21203/rs.3.rs-5512571, both sexes' },
  tibiaDepth: { mean: 50, sd: 4, unit: 'mm', source: 'preprint 10.21203/rs.3.rs-5512571, both sexes' },
  distalSpacing: { mean: 48, sd: 3.5, unit: 'mm', source: `44 to 54 on five legs; ${workingDefault}` },
  posteriorSpacing: { mean: 49, sd: 3, unit: 'mm', source: `46 to 52 on five legs; ${workingDefault}` },
  plateauSpacing: { mean: 42, sd: 3, unit: 'mm', source: `39 to 46 on five legs; ${workingDefault}` },
  patellaThickness: { mean: 22.5, sd: 2.2, unit: 'mm', source: 'Koh, J Arthroplasty 2002;17:56 and others' },
  patellaWidth: {
    mean: 45,
    sd: 4,
    unit: 'mm',
    source: 'width twice the thickness: Iranpour, Clin Orthop 2008;466:1198',
  },
} as const satisfies Readonly<Record<string, PopulationValue>>;

export const populationSource = (value: PopulationValue): Source => ({
  from: 'population',
  method: `${value.mean} +/- ${value.sd} ${value.unit}: ${value.source}`,
});
