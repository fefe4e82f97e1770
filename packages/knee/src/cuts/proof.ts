import { type Finding, fault, info } from '@kerfline/geometry';
import { meanOf, shareBeyond } from '@kerfline/uncertainty';
import type { CutName, Guide } from '../guides/guide.ts';
import { standsOn } from '../guides/guides-in-use.ts';
import { viewsAtMean } from '../guides/leg-view.ts';
import { contactsOf, type OutputName, outputNames, outputWords } from '../guides/outputs.ts';
import { type Made, nothingMade, OpenLoop } from '../guides/placement.ts';
import type { Bone } from '../guides/sense.ts';
import type { GuideSettings } from '../guides/setting.ts';
import { siteWord } from '../guides/speak.ts';
import { madeBy, walk } from '../guides/walker.ts';
import type { Kit } from '../kits/kit.ts';
import type { Leg } from '../leg/leg.ts';
import { type ContactSite, wearName } from '../leg/sites.ts';
import { outside, type Positive, type Q, type Unit } from '../quantity.ts';
import type { CutPlane } from './cut-plane.ts';
import { type Foretold, foretell, type OpenTouch, type Told } from './foretell.ts';

/** A line of a sum: what is added (positive) or taken off (negative), mm. */
export interface Term {
  readonly name: 'intact' | 'wear' | 'kerf';
  readonly mm: number;
}

/** What a caliper should read on a removed fragment: intact - wear - kerf = piece. */
export interface Piece {
  readonly site: ContactSite;
  readonly terms: readonly Term[];
  readonly pieceMm: number;
  readonly sd: number;
}

export interface CutProof {
  readonly pieces?: { readonly medial: Piece; readonly lateral: Piece } | undefined;
  readonly planes: Readonly<Partial<Record<OutputName, Q>>>;
  /** The plane at the mean, in the bone's clinical frame. */
  readonly plane: CutPlane;
}

export interface Proof {
  readonly cuts: Readonly<Partial<Record<CutName, CutProof>>>;
  readonly rods: Readonly<Partial<Record<'ankle' | 'hip', Q>>>;
  /** Gaps by flexion; empty until they can be known. */
  readonly rungs: readonly never[];
  readonly limb: Q;
  readonly findings: readonly Finding[];
}

function shown({ value, sd }: Told, unit: Unit, positive: Positive | undefined, method: string): Q {
  return { value: outside(value, unit), unit, ...(positive ? { positive } : {}), sd: outside(sd, unit), method };
}

function pieceAt(leg: Leg, told: Foretold['told'], plane: CutPlane, site: ContactSite): Piece {
  const piece = told.get(`${site}/piece`)!;
  return {
    site,
    terms: [
      { name: 'intact', mm: told.get(`${site}/intact`)!.value },
      { name: 'wear', mm: 0 - meanOf(leg.belief, wearName(site)) },
      { name: 'kerf', mm: 0 - plane.kerf },
    ],
    pieceMm: piece.value,
    sd: piece.sd,
  };
}

const byGuides = 'settings run forward on this leg';

/**
 * What the settings of a kit's guides will do to a leg: planes, pieces, rods and limb, each with its spread, before any cut.
 *
 * @param settings what is set on each guide: read back where it was, else called; guides left out are not used
 * @param spreads stated spreads of nuisances (mm or degrees) by `guide/link` or `kerf`, in place of the kit's own
 */
export function proveLeg(
  leg: Leg,
  kit: Kit,
  settings: GuideSettings,
  spreads: ReadonlyMap<string, number> = new Map(),
): Proof {
  const { used, open } = guidesThatClose(leg, kit, settings);
  const cuts: Partial<Record<CutName, CutProof>> = {};
  const rods: Partial<Record<'ankle' | 'hip', Q>> = {};
  const foretold = new Map<Bone, Foretold>();
  for (const bone of ['femur', 'tibia', 'patella'] as const) {
    const guides = used.filter((guide) => guide.bone === bone);
    if (guides.length === 0) continue;
    const bonesCuts = foretell(leg, kit, bone, guides, settings, spreads);
    const { told } = bonesCuts;
    foretold.set(bone, bonesCuts);
    for (const [cut, plane] of bonesCuts.planes) {
      const contacts = contactsOf(cut);
      const names = outputNames.filter((name) => told.has(name));
      cuts[cut] = {
        plane,
        planes: Object.fromEntries(
          names
            .filter((name) => outputBelongs(name, cut))
            .map((name) => [
              name,
              shown(told.get(name)!, outputWords[name].unit, outputWords[name].positive, byGuides),
            ]),
        ),
        ...(contacts
          ? {
              pieces: {
                medial: pieceAt(leg, told, plane, contacts[0]),
                lateral: pieceAt(leg, told, plane, contacts[1]),
              },
            }
          : {}),
      };
      if (cut === 'tibia') {
        rods.ankle = shown(told.get('rod/ankle')!, 'mm', 'lateral', 'rod square to the cut, against the ankle centre');
      }
      if (cut === 'distalFemur') {
        rods.hip = shown(told.get('rod/hip')!, 'mm', 'medial', 'rod square to the cut, against the hip centre');
      }
    }
  }
  const findings = [...foretold.values()].flatMap(({ openTouches }) => openTouches.map(openTouchFinding));
  return {
    cuts,
    rods,
    rungs: [],
    limb: limbOf(foretold.get('femur')?.told.get('femurValgus'), foretold.get('tibia')?.told.get('tibiaVarus')),
    findings: [...open, ...findings, noRungs],
  };
}

