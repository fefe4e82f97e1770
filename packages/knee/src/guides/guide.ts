import type { Unit } from '../quantity.ts';
import type { Side } from '../side.ts';
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
  /** What the metal does beyond its engraving, as measured: added to every setting, in the link's own unit. */
  readonly bias?: number | undefined;
  /** Play between the two ends of a travel, in the link's own unit. */
  readonly backlash?: number | undefined;
  /** How far the part jumps when it is locked or driven home. */
  readonly lockJump?: { readonly mm: number; readonly deg: number } | undefined;
  /** How left and right differ. */
  readonly hand?: 'same' | 'printedPair' | 'flips' | 'separatePart' | undefined;
  /** A part fixed in metal does not mirror with the leg. */
  readonly fixedIn?: 'bone' | 'metal' | undefined;
  /** How the control itself is seen to turn for a positive setting on a right knee, checked once on the metal. */
  readonly control?: { readonly viewedFrom: 'foot'; readonly right: 'clockwise' | 'anticlockwise' } | undefined;
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

/** How far metal stands off a site of the bone, mm. */
interface Off {
  readonly lateral: number;
  readonly anterior: number;
}

export interface FrameLink extends Common {
  readonly kind: 'frame';
  readonly at: string;
  readonly offMm?: Off | undefined;
}
export interface MastLink extends Common {
  readonly kind: 'mast';
  readonly from: string;
  readonly to: string;
  readonly spanMm: Num;
  /** How far the middle of the mast's top stands off the site it is brought over. */
  readonly topOffMm?: Off | undefined;
}
export interface CoreLink extends Common {
  readonly kind: 'core';
  readonly canal: 'femoralCanal' | 'tibialCanal';
  readonly rodMm: number;
  /** Length of the rod that lies in the canal, from the entry hole. */
  readonly engagedMm: number;
  /** Spread of the entry hole about the canal's centre line, mm. */
  readonly entrySdMm?: number | undefined;
}
export interface RestLink extends Common {
  readonly kind: 'rest';
  readonly mode: 'first' | 'both';
  readonly sites: readonly string[];
  /** Shims that may be put under a contact; under a plate the plan chooses, under two heels a hand does; none by default. */
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
  /**
   * A slide at the foot of a mast that has no zero to be seen is set as a difference: how much farther the mast stands from the
   * shin's crest at its lower mark than at its upper one. Heights of the two marks above the ankle, mm.
   */
  readonly gauge?: { readonly lowerMm: number; readonly upperMm: number } | undefined;
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
export interface PinRow {
  readonly id: string;
  /** What is engraved beside the row. */
  readonly says?: string | undefined;
  /** How much deeper the block sits with its pins in this row, mm. */
  readonly offsetMm: number;
  /** The seat that the row belongs to; without it the row serves every seat. */
  readonly forSeat?: string | undefined;
}
/** Fixation: rows of holes to choose from, and the small jump when it is driven home. */
export interface PinLink extends Common {
  readonly kind: 'pin';
  readonly rows: readonly PinRow[];
  /** Name of the holes made in the bone: no other guide may make the same ones unless it stands on these pins. */
  readonly holes?: string | undefined;
}
export interface Seat {
  readonly id: string;
  /** What is engraved on it. */
  readonly says: string;
  /** From the mast to the block, toward the right hand of the patient, mm: metal does not mirror. */
  readonly toPatientRightMm: number;
  /** The knees it is for; without it both. */
  readonly forSide?: Side | undefined;
}
/** Seats a block can hang on beside its mast: it moves within the cut's plane, and its pin rows change. */
export interface SeatLink extends Common {
  readonly kind: 'seat';
  readonly seats: readonly Seat[];
}
/** A part that comes in the sizes of a component and is taken by size. */
export interface SizedLink extends Common {
  readonly kind: 'sized';
  readonly component: 'femur' | 'tray' | 'button';
  /** The setting of an earlier guide that fixes the size; without it the plan chooses. */
  readonly follows?: { readonly guide: string; readonly link: string } | undefined;
}
/** A drill or punch that goes into the bone until its stop. */
export interface DrillLink extends Common {
  readonly kind: 'drill';
  /** How deep and how thick: of the component's keel or peg in the size taken. */
  readonly makes: 'keelHole' | 'keel' | 'pegs';
}
/** Something that is only looked at. */
export interface SightLink extends Common {
  readonly kind: 'sight';
  readonly shows: string;
  readonly spanMm?: Num | undefined;
}
export type Face = 'rear' | 'front' | 'rearChamfer' | 'frontChamfer';
export interface SlitLink extends Common {
  readonly kind: 'slit' | 'openFace';
  readonly gapMm: number;
  readonly bladeMm: number;
  /** Length of the blade that leaves the saw, and how much of it the block takes before the bone begins, mm. */
  readonly bladeLengthMm?: number | undefined;
  readonly standOffMm?: number | undefined;
  readonly kerfMm: number;
  /** Spread of the kerf from one blade and hand to the next; shared by all cuts, mm. */
  readonly kerfSdMm: number;
  readonly referenceFace: 'retained' | 'piece';
  /** Saw against slit, degrees: side to side of the leg, and along the way the blade goes in (seen from the side). */
  readonly saw: { readonly coronalDeg: number; readonly sagittalDeg: number };
  /** On a block of a component's size: which face of the component this slit makes. */
  readonly face?: Face | undefined;
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
  | SeatLink
  | SizedLink
  | DrillLink
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
  /** On pins: where an earlier guide's pins went in, and flush on a cut if it also stands on one. */
  readonly mountsOn:
    | 'bone'
    | { readonly cut: CutName }
    | { readonly pinsOf: string; readonly flushOn?: CutName | undefined };
  /** A part made for one side only. */
  readonly side?: Side | undefined;
  /** Another way to do what that earlier guide does; used when it is asked for. */
  readonly insteadOf?: string | undefined;
  readonly links: readonly Link[];
  readonly outputs: readonly { readonly cut: CutName; readonly link: string }[];
  /** Cuts of later guides whose direction the holes of this one fix. */
  readonly aligns?: readonly { readonly cut: CutName; readonly link: string }[] | undefined;
  readonly prepare: {
    readonly who?: string | undefined;
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
): link is
  | FeelerLink
  | SlideLink
  | ThreadLink
  | SwingLink
  | RingLink
  | DialLink
  | PegLink
  | PinLink
  | SeatLink
  | SizedLink =>
  ['feeler', 'slide', 'thread', 'swing', 'ring', 'dial', 'peg', 'seat', 'sized'].includes(link.kind) ||
  (link.kind === 'pin' && link.rows.length > 1);

/** The slide of a guide that sets the size of a component. */
export const sizeSlide = (guide: Guide): SlideLink | undefined =>
  guide.links.find((l): l is SlideLink => l.kind === 'slide' && l.sizes !== undefined);

/** The part of a guide that is taken by the size of a component. */
export const sizedPart = (guide: Guide): SizedLink | undefined => guide.links.find((l) => l.kind === 'sized');
