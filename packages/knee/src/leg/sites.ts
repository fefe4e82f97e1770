import type { Unit } from '../quantity.ts';

/**
 * What a `Leg` holds, by name. Vectors are L-A-P (mm) in the frame of their bone; single numbers are mm or radians.
 * The frame of a bone is the one its own sites define at their mean; a site's spread is seen in that frame.
 */
export const femurSites = [
  'hipCentre',
  'femoralKneeCentre',
  'distalMedial',
  'distalLateral',
  'posteriorMedial',
  'posteriorLateral',
  'epicondyleMedial',
  'epicondyleLateral',
  'trochlearGroove',
  'anteriorCortex',
  'femoralCanalLow',
  'femoralCanalHigh',
] as const;

export const tibiaSites = [
  'tibialKneeCentre',
  'malleolarMidpoint',
  'malleolusMedial',
  'malleolusLateral',
  'plafondCentre',
  'plateauMedial',
  'plateauLateral',
  'medialRimFront',
  'medialRimRear',
  'tubercle',
  'tibialCanalLow',
  'tibialCanalHigh',
  'crestUpper',
  'crestLower',
  'fibulaHead',
] as const;

export const patellaSites = ['patellaAnterior', 'patellaFacetMedial', 'patellaFacetLateral'] as const;

export type FemurSite = (typeof femurSites)[number];
export type TibiaSite = (typeof tibiaSites)[number];
export type PatellaSite = (typeof patellaSites)[number];
export type Site = FemurSite | TibiaSite | PatellaSite;

/** Contact sites at which cartilage may be lost. */
export const contactSites = [
  'distalMedial',
  'distalLateral',
  'posteriorMedial',
  'posteriorLateral',
  'plateauMedial',
  'plateauLateral',
] as const;
export type ContactSite = (typeof contactSites)[number];
export const isContact = (site: string): site is ContactSite => (contactSites as readonly string[]).includes(site);

const named = (what: string): ReadonlyMap<ContactSite, string> =>
  new Map(contactSites.map((site) => [site, `${what}${site.charAt(0).toUpperCase()}${site.slice(1)}`]));
const wearNames = named('wear');
const cartilageNames = named('cartilage');

/** Name of the cartilage or bone lost at a contact, mm: `wearDistalMedial` and so on. */
export const wearName = (site: ContactSite): string => wearNames.get(site)!;
/** Name of the thickness of whole cartilage at a contact, mm. */
export const cartilageName = (site: ContactSite): string => cartilageNames.get(site)!;
/** @numerical Heights above the distal-most level at which the front cortex is sampled, mm; between them it is straight. */
export const cortexHeightsMm = [30, 36, 42, 48, 54, 60] as const;
/** Name of the foremost A of the front cortex at a height (mm) above the distal-most level. */
export const cortexName = (heightMm: number): string => `cortexA${heightMm}`;

/** Single numbers of a leg that are angles; all others are lengths. */
const angles: readonly string[] = [
  'tibialLineTurn',
  'plateauSlopeMedial',
  'plateauSlopeLateral',
  'limbVarus',
  'jointConvergence',
];

/** The unit that a single number of a leg is said in. */
export const numberUnit = (name: string): Unit => (angles.includes(name) ? 'deg' : 'mm');
