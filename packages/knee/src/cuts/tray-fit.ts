import {
  convexHull,
  insidePolygon,
  nearestOnEdge,
  overlapArea,
  type Polygon,
  polygonArea,
  type Radians,
  refined,
  simplified,
} from '@kerfline/geometry';
import type { TraySize } from '../kits/kit.ts';
import { extentOf } from './cut-outline.ts';
import { fitDefaults } from './fit-defaults.ts';

export const traySides = ['medial', 'lateral', 'front', 'back'] as const;
export type TraySide = (typeof traySides)[number];
/** One length for each side of a tray, mm. */
export type PerTraySide = Readonly<Record<TraySide, number>>;

/** Where a tray lies on the tibial cut, in the cut's own axes (`CutOutline`). */
export interface TrayPlace {
  /** Middle of the tray, mm: lateral +, front +. */
  readonly l: number;
  readonly a: number;
  /** External to the cut's A axis. */
  readonly turn: Radians;
}

/** How a tray and the cut bone match. Sides are the tray's own: they turn with it. */
export interface TrayFit {
  /** Share of the bone's area under the tray; undefined without an outline of the bone. */
  readonly cover: number | undefined;
  /** Area of the tray that lies beside the bone, as a share of the bone's area; undefined without an outline of the bone. */
  readonly beside: number | undefined;
  /** How far the tray's edge stands out over the bone's to each side, mm; 0 where it does not. */
  readonly overhangMm: PerTraySide;
  /**
   * How far bare bone shows beyond the tray to each side, mm; 0 where none does. The line across a notch counts as the tray's
   * edge: what shows in the notch is bare, and lowers the cover, but is no lack of reach.
   */
  readonly underCoverMm: PerTraySide;
}

export interface TrayLimits {
  readonly overhangMm: PerTraySide;
  readonly underCoverMm: number;
}

const elsewhere = fitDefaults.trayOverhangElsewhere.value;

export const trayLimits: TrayLimits = {
  overhangMm: { medial: fitDefaults.trayOverhangMedial.value, lateral: elsewhere, front: elsewhere, back: elsewhere },
  underCoverMm: fitDefaults.trayUnderCover.value,
};

/** A limit that a size does not keep. */
export interface BeyondTrayLimit {
  readonly what: 'overhang' | 'underCover';
  readonly side: TraySide;
  readonly valueMm: number;
  readonly limitMm: number;
}

/** A size of tray on a bone, where it does best there. */
export interface TrayChoice {
  readonly tray: TraySize;
  /** Absent when only the bone's width and depth are known. */
  readonly place?: TrayPlace;
  readonly fit: TrayFit;
  /** Every limit that is not kept; none when the size fits. */
  readonly beyond: readonly BeyondTrayLimit[];
}

/** Trays of a family and their common outline, as shares of size and depth. */
export interface TrayFamily {
  readonly tray: readonly TraySize[];
  readonly trayOutline: Polygon;
}

/** @numerical Longest stretch of an edge that is judged by its ends, mm. */
const edgeStepMm = 1;
/** @numerical The search for a place looks at points of the tray's edge this far apart only, mm. */
const searchEdgeMm = 3;
/** @numerical It leaves out points that stand off the bone's outline by less than this, mm, and keeps as far from limits. */
const searchToleranceMm = 0.05;
/** @numerical First step of the search, mm. */
const firstStepMm = 2;
/** @numerical Its last step, finer than a hand can place a tray, mm. */
const lastStepMm = 0.1;
/** @numerical A square mm of overhang or bare bone by length, against a square mm of bare bone by area: only to decide between equals. */
const lengthWeight = 0.01;

/** A tray about its own middle: first axis lateral, second to the front, mm. */
const ownOutline = (tray: TraySize, shares: Polygon): Polygon =>
  shares.map(([u, v]) => [u * tray.size, v * tray.depthMm]);

/** The outline of a tray where it lies on the cut, in the cut's axes, mm. */
export function placedTray(tray: TraySize, shares: Polygon, { l, a, turn }: TrayPlace): Polygon {
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  // Turned external, the front goes lateral: with L to the right and A up that is clockwise.
  return ownOutline(tray, shares).map(([x, y]) => [l + x * cos + y * sin, a - x * sin + y * cos]);
}

