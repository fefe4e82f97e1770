import type { Unit } from '../quantity.ts';
import type { Bone, SlideSense, TurnSense } from './sense.ts';

/**
 * The guide language: a guide is a tree of links, each held by its parent (`on`), from what touches the bone to the slit.
 * A kit never stores a leg's own value. Lengths in mm, angles in degrees, as engraved.
 */

/** A number of the kit, or one that each leg brings. */
export type Num = number | { readonly leg: string; readonly times?: number | undefined };

/** Who decides a setting: the plan solves it, the hand sights it by eye, or it is read off on the bone. */
export type SetBy = 'plan' | 'sight' | 'read';

/** Which way a setting between two marks goes. */
export type Rounding = 'nearest' | 'shallower' | 'thicker';

interface Common {
  readonly id: string;
  /** Parent link; without it the link hangs on the bone. */
  readonly on?: string | undefined;
  /** What people call it in a sentence. */
  readonly says: string;
  /** The engraved text and where the eye must be. */
  readonly reads?: string | undefined;
  readonly who?: string | undefined;
  readonly setBy?: SetBy | undefined;
  readonly rounds?: Rounding | undefined;
  /** Smallest step a hand can set: in marks where there are marks, else in the link's own unit. */
  readonly settable?: number | undefined;
  /** One standard deviation of what is set against what is called, in the link's own unit. */
  readonly sd: number;
  readonly bias?: number | undefined;
  readonly backlash?: number | undefined;
  readonly lockJump?: { readonly mm: number; readonly deg: number } | undefined;
  readonly hand?: 'same' | 'printedPair' | 'flips' | 'separatePart' | undefined;
  readonly fixedIn?: 'bone' | 'metal' | undefined;
}

/** Allowed settings: zero + k * step inside the range; step null is continuous. */
interface Detents {
  readonly range: readonly [number, number];
  readonly zero: number;
  readonly step: number | null;
}

export interface Marks {
  readonly everyMm: number;
  readonly says: string;
  readonly trueFor?: { readonly spanMm: number } | undefined;
}

export interface FrameLink extends Common {
  readonly kind: 'frame';
  readonly at: string;
}
export interface MastLink extends Common {
  readonly kind: 'mast';
  readonly from: string;
  readonly to: string;
  readonly spanMm: Num;
}
export interface CoreLink extends Common {
  readonly kind: 'core';
  readonly canal: 'femoralCanal' | 'tibialCanal';
  readonly rodMm: number;
  readonly engagedMm: number;
}
export interface RestLink extends Common {
  readonly kind: 'rest';
  readonly mode: 'first' | 'both';
  readonly sites: readonly string[];
  /** Shims that may be put under a contact; the plan chooses, none by default. */
  readonly shimsMm?: readonly number[] | undefined;
}
export interface FeelerLink extends Common {
  readonly kind: 'feeler';
  /** Sites the tip may be put on; the plan chooses one. */
  readonly touches: readonly string[];
  readonly values: readonly number[];
  readonly reach?: Num | undefined;
}
export interface SlideLink extends Common, Detents {
  readonly kind: 'slide';
  readonly toward: SlideSense;
  readonly marks?: Marks | undefined;
  /** A slide that sets the size of a component, and what stays in place when the size changes. */
  readonly sizes?:
    | { readonly component: 'femur'; readonly keeps: readonly ('rear' | 'front')[]; readonly front: string }
    | undefined;
  /** Whether the zero can be seen on the metal. */
  readonly zeroSeen?: boolean | undefined;
}
export interface ThreadLink extends Common {
  readonly kind: 'thread';
  readonly toward: SlideSense;
  readonly pitchMm: number;
  readonly range: readonly [number, number];
}
export interface SwingLink extends Common, Detents {
  readonly kind: 'swing';
  readonly turn: TurnSense;
  /** Contacts the turn may pivot on; the plan takes the first unless told otherwise. */
  readonly pivots?: readonly ('middle' | 'medial' | 'lateral')[] | undefined;
}
export interface RingLink extends Common {
  readonly kind: 'ring';
  readonly turn: TurnSense;
  readonly values: readonly number[];
  /** The face that must be up on each side. */
  readonly faces?: { readonly left: string; readonly right: string } | undefined;
}
export interface DialLink extends Common {
  readonly kind: 'dial';
  readonly sets: string;
  readonly values: readonly number[];
}
export interface PegLink extends Common {
  readonly kind: 'peg';
  readonly toward: SlideSense;
  readonly values: readonly number[];
}
/** Fixation: rows of holes, and the small jump when it is driven home. */
export interface PinLink extends Common {
  readonly kind: 'pin';
  readonly rows: readonly { readonly id: string; readonly offsetMm: number; readonly forSeat?: string | undefined }[];
}
/** Something that is only looked at. */
export interface SightLink extends Common {
  readonly kind: 'sight';
  readonly shows: string;
  readonly spanMm?: Num | undefined;
}
export interface SlitLink extends Common {
  readonly kind: 'slit' | 'openFace';
  readonly gapMm: number;
  readonly bladeMm: number;
  readonly kerfMm: number;
  /** Spread of the kerf from one blade and hand to the next; shared by all cuts, mm. */
  readonly kerfSdMm: number;
  readonly referenceFace: 'retained' | 'piece';
  /** Saw against slit, degrees: side to side of the leg, and along the way the blade goes in (seen from the side). */
  readonly saw: { readonly coronalDeg: number; readonly sagittalDeg: number };
  /** On a sizing frame: which face of the component this slit makes. */
  readonly face?: 'rear' | 'front' | undefined;
}

export type Link =
  | FrameLink
  | MastLink
  | CoreLink
  | RestLink
  | FeelerLink
  | SlideLink
  | ThreadLink
  | SwingLink
  | RingLink
  | DialLink
  | PegLink
  | PinLink
  | SightLink
  | SlitLink;

export const cutNames = [
  'tibia',
  'distalFemur',
  'posteriorFemur',
  'anteriorFemur',
  'posteriorChamfer',
  'anteriorChamfer',
  'kneecap',
] as const;
export type CutName = (typeof cutNames)[number];

export interface Guide {
  readonly id: string;
  readonly says: string;
  readonly bone: Bone;
  readonly mountsOn: 'bone' | { readonly cut: CutName } | { readonly pinsOf: string };
  readonly links: readonly Link[];
  readonly outputs: readonly { readonly cut: CutName; readonly link: string }[];
  readonly prepare: {
    readonly parts: readonly string[];
    readonly order: readonly string[];
    readonly openAtHandOver: readonly string[];
    readonly closedAtHandOver: readonly string[];
    readonly pins?: string | undefined;
    readonly blade?: string | undefined;
    readonly next?: string | undefined;
  };
}

/** The unit a link is set in. */
export function linkUnit(link: Link): Unit {
  switch (link.kind) {
    case 'swing':
    case 'ring':
      return 'deg';
    default:
      return 'mm';
  }
}

/** Whether a link has a setting at all. */
export const isSettable = (
  link: Link,
): link is FeelerLink | SlideLink | ThreadLink | SwingLink | RingLink | DialLink | PegLink =>
  ['feeler', 'slide', 'thread', 'swing', 'ring', 'dial', 'peg'].includes(link.kind);

/** The slide of a guide that sets the size of a component. */
export const sizeSlide = (guide: Guide): SlideLink | undefined =>
  guide.links.find((l): l is SlideLink => l.kind === 'slide' && l.sizes !== undefined);
