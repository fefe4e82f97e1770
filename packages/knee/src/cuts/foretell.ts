import {
  type Belief,
  type BentSpread,
  belief,
  joined,
  marginal,
  meanOf,
  normalCdf,
  propagate,
  randomStream,
  sdOf,
  slotOf,
  spreadThrough,
} from '@kerfline/uncertainty';
import { type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';
import type { CutName, Guide, RestLink } from '../guides/guide.ts';
import { type LegView, legViewer, viewAtMean, viewInputs } from '../guides/leg-view.ts';
import { kerfSd, linkErrors } from '../guides/link-errors.ts';
import { namesLookedUp } from '../guides/needs.ts';
import {
  contactsOf,
  deeperSideOf,
  outputsOfCut,
  resectionFromIntact,
  rodAtAnkle,
  rodAtHip,
} from '../guides/outputs.ts';
import { type Made, nothingMade } from '../guides/placement.ts';
import type { Bone } from '../guides/sense.ts';
import type { GuideSettings } from '../guides/setting.ts';
import { madeBy, walk } from '../guides/walker.ts';
import type { Kit } from '../kits/kit.ts';
import type { Leg } from '../leg/leg.ts';
import { type ContactSite, contactSites, wearName } from '../leg/sites.ts';
import type { Unit } from '../quantity.ts';
import type { CutPlane } from './cut-plane.ts';

/** One number that the settings should give, mm or radians, with its spread about the value shown. */
export interface Told {
  readonly value: number;
  readonly sd: number;
}

/** A plate that stops at the first contact it meets, where it is not certain which that will be. */
export interface OpenTouch {
  readonly guide: Guide;
  /** The contact that the values shown assume. */
  readonly assumed: ContactSite;
  /** Chance that another contact is met first. */
  readonly chance: number;
  /** By contact: mean thickness of the piece less the one shown, mm. */
  readonly shifts: ReadonlyMap<ContactSite, number>;
}

/** What one bone's guides should do, in their order. */
export interface Foretold {
  /** By output, `SITE/intact`, `SITE/piece`, `rod/ankle`, `rod/hip`. */
  readonly told: ReadonlyMap<string, Told>;
  /** The planes at the mean. */
  readonly planes: ReadonlyMap<CutName, CutPlane>;
  readonly openTouches: readonly OpenTouch[];
}

const errorName = (guide: Guide, key: string): string => `${guide.id}/${key}`;
const kerfName = 'kerf';

/** Names of every nuisance of a kit's guides whose spread may be stated, with the unit it is stated in. */
export const nuisances = (kit: Kit): ReadonlyMap<string, Unit> =>
  new Map<string, Unit>([
    [kerfName, 'mm'],
    ...kit.guides.flatMap((guide) => linkErrors(guide).map((e): [string, Unit] => [errorName(guide, e.key), e.unit])),
  ]);

const contactNames = new Map(
  contactSites.map((site) => [site, { intact: `${site}/intact`, piece: `${site}/piece`, wear: wearName(site) }]),
);

/** Everything the cuts of one bone say, by name. */
function sayings(leg: LegView, cuts: Iterable<CutPlane>): Map<string, number> {
  const out = new Map<string, number>();
  for (const plane of cuts) {
    for (const [name, value] of Object.entries(outputsOfCut(plane, leg))) out.set(name, value);
    for (const site of contactsOf(plane.cut) ?? []) {
      const names = contactNames.get(site)!;
      const intact = resectionFromIntact(plane, leg, site);
      out.set(names.intact, intact);
      out.set(names.piece, intact - leg.number(names.wear) - plane.kerf);
    }
    if (plane.cut === 'tibia') out.set('rod/ankle', rodAtAnkle(plane, leg.number('tibiaSpan')));
    if (plane.cut === 'distalFemur') out.set('rod/hip', rodAtHip(plane, leg));
  }
  return out;
}

/** A rest of a guide in place: the contact it stops at, by its place among its sites, and how far the next stands over it. */
interface Touch {
  readonly guide: Guide;
  readonly link: RestLink;
  readonly at: number;
  readonly over: number;
}

interface Cutting {
  readonly leg: LegView;
  readonly cuts: ReadonlyMap<CutName, CutPlane>;
  readonly touches: readonly Touch[];
}

/** @numerical Draws of the contacts that are met first: enough for the tenth of a millimetre that is shown. */
const touchDraws = 2000;
/** @numerical A bend farther from the mean than this many spreads is not met. */
const farFromBend = 5;
/** When it is said that another contact may come first: both must hold. */
export const openTouch = {
  chance: {
    name: 'What a proof says: open touch, chance',
    value: 0.05,
    unit: 'share',
    usedFor: 'chance from which another contact under a plate is told of',
    source: workingDefault,
  },
  shift: {
    name: 'What a proof says: open touch, shift',
    value: 0.1,
    unit: 'mm',
    usedFor: 'mean change of a piece from which another contact under a plate is told of',
    source: workingDefault,
  },
} as const satisfies Readonly<Record<string, ScalarDefault>>;

/** Whether an error of a guide moves anything that is told: a slit's own moves only its cut, of which not all are. */
function isTold(guide: Guide, key: string): boolean {
  const link = guide.links.find((l) => key === l.id || key.startsWith(`${l.id}.`));
  if (link?.kind !== 'slit' && link?.kind !== 'openFace') return true;
  const cut = guide.outputs.find((output) => output.link === link.id)?.cut;
  return cut === 'kneecap' || (cut !== undefined && contactsOf(cut) !== undefined);
}

const overName = (touch: Touch): string => `over ${touch.guide.id}/${touch.link.id}`;

/**
 * What one bone's guides will do, in their order, and how far that may be off. Values are those of the believed leg. With
 * every plate held on the contact it then meets, first order is good; which contact is met first, and which side of a cut
 * is the deeper, is drawn (docs/methods.md, first touch).
 *
 * @param spreads stated spreads of nuisances (mm or degrees) by `guide/link` or `kerf`, in place of the kit's own
 */
export function foretell(
  leg: Leg,
  kit: Kit,
  bone: Bone,
  guides: readonly Guide[],
  settings: GuideSettings,
  spreads: ReadonlyMap<string, number>,
): Foretold {
  const atBelief = viewAtMean(leg, bone);
  const errors = guides.flatMap((guide) =>
    linkErrors(guide, atBelief)
      .filter(({ key }) => isTold(guide, key))
      .map((e) => {
        const name = errorName(guide, e.key);
        return { guide, key: e.key, name, sd: spreads.get(name) ?? e.sd };
      })
      .filter(({ sd }) => sd > 0),
  );
  const kerf = spreads.get(kerfName) ?? Math.max(...guides.map(kerfSd));
  const looked = namesLookedUp(guides);
  const sites = viewInputs(leg, bone, looked);
  const full = joined(
    marginal(leg.belief, sites),
    belief([...errors.map(({ name, sd }) => ({ name, value: 0, sd })), { name: kerfName, value: 0, sd: kerf }]),
  );
  const inputs = full.slots.map((slot) => slot.name);
  const siteCount = sites.reduce((sum, name) => sum + slotOf(leg.belief, name).size, 0);
  const view = legViewer(leg, bone, looked);

  const errorsOf = guides.map((guide) =>
    errors.flatMap((e, k) => (e.guide === guide ? [{ key: e.key, at: siteCount + k }] : [])),
  );

  /** What each guide has left on the believed leg, once it has been walked; the first walk is that of the mean. */
  const asBelieved: { readonly made: Made; readonly touches: readonly Touch[] }[] = [];
  /** The first guide that a draw of the leg and its errors may place otherwise than the mean. */
  const sameUpTo = (x: readonly number[]): number => {
    if (asBelieved.length < guides.length) return 0;
    for (let i = 0; i < siteCount; i += 1) if (x[i] !== full.mean[i]) return 0;
    if (x[x.length - 1] !== 0) return 0;
    const g = errorsOf.findIndex((own) => own.some(({ at }) => x[at] !== 0));
    return g < 0 ? guides.length : g;
  };

  /**
   * @param held by guide, contacts that its rests stay on; without them a plate stops at the first contact
   * @param lifted a rest that stands off its contact, mm
   */
  const cutAll = (
    x: readonly number[],
    held?: readonly ReadonlyMap<string, number>[],
    lifted?: { readonly touch: Touch; readonly mm: number },
  ): Cutting => {
    const seen = view(x);
    // What is as believed up to some guide has been walked before.
    const from = lifted ? 0 : sameUpTo(x);
    let made = from > 0 ? asBelieved[from - 1]!.made : nothingMade;
    const touches: Touch[] = from > 0 ? [...asBelieved[from - 1]!.touches] : [];
    guides.slice(from).forEach((guide, k) => {
      const g = from + k;
      const own: Record<string, number> = { kerf: x[x.length - 1]! };
      for (const { key, at } of errorsOf[g]!) own[key] = x[at]!;
      if (lifted?.touch.guide === guide) own[lifted.touch.link.id] = (own[lifted.touch.link.id] ?? 0) + lifted.mm;
      const placed = walk(guide, seen, settings[guide.id]!, kit.components, made, own, held?.[g]);
      made = madeBy(guide, placed, made);
      for (const link of guide.links) {
        if (link.kind !== 'rest') continue;
        const at = placed.reads.get(`${link.id}.touches`);
        if (at !== undefined) touches.push({ guide, link, at, over: placed.reads.get(`${link.id}.over`)! });
      }
      if (asBelieved.length === g) asBelieved.push({ made, touches: [...touches] });
    });
    return { leg: seen, cuts: made.cuts, touches };
  };
  const saidBy = ({ leg: seen, cuts }: Cutting): Map<string, number> => sayings(seen, cuts.values());

  const atMean = cutAll(full.mean);
  const { touches } = atMean;
  const held = guides.map((guide) => new Map(touches.filter((t) => t.guide === guide).map((t) => [t.link.id, t.at])));
  const names = [...saidBy(atMean).keys()];
  const smooth = propagate(
    full,
    inputs,
    [...names, ...touches.map(overName)],
    (x) => {
      const drawn = cutAll(x, held);
      return [...saidBy(drawn).values(), ...drawn.touches.map((t) => t.over)];
    },
    'forward',
  );
  const told = new Map(names.map((name) => [name, { value: meanOf(smooth, name), sd: sdOf(smooth, name) }]));
  const lifts = touches.map((touch) => {
    const [above, below] = [liftStep, -liftStep].map((mm) => saidBy(cutAll(full.mean, held, { touch, mm })));
    return new Map(names.map((name) => [name, (above!.get(name)! - below!.get(name)!) / (2 * liftStep)]));
  });
  const bent = bentSpreads(smooth, [...atMean.cuts.keys()], touches, lifts);
  for (const [name, { sd }] of bent) told.set(name, { value: told.get(name)!.value, sd });
  return { told, planes: atMean.cuts, openTouches: openTouches(smooth, touches, bent) };
}

/** Step of the derivative by which a plate is lifted off its contact, mm. */
const liftStep = 1e-4;

/** Spreads of what depends on which contact is met first, or on which side of a cut is the deeper. */
function bentSpreads(
  smooth: Belief,
  cuts: readonly CutName[],
  touches: readonly Touch[],
  lifts: readonly ReadonlyMap<string, number>[],
): ReadonlyMap<string, BentSpread> {
  const overs = touches.map(overName).filter((name) => -meanOf(smooth, name) < farFromBend * sdOf(smooth, name));
  const pairs = cuts.flatMap((cut) => {
    const deeper = deeperSideOf(cut);
    const contacts = contactsOf(cut);
    return deeper && contacts ? [{ deeper, intact: contacts.map((site) => `${site}/intact`) }] : [];
  });
  const names = smooth.slots
    .map((slot) => slot.name)
    .filter((name) => {
      const pair = pairs.find((p) => p.deeper === name || p.intact.includes(name));
      if (pair && Math.abs(gap(smooth, pair.intact).mean) < farFromBend * gap(smooth, pair.intact).sd) return true;
      return touches.some((t, k) => overs.includes(overName(t)) && Math.abs(lifts[k]!.get(name) ?? 0) > 1e-6);
    });
  if (names.length === 0) return new Map();
  const drawn = marginal(smooth, [...names, ...overs]);
  const place = new Map(drawn.slots.map((slot) => [slot.name, slot.at]));
  const straight = names.map((name) => place.get(name)!);
  // A plate that meets another contact first stops that much earlier.
  const drops = names.map((name) =>
    touches.flatMap((touch, k) => {
      const over = place.get(overName(touch));
      return over === undefined ? [] : [{ over, mm: lifts[k]!.get(name)! }];
    }),
  );
  const larger = pairs
    .filter((pair) => [pair.deeper, ...pair.intact].every((name) => names.includes(name)))
    .map((pair) => ({ at: names.indexOf(pair.deeper), of: pair.intact.map((name) => names.indexOf(name)) }));
  const overPlaces = overs.map((name) => place.get(name)!);
  const sidePlaces = larger.map(({ at, of }) => ({ deeper: straight[at]!, sides: of.map((i) => straight[i]!) }));
  const bent = (x: readonly number[]): readonly number[] | undefined => {
    const met = overPlaces.some((over) => x[over]! > 0);
    // The deeper side is the deeper to all but rounding.
    const crossed = sidePlaces.some(({ deeper, sides }) => sides.some((side) => x[side]! > x[deeper]! + 1e-9));
    if (!met && !crossed) return undefined;
    const y = straight.map((component) => x[component]!);
    for (let i = 0; i < y.length; i += 1) {
      for (const { over, mm } of drops[i]!) if (x[over]! > 0) y[i]! -= mm * x[over]!;
    }
    for (const { at, of } of larger) y[at] = Math.max(...of.map((i) => y[i]!));
    return y;
  };
  const spreads = spreadThrough(drawn, straight, bent, touchDraws, randomStream(1, 'first touch'));
  return new Map(names.map((name, k) => [name, spreads[k]!]));
}

/** Difference of two quantities of a belief. */
function gap(b: Belief, [one, other]: readonly string[]): { readonly mean: number; readonly sd: number } {
  const [d] = propagate(b, [one!, other!], ['gap'], ([x, y]) => [x! - y!]).covariance;
  return { mean: meanOf(b, one!) - meanOf(b, other!), sd: Math.sqrt(d!) };
}

function openTouches(
  smooth: Belief,
  touches: readonly Touch[],
  bent: ReadonlyMap<string, BentSpread>,
): readonly OpenTouch[] {
  return touches.flatMap((touch): readonly OpenTouch[] => {
    const over = overName(touch);
    const sd = sdOf(smooth, over);
    const chance = sd > 0 ? normalCdf(meanOf(smooth, over) / sd) : 0;
    const sites = touch.link.sites as readonly ContactSite[];
    const shifts = new Map(sites.map((site) => [site, bent.get(`${site}/piece`)?.shift ?? 0]));
    const open =
      chance >= openTouch.chance.value && [...shifts.values()].some((mm) => Math.abs(mm) >= openTouch.shift.value);
    return open ? [{ guide: touch.guide, assumed: sites[touch.at]!, chance, shifts }] : [];
  });
}