/** An outline as a tray lying there sees it: about the tray's middle, along the tray's own axes. */
function seenFromTray(bone: Polygon, { l, a, turn }: TrayPlace): Polygon {
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  return bone.map(([x, y]) => [(x - l) * cos - (y - a) * sin, (x - l) * sin + (y - a) * cos]);
}

/** How far points stand out over a polygon to each side: by the way from the nearest place on its edge. */
function standingOut(points: Polygon, polygon: Polygon): PerTraySide {
  let [medial, lateral, front, back] = [0, 0, 0, 0];
  for (const p of points) {
    if (insidePolygon(polygon, p)) continue;
    const near = nearestOnEdge(polygon, p);
    medial = Math.max(medial, near[0] - p[0]);
    lateral = Math.max(lateral, p[0] - near[0]);
    front = Math.max(front, p[1] - near[1]);
    back = Math.max(back, near[1] - p[1]);
  }
  return { medial, lateral, front, back };
}

/**
 * How a tray fits the bone where it is laid down.
 *
 * @param bone outline of the tibia in the cut's axes, mm
 * @param shares the family's `trayOutline`
 */
export function trayFit(bone: Polygon, tray: TraySize, shares: Polygon, place: TrayPlace): TrayFit {
  const seen = seenFromTray(bone, place);
  const outline = ownOutline(tray, shares);
  const boneArea = Math.abs(polygonArea(seen));
  const cover = overlapArea(seen, outline) / boneArea;
  return {
    cover,
    beside: Math.abs(polygonArea(outline)) / boneArea - cover,
    overhangMm: standingOut(refined(outline, edgeStepMm), seen),
    underCoverMm: standingOut(refined(seen, edgeStepMm), convexHull(outline)),
  };
}

interface Merit {
  /** Squares of what overhang exceeds its limits by, mm2. */
  readonly excess: number;
  /** Bare bone, mm2; counted only among places without excess. */
  readonly bare: number;
}

const better = (one: Merit, other: Merit): boolean =>
  one.excess < other.excess || (one.excess === other.excess && one.bare < other.bare);

/** Steps to the places around one, the nearest first. */
const steps = [
  [-1, 0],
  [1, 0],
  [0, -1],
  [0, 1],
  [-1, -1],
  [1, -1],
  [-1, 1],
  [1, 1],
] as const;

/**
 * Where a tray of a given turn does best: first with the least overhang beyond its limits, then with the least bare bone, then
 * with what shows shared by all sides. A pattern search from the middle of the bone along the tray's own axes; the same bone
 * gives the same place.
 */
export function bestTrayPlace(
  bone: Polygon,
  tray: TraySize,
  shares: Polygon,
  turn: Radians,
  limits: TrayLimits = trayLimits,
): TrayPlace {
  const seen = simplified(seenFromTray(bone, { l: 0, a: 0, turn }), searchToleranceMm);
  const area = Math.abs(polygonArea(seen));
  const outline = ownOutline(tray, shares);
  const hull = convexHull(outline);
  const edge = refined(outline, searchEdgeMm);
  const shifted = (polygon: Polygon, x: number, y: number): Polygon => polygon.map((p) => [p[0] + x, p[1] + y]);
  const merit = (x: number, y: number): Merit => {
    const overhang = standingOut(shifted(edge, x, y), seen);
    const excess = traySides.reduce(
      (sum, side) => sum + Math.max(0, overhang[side] - limits.overhangMm[side] + searchToleranceMm) ** 2,
      0,
    );
    if (excess > 0) return { excess, bare: Infinity };
    const under = standingOut(seen, shifted(hull, x, y));
    const squares = traySides.reduce((sum, side) => sum + overhang[side] ** 2 + under[side] ** 2, 0);
    return { excess, bare: area - overlapArea(seen, shifted(outline, x, y)) + lengthWeight * squares };
  };
  const middle = (polygon: Polygon, axis: 0 | 1): number => {
    const [least, most] = extentOf([polygon], axis);
    return (least + most) / 2;
  };
  let [x, y] = [middle(seen, 0) - middle(outline, 0), middle(seen, 1) - middle(outline, 1)];
  let best = merit(x, y);
  for (let step = firstStepMm; step >= lastStepMm; ) {
    const start = best;
    for (const [i, j] of steps) {
      const tried = merit(x + i * step, y + j * step);
      if (!better(tried, best)) continue;
      [x, y, best] = [x + i * step, y + j * step, tried];
      break;
    }
    if (best === start) step /= 2;
  }
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  return { l: x * cos + y * sin, a: -x * sin + y * cos, turn };
}

