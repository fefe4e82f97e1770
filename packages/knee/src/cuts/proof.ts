import type { Finding } from '@kerfline/geometry';
import {
  type Belief,
  belief,
  joined,
  marginal,
  meanOf,
  propagate,
  sdOf,
  shareBeyond,
  slotOf,
} from '@kerfline/uncertainty';
import type { CutName, Guide } from '../guides/guide.ts';
import { type LegView, legViewer, viewInputs } from '../guides/leg-view.ts';
import { kerfSd, linkErrors } from '../guides/link-errors.ts';
import {
  contactsOf,
  type OutputName,
  outputNames,
  outputsOfCut,
  outputWords,
  resectionFromIntact,
  rodAtAnkle,
  rodAtHip,
} from '../guides/outputs.ts';
import type { Bone } from '../guides/sense.ts';
import type { Errors, Settings } from '../guides/setting.ts';
import { walk } from '../guides/walker.ts';
import type { Kit } from '../kits/kit.ts';
import type { Leg } from '../leg/leg.ts';
import { type ContactSite, wearName } from '../leg/sites.ts';
import { outside, type Positive, type Q, type Unit } from '../quantity.ts';
import type { CutPlane } from './cut-plane.ts';

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

/** Settings of every guide that is to be used, by guide. */
export type GuideSettings = Readonly<Record<string, Settings>>;

interface Foretold {
  readonly belief: Belief;
  readonly planes: ReadonlyMap<CutName, CutPlane>;
}

const errorName = (guide: Guide, key: string): string => `${guide.id}/${key}`;
const kerfName = 'kerf';

/** Names of every nuisance of a kit's guides whose spread may be stated, with the unit it is stated in. */
export const nuisances = (kit: Kit): ReadonlyMap<string, Unit> =>
  new Map<string, Unit>([
    [kerfName, 'mm'],
    ...kit.guides.flatMap((guide) => linkErrors(guide).map((e): [string, Unit] => [errorName(guide, e.key), e.unit])),
  ]);

/** Everything one bone's cuts say, by name, from a view and its errors. */
function sayings(leg: LegView, cuts: readonly CutPlane[]): Map<string, number> {
  const out = new Map<string, number>();
  for (const plane of cuts) {
    for (const [name, value] of Object.entries(outputsOfCut(plane, leg))) out.set(name, value);
    for (const site of contactsOf(plane.cut) ?? []) {
      const intact = resectionFromIntact(plane, leg, site);
      out.set(`${site}/intact`, intact);
      out.set(`${site}/piece`, intact - leg.number(wearName(site)) - plane.kerf);
    }
    if (plane.cut === 'tibia') out.set('rod/ankle', rodAtAnkle(plane, leg.number('tibiaSpan')));
    if (plane.cut === 'distalFemur') out.set('rod/hip', rodAtHip(plane, leg));
  }
  return out;
}

/** One bone's guides in their order, with what they will do and how far it may be off. */
function foretell(
  leg: Leg,
  kit: Kit,
  bone: Bone,
  guides: readonly Guide[],
  settings: GuideSettings,
  spreads: ReadonlyMap<string, number>,
): Foretold {
  const errors = guides.flatMap((guide) =>
    linkErrors(guide).map((e) => {
      const name = errorName(guide, e.key);
      return { guide, key: e.key, name, sd: spreads.get(name) ?? e.sd };
    }),
  );
  const kerf = spreads.get(kerfName) ?? Math.max(...guides.map(kerfSd));
  const sites = viewInputs(leg, bone);
  const full = joined(
    marginal(leg.belief, sites),
    belief([...errors.map(({ name, sd }) => ({ name, value: 0, sd })), { name: kerfName, value: 0, sd: kerf }]),
  );
  const inputs = [...sites, ...errors.map(({ name }) => name), kerfName];
  const siteCount = sites.reduce((sum, name) => sum + slotOf(leg.belief, name).size, 0);
  const view = legViewer(leg, bone);
  const cutAll = (x: readonly number[]): { readonly leg: LegView; readonly cuts: readonly CutPlane[] } => {
    const seen = view(x);
    const made = new Map<string, CutPlane>();
    const cuts: CutPlane[] = [];
    for (const guide of guides) {
      const own: Record<string, number> = { kerf: x[x.length - 1]! };
      errors.forEach((e, k) => {
        if (e.guide === guide) own[e.key] = x[siteCount + k]!;
      });
      const placed = walk(guide, seen, settings[guide.id]!, kit.components, made, own satisfies Errors);
      for (const plane of placed.cuts) {
        made.set(plane.cut, plane);
        cuts.push(plane);
      }
    }
    return { leg: seen, cuts };
  };
  const mean = inputs.flatMap((name) => {
    const slot = slotOf(full, name);
    return full.mean.slice(slot.at, slot.at + slot.size);
  });
  const atMean = cutAll(mean);
  const names = [...sayings(atMean.leg, atMean.cuts).keys()];
  const foretold = propagate(full, inputs, names, (x) => {
    const drawn = cutAll(x);
    return [...sayings(drawn.leg, drawn.cuts).values()];
  });
  return { belief: foretold, planes: new Map(atMean.cuts.map((plane) => [plane.cut, plane])) };
}