/** Guides that are set, stand on what is there, and can be closed on the believed leg; a finding for each that cannot. */
function guidesThatClose(
  leg: Leg,
  kit: Kit,
  settings: GuideSettings,
): { readonly used: readonly Guide[]; readonly open: readonly Finding[] } {
  const used: Guide[] = [];
  const open: Finding[] = [];
  const made = new Map<Bone, Made>();
  const viewOf = viewsAtMean(leg);
  for (const guide of kit.guides) {
    const set = settings[guide.id];
    if (!set || !standsOn(guide, used)) continue;
    const before = made.get(guide.bone) ?? nothingMade;
    try {
      made.set(guide.bone, madeBy(guide, walk(guide, viewOf(guide.bone), set, kit.components, before), before));
      used.push(guide);
    } catch (e) {
      if (!(e instanceof OpenLoop)) throw e;
      open.push(fault('loop-open', `${guide.says} cannot be closed on this leg: ${e.message}.`));
    }
  }
  return { used, open };
}

const noRungs: Finding = {
  code: 'no-rungs',
  severity: 'info',
  message: 'No gaps have been measured: the ladder of rungs is empty until they are.',
};

const sideOf = (site: ContactSite): string => (site.endsWith('Medial') ? 'M' : 'L');

/** @numerical Shares are said in hundredths. */
const percent = 100;

/** Says what a first touch on the other side would do to the pieces. */
function openTouchFinding({ guide, assumed, chance, shifts }: OpenTouch): Finding {
  const pieces = [...shifts].map(
    ([site, mm]) => `${sideOf(site)} ${Math.abs(mm).toFixed(1)} mm ${mm < 0 ? 'thinner' : 'thicker'}`,
  );
  return info(
    'first-touch-open',
    `${guide.says}: these sums have the plate meet ${siteWord(assumed)} first; the other comes first with a chance of ` +
      `${Math.round(chance * percent)} %, so that on average the pieces come out ${pieces.join(' and ')} than the sums.`,
  );
}

const outputBelongs = (name: OutputName, cut: CutName): boolean =>
  cut === 'tibia'
    ? name.startsWith('tibia')
    : cut === 'distalFemur'
      ? name.startsWith('femur') && name !== 'femurRotation'
      : cut === 'posteriorFemur'
        ? name === 'femurRotation'
        : cut === 'kneecap' && name === 'kneecapRemnant';

/** Limb with parallel component surfaces: tibial varus less femoral valgus. */
function limbOf(femurValgus: Told | undefined, tibiaVarus: Told | undefined): Q {
  const method = 'tibial cut varus less femoral cut valgus, component surfaces parallel';
  return femurValgus && tibiaVarus
    ? shown(
        { value: tibiaVarus.value - femurValgus.value, sd: Math.hypot(tibiaVarus.sd, femurValgus.sd) },
        'deg',
        'varus',
        method,
      )
    : { value: null, unit: 'deg', positive: 'varus', sd: null, method, unknown: 'needs a tibial and a femoral cut' };
}

/** Chance that a foretold angle ends more than `limitDeg` from what was wanted. */
export const chanceBeyond = (foretoldQ: Q, wantedDeg: number, limitDeg: number): number =>
  foretoldQ.value === null || foretoldQ.sd === null
    ? Number.NaN
    : shareBeyond(foretoldQ.value, foretoldQ.sd, wantedDeg, limitDeg);
