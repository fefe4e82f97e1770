import { dot } from '@kerfline/geometry';
import {
  type CutPlane,
  femurFlexion,
  femurRotation,
  femurValgus,
  resection,
  tibiaSlope,
  tibiaVarus,
} from '../cuts/cut-plane.ts';
import type { ContactSite } from '../leg/sites.ts';
import type { Positive, Unit } from '../quantity.ts';
import type { CutName } from './guide.ts';
import type { LegView } from './leg-view.ts';
import type { GuideInPlace } from './walker.ts';

/** What a guide in place will do, in clinical words. Angles in radians, depths in mm from the intact surface. */
export const outputNames = [
  'tibiaVarus',
  'tibiaSlope',
  'tibiaCutDepth',
  'femurValgus',
  'femurFlexion',
  'femurCutDepth',
  'femurRotation',
  'kneecapRemnant',
] as const;
export type OutputName = (typeof outputNames)[number];

export interface OutputWords {
  readonly unit: Unit;
  readonly positive?: Positive;
  readonly label: string;
}

export const outputWords: Readonly<Record<OutputName, OutputWords>> = {
  tibiaVarus: { unit: 'deg', positive: 'varus', label: 'tibial cut, front view' },
  tibiaSlope: { unit: 'deg', positive: 'posteriorSlope', label: 'tibial cut, side view' },
  tibiaCutDepth: { unit: 'mm', label: 'tibial cut below the higher side, intact' },
  femurValgus: { unit: 'deg', positive: 'valgus', label: 'distal femoral cut, front view' },
  femurFlexion: { unit: 'deg', positive: 'flexion', label: 'distal femoral cut, side view' },
  femurCutDepth: { unit: 'mm', label: 'distal femoral cut from the farther condyle, intact' },
  femurRotation: { unit: 'deg', positive: 'external', label: 'femoral turn against the rear condyle line' },
  kneecapRemnant: { unit: 'mm', label: 'bone left of the kneecap' },
};

/** Contacts whose pieces a cut makes, medial first. */
export function contactsOf(cut: CutName): readonly [ContactSite, ContactSite] | undefined {
  switch (cut) {
    case 'tibia':
      return ['plateauMedial', 'plateauLateral'];
    case 'distalFemur':
      return ['distalMedial', 'distalLateral'];
    case 'posteriorFemur':
      return ['posteriorMedial', 'posteriorLateral'];
    default:
      return undefined;
  }
}

/** Thickness between the intact surface at a contact and the retained bone, square to the cut, mm. */
export const resectionFromIntact = (plane: CutPlane, leg: LegView, site: ContactSite): number =>
  resection(plane, leg.site(site)) + leg.layers(site).intactOut;

const deepest = (plane: CutPlane, leg: LegView): number =>
  Math.max(...(contactsOf(plane.cut) ?? []).map((site) => resectionFromIntact(plane, leg, site)));

/** +1 for an output that grows as its cut goes deeper, -1 for one that shrinks; undefined where depth does not matter. */
export const deepensOutput = (output: OutputName): 1 | -1 | undefined =>
  output === 'tibiaCutDepth' || output === 'femurCutDepth' ? 1 : output === 'kneecapRemnant' ? -1 : undefined;

/** The output that follows the deeper of a cut's two sides. */
export const deeperSideOf = (cut: CutName): OutputName | undefined =>
  cut === 'tibia' ? 'tibiaCutDepth' : cut === 'distalFemur' ? 'femurCutDepth' : undefined;

/** Everything one cut says of itself. */
export function outputsOfCut(plane: CutPlane, leg: LegView): Partial<Record<OutputName, number>> {
  switch (plane.cut) {
    case 'tibia':
      return {
        tibiaVarus: tibiaVarus(plane.normal),
        tibiaSlope: tibiaSlope(plane.normal),
        tibiaCutDepth: deepest(plane, leg),
      };
    case 'distalFemur':
      return {
        femurValgus: femurValgus(plane.normal),
        femurFlexion: femurFlexion(plane.normal),
        femurCutDepth: deepest(plane, leg),
      };
    case 'posteriorFemur':
      return { femurRotation: femurRotation(plane.normal) };
    case 'kneecap':
      return { kneecapRemnant: dot(plane.normal, leg.site('patellaAnterior')) - plane.offset };
    default:
      return {};
  }
}

/** Everything that a guide in place says: by its own slits, and of later cuts by the holes that fix their direction. */
export const outputsOf = (inPlace: GuideInPlace, leg: LegView): Partial<Record<OutputName, number>> =>
  Object.assign({}, ...[...inPlace.aligned, ...inPlace.cuts].map((plane) => outputsOfCut(plane, leg)));

/** Where a rod square to a tibial cut passes the ankle, `span` mm below, against the clinical ankle centre; lateral +, mm. */
export const rodAtAnkle = (plane: CutPlane, span: number): number => (-plane.normal[0] / plane.normal[2]) * span;

/** Where a rod square to a distal femoral cut passes the hip, against the hip centre, mm; medial + for a valgus cut. */
export const rodAtHip = (plane: CutPlane, leg: LegView): number => {
  const hip = leg.site('hipCentre');
  return (-plane.normal[0] / plane.normal[2]) * dot(hip, [0, 0, 1]);
};