function shown(b: Belief, name: string, unit: Unit, positive: Positive | undefined, method: string): Q {
  return {
    value: outside(meanOf(b, name), unit),
    unit,
    ...(positive ? { positive } : {}),
    sd: outside(sdOf(b, name), unit),
    method,
  };
}

function pieceAt(leg: Leg, b: Belief, plane: CutPlane, site: ContactSite): Piece {
  const intact = meanOf(b, `${site}/intact`);
  const wear = meanOf(leg.belief, wearName(site));
  return {
    site,
    terms: [
      { name: 'intact', mm: intact },
      { name: 'wear', mm: 0 - wear },
      { name: 'kerf', mm: 0 - plane.kerf },
    ],
    pieceMm: meanOf(b, `${site}/piece`),
    sd: sdOf(b, `${site}/piece`),
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
  const used = kit.guides.filter((guide) => settings[guide.id]);
  const cuts: Partial<Record<CutName, CutProof>> = {};
  const rods: Partial<Record<'ankle' | 'hip', Q>> = {};
  const foretold = new Map<Bone, Foretold>();
  for (const bone of ['femur', 'tibia'] as const) {
    const guides = used.filter((guide) => guide.bone === bone);
    if (guides.length === 0) continue;
    const told = foretell(leg, kit, bone, guides, settings, spreads);
    foretold.set(bone, told);
    for (const [cut, plane] of told.planes) {
      const contacts = contactsOf(cut);
      const names = outputNames.filter((name) => told.belief.slots.some((slot) => slot.name === name));
      cuts[cut] = {
        plane,
        planes: Object.fromEntries(
          names
            .filter((name) => outputBelongs(name, cut))
            .map((name) => [
              name,
              shown(told.belief, name, outputWords[name].unit, outputWords[name].positive, byGuides),
            ]),
        ),
        ...(contacts
          ? {
              pieces: {
                medial: pieceAt(leg, told.belief, plane, contacts[0]),
                lateral: pieceAt(leg, told.belief, plane, contacts[1]),
              },
            }
          : {}),
      };
      if (cut === 'tibia') {
        rods.ankle = shown(
          told.belief,
          'rod/ankle',
          'mm',
          'lateral',
          'rod square to the cut, against the ankle centre',
        );
      }
      if (cut === 'distalFemur') {
        rods.hip = shown(told.belief, 'rod/hip', 'mm', 'medial', 'rod square to the cut, against the hip centre');
      }
    }
  }
  const femur = foretold.get('femur')?.belief;
  const tibia = foretold.get('tibia')?.belief;
  return { cuts, rods, rungs: [], limb: limbOf(femur, tibia), findings: [noRungs] };
}

const noRungs: Finding = {
  code: 'no-rungs',
  severity: 'info',
  message: 'No gaps have been measured: the ladder of rungs is empty until they are.',
};

const outputBelongs = (name: OutputName, cut: CutName): boolean =>
  cut === 'tibia'
    ? name.startsWith('tibia')
    : cut === 'distalFemur'
      ? name.startsWith('femur') && name !== 'femurRotation'
      : cut === 'posteriorFemur' && name === 'femurRotation';

/** Limb with parallel component surfaces: tibial varus less femoral valgus. */
function limbOf(femur: Belief | undefined, tibia: Belief | undefined): Q {
  const method = 'tibial cut varus less femoral cut valgus, component surfaces parallel';
  if (!femur || !tibia) {
    return {
      value: null,
      unit: 'deg',
      positive: 'varus',
      sd: null,
      method,
      unknown: 'needs a tibial and a femoral cut',
    };
  }
  return {
    value: outside(meanOf(tibia, 'tibiaVarus') - meanOf(femur, 'femurValgus'), 'deg'),
    unit: 'deg',
    positive: 'varus',
    sd: outside(Math.hypot(sdOf(tibia, 'tibiaVarus'), sdOf(femur, 'femurValgus')), 'deg'),
    method,
  };
}

/** Chance that a foretold angle ends more than `limitDeg` from what was wanted. */
export const chanceBeyond = (foretoldQ: Q, wantedDeg: number, limitDeg: number): number =>
  foretoldQ.value === null || foretoldQ.sd === null
    ? Number.NaN
    : shareBeyond(foretoldQ.value, foretoldQ.sd, wantedDeg, limitDeg);