function beyondLimits(fit: TrayFit, limits: TrayLimits): readonly BeyondTrayLimit[] {
  const beyond = (what: BeyondTrayLimit['what'], side: TraySide, valueMm: number, limitMm: number) =>
    valueMm > limitMm ? [{ what, side, valueMm, limitMm }] : [];
  return traySides.flatMap((side) => [
    ...beyond('overhang', side, fit.overhangMm[side], limits.overhangMm[side]),
    ...beyond('underCover', side, fit.underCoverMm[side], limits.underCoverMm),
  ]);
}

const worst = ({ beyond }: TrayChoice): number =>
  beyond.reduce((most, { valueMm, limitMm }) => Math.max(most, valueMm - limitMm), 0);

/** What is bare and what stands out of a choice together: by area where it is known, else by length. */
const mismatch = ({ fit: { cover, beside, overhangMm, underCoverMm } }: TrayChoice): number =>
  cover === undefined || beside === undefined
    ? traySides.reduce((sum, side) => sum + overhangMm[side] + underCoverMm[side], 0)
    : 1 - cover + beside;

/** Nearest to keeping every limit first, then what matches the bone best, then the smaller tray. */
const bestFirst = (choices: readonly TrayChoice[]): readonly TrayChoice[] =>
  [...choices].sort((a, b) => worst(a) - worst(b) || mismatch(a) - mismatch(b) || a.tray.size - b.tray.size);

const allowed = ({ tray }: Pick<TrayFamily, 'tray'>, sizes: readonly number[]): readonly TraySize[] =>
  tray.filter(({ size }) => sizes.includes(size));

/**
 * The allowed sizes of a family on a bone, best first, each where it does best at the given turn.
 *
 * @param bone outline of the tibia in the cut's axes, mm
 * @param turn external to the cut's A axis
 * @param allowedSizes sizes that go with the femoral component
 */
export const trayChoices = (
  bone: Polygon,
  family: TrayFamily,
  turn: Radians,
  allowedSizes: readonly number[],
  limits: TrayLimits = trayLimits,
): readonly TrayChoice[] =>
  bestFirst(
    allowed(family, allowedSizes).map((tray) => {
      const place = bestTrayPlace(bone, tray, family.trayOutline, turn, limits);
      const fit = trayFit(bone, tray, family.trayOutline, place);
      return { tray, place, fit, beyond: beyondLimits(fit, limits) };
    }),
  );

/** What two sides of a pair share, where it is more than nothing. */
function bothPairs(across: number, along: number): PerTraySide {
  const [side, end] = [Math.max(0, across), Math.max(0, along)];
  return { medial: side, lateral: side, front: end, back: end };
}

/**
 * The same where only two lengths of the bone are known: the two sides of a pair share what a tray is larger or smaller by,
 * (tray - bone) / 2 each.
 *
 * @param widthMm bone side to side in the cut
 * @param depthMm bone front to back in the cut
 */
export const trayChoicesByNumbers = (
  widthMm: number,
  depthMm: number,
  family: Pick<TrayFamily, 'tray'>,
  allowedSizes: readonly number[],
  limits: TrayLimits = trayLimits,
): readonly TrayChoice[] =>
  bestFirst(
    allowed(family, allowedSizes).map((tray) => {
      const across = (tray.size - widthMm) / 2;
      const along = (tray.depthMm - depthMm) / 2;
      const fit: TrayFit = {
        cover: undefined,
        beside: undefined,
        overhangMm: bothPairs(across, along),
        underCoverMm: bothPairs(-across, -along),
      };
      return { tray, fit, beyond: beyondLimits(fit, limits) };
    }),
  );
