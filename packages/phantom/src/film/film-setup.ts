import type { FilmView } from '@kerfline/knee';

/** Views that can be simulated. */
export const simulatedViews = [
  'long-leg',
  'knee-front',
  'knee-lateral',
  'skyline',
] as const satisfies readonly FilmView[];
export type SimulatedView = (typeof simulatedViews)[number];

/** A room, a detector and a ball; what is left out is as usual (`usualSetup`). Lengths in mm. */
export interface FilmSetup {
  readonly view: SimulatedView;
  readonly sourceDistanceMm?: number | undefined;
  /** From the knee centre (skyline: the middle of the kneecap) to the detector. */
  readonly boneDistanceMm?: number | undefined;
  /** Pitch of the detector. */
  readonly pixelMm?: number | undefined;
  /** Size of the detector; the height of a long film follows the limb. */
  readonly widthMm?: number | undefined;
  readonly heightMm?: number | undefined;
  /** Exposures of a long film; 1 for the others. */
  readonly exposures?: number | undefined;
  /** Diameter of a marker ball beside the joint; 0 for none. */
  readonly ballMm?: number | undefined;
  /** How much nearer to the source than the bone the ball lies. */
  readonly ballDepthMm?: number | undefined;
  readonly mirrored?: boolean | undefined;
}

/**
 * What a film is taken with unless said otherwise. Only the films of this program's own tests and examples depend on it:
 * common practice, no source.
 */
export const usualSetup = {
  sourceDistanceMm: { 'long-leg': 3000, 'knee-front': 1150, 'knee-lateral': 1150, skyline: 1150 },
  boneDistanceMm: 60,
  pixelMm: { 'long-leg': 0.2, 'knee-front': 0.15, 'knee-lateral': 0.15, skyline: 0.15 },
  widthMm: { 'long-leg': 430, 'knee-front': 350, 'knee-lateral': 350, skyline: 300 },
  heightMm: { 'knee-front': 430, 'knee-lateral': 430, skyline: 240 },
  ballMm: 25,
  /** Bend of the knee on a skyline film, degrees; other views are straight. */
  skylineFlexDeg: 40,
} as const;

/** @numerical Film above the hip centre and below the lowest mark of a long film, in the plane of the bone, mm. */
export const marginAboveMm = 90;
export const marginBelowMm = 70;
/** @numerical Least distance from any marked place to the detector, mm: the limb is moved toward the source until it has it. */
export const leastToDetectorMm = 15;
/** @numerical How far beside the knee centre (skyline: the kneecap) the ball lies, mm, outside the soft tissue. */
export const ballBesideMm = { 'long-leg': 90, 'knee-front': 90, 'knee-lateral': 100, skyline: 90 } as const;
/** @numerical Points given of the outline of the ball. */
export const rimPoints = 12;
/** @numerical Least distance from any marked place to the source, mm. */
export const leastToSourceMm = 100;
/** @numerical Most pixels of a film that is made: a long film at 0.1 mm has half as many. */
export const mostPixels = 120_000_000;
