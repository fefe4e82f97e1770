import { dot, type Rotation, subtract, type Vec3 } from '@kerfline/geometry';
import { type Belief, has, slotOf } from '@kerfline/uncertainty';
import { clinicalAnkle, femurAxes, tibiaAxes } from '../leg/axes.ts';
import type { Leg } from '../leg/leg.ts';
import { cartilageName, contactSites, cortexHeightsMm, cortexName, isContact, wearName } from '../leg/sites.ts';
import type { Side } from '../side.ts';
import type { Bone } from './sense.ts';

/** How far the surface stands out from a contact's site, mm: with its whole cartilage, and as it is now. */
export interface SurfaceLayers {
  readonly intactOut: number;
  readonly nowOut: number;
}

/** One bone of a leg, by numbers, in its clinical frame: what guides rest on and cuts are judged against. */
export interface LegView {
  readonly bone: Bone;
  readonly side: Side;
  /** L-A-P, mm. */
  site(name: string): Vec3;
  has(name: string): boolean;
  number(name: string): number;
  /** Nothing lies on a site that is no contact. */
  layers(site: string): SurfaceLayers;
}

/** What a guide may look up on a bone, by name, and what only the bone's frame needs. */
interface ViewNames {
  readonly sites: readonly string[];
  readonly numbers: readonly string[];
  readonly hidden: readonly string[];
}

const namesOn: Readonly<Record<Bone, ViewNames>> = {
  femur: {
    sites: [
      'hipCentre',
      'femoralKneeCentre',
      'posteriorMedial',
      'posteriorLateral',
      'distalMedial',
      'distalLateral',
      'femoralCanalLow',
      'femoralCanalHigh',
      'anteriorCortex',
    ],
    numbers: ['femurWidth', 'femurDepth', 'femoralCanalWidth'],
    hidden: cortexHeightsMm.map(cortexName),
  },
  tibia: {
    sites: [
      'tibialKneeCentre',
      'malleolarMidpoint',
      'plateauMedial',
      'plateauLateral',
      'tubercle',
      'crestUpper',
      'crestLower',
      'tibialCanalLow',
      'tibialCanalHigh',
    ],
    numbers: ['ankleOffset', 'tibiaSpan', 'tibiaWidth', 'tibiaDepth', 'tibialCanalWidth'],
    hidden: ['tibialLineTurn'],
  },
  patella: {
    sites: ['patellaAnterior', 'patellaFacetMedial', 'patellaFacetLateral'],
    numbers: ['patellaThickness', 'patellaWidth'],
    hidden: [],
  },
};

const bareSurface: SurfaceLayers = { intactOut: 0, nowOut: 0 };

/** A kneecap of which only the thickness is known: flat in front and behind, L and A as shares of it. */
const flatKneecap: Readonly<Record<string, readonly [number, number]>> = {
  patellaAnterior: [0, 0],
  patellaFacetMedial: [-0.5, -1],
  patellaFacetLateral: [0.5, -1],
};

/** What a guide may look up on a bone; a leg need not have all of it. */
export const viewNames = (bone: Bone): Omit<ViewNames, 'hidden'> => namesOn[bone];

/** Names without which a view of a bone has no frame, and those that every cut is judged by. */
const alwaysSeen: Readonly<Record<Bone, readonly string[]>> = {
  femur: ['hipCentre', 'femoralKneeCentre'],
  tibia: ['tibialKneeCentre', 'malleolarMidpoint', 'ankleOffset', 'tibialLineTurn', 'tibiaSpan'],
  patella: ['patellaAnterior', 'patellaThickness'],
};

/**
 * Names of the belief that a view of a bone may read, as far as this leg has them.
 *
 * @param looked when given, only what is looked up by these names, beside the frame, the contacts and what lies on them
 */
export function viewInputs(leg: Leg, bone: Bone, looked?: ReadonlySet<string>): readonly string[] {
  const { sites, numbers, hidden } = namesOn[bone];
  const layers = contactSites
    .filter((site) => sites.includes(site))
    .flatMap((site) => [wearName(site), cartilageName(site)]);
  const seen = (name: string): boolean =>
    looked === undefined || looked.has(name) || isContact(name) || alwaysSeen[bone].includes(name);
  return [...[...sites, ...numbers, ...hidden].filter(seen), ...layers].filter((name) => has(leg.belief, name));
}

/**
 * A way to look at one bone of a leg for any draw of its numbers.
 *
 * @param looked as for `viewInputs`
 * @returns a function from the components of `viewInputs` (in that order) to a view
 */
export function legViewer(leg: Leg, bone: Bone, looked?: ReadonlySet<string>): (x: readonly number[]) => LegView {
  const place = new Map<string, number>();
  let at = 0;
  for (const name of viewInputs(leg, bone, looked)) {
    place.set(name, at);
    at += slotOf(leg.belief, name).size;
  }
  const bare = leg.contactsOn === 'bone';
  return (x) => {
    const start = (name: string): number => {
      const k = place.get(name);
      if (k === undefined) throw new Error(`this leg has no ${name}`);
      return k;
    };
    const raw = (name: string): Vec3 => {
      const k = start(name);
      return [x[k]!, x[k + 1]!, x[k + 2]!];
    };
    const number = (name: string): number => x[start(name)]!;
    const { axes, origin } = frame(bone, raw, number);
    const inFrame = new Map<string, Vec3>();
    const byNumbers = bone === 'patella' && !place.has('patellaAnterior') && place.has('patellaThickness');
    return {
      bone,
      side: leg.side,
      has: (name) => place.has(name) || (byNumbers && name in flatKneecap),
      number,
      site(name) {
        const known = inFrame.get(name);
        if (known) return known;
        const plain = byNumbers ? flatKneecap[name] : undefined;
        if (plain) return [plain[0] * number('patellaThickness'), plain[1] * number('patellaThickness'), 0];
        const d = subtract(raw(name), origin);
        const found: Vec3 = [dot(axes[0], d), dot(axes[1], d), dot(axes[2], d)];
        inFrame.set(name, found);
        return found;
      },
      layers(site) {
        if (!isContact(site)) return bareSurface;
        const worn = number(wearName(site));
        // On a scan the site is bone; where more than the cartilage is lost, the bone itself has gone back.
        const whole = bare ? Math.max(number(cartilageName(site)), worn) : 0;
        return { intactOut: whole, nowOut: whole - worn };
      },
    };
  };
}

function frame(
  bone: Bone,
  raw: (name: string) => Vec3,
  number: (name: string) => number,
): { readonly axes: Rotation; readonly origin: Vec3 } {
  switch (bone) {
    case 'femur':
      return {
        axes: femurAxes(raw('hipCentre'), raw('femoralKneeCentre'), raw('posteriorMedial'), raw('posteriorLateral')),
        origin: raw('femoralKneeCentre'),
      };
    case 'tibia': {
      const knee = raw('tibialKneeCentre');
      const turn = number('tibialLineTurn');
      const ankle = clinicalAnkle(knee, raw('malleolarMidpoint'), turn, number('ankleOffset'));
      return { axes: tibiaAxes(knee, ankle, turn), origin: knee };
    }
    case 'patella':
      return {
        axes: [
          [1, 0, 0],
          [0, 1, 0],
          [0, 0, 1],
        ],
        origin: [0, 0, 0],
      };
  }
}

/** Components of the view's inputs in a belief's mean. */
export function viewAtMean(leg: Leg, bone: Bone, belief: Belief = leg.belief): LegView {
  const x = viewInputs(leg, bone).flatMap((name) => {
    const slot = slotOf(belief, name);
    return belief.mean.slice(slot.at, slot.at + slot.size);
  });
  return legViewer(leg, bone)(x);
}

/** Views of a leg's bones as it is believed, each made once. */
export function viewsAtMean(leg: Leg): (bone: Bone) => LegView {
  const made = new Map<Bone, LegView>();
  return (bone) => {
    const view = made.get(bone) ?? viewAtMean(leg, bone);
    made.set(bone, view);
    return view;
  };
}
