import type { Polygon } from '@kerfline/geometry';
import { chordAt, extentOf } from './cut-outline.ts';
import { fitDefaults } from './fit-defaults.ts';

/** One length for each side of a femoral component, mm. */
export interface BothSides {
  readonly medial: number;
  readonly lateral: number;
}

/** How a femoral component stands over the sides of the distal cut. */
export interface FemurFit {
  /** Side to side where the component is judged. */
  readonly boneWidthMm: number;
  /** How far the component stands out over the bone when its middle is at the middle asked for; negative inside, mm. */
  readonly centredMm: BothSides;
  /** The shift that does best, lateral +, mm; 0 where nothing stands out. */
  readonly shiftMm: number;
  /** The same as `centredMm` after that shift. */
  readonly overhangMm: BothSides;
  /** Sides on which it stands out by the limit or more even then. */
  readonly beyond: readonly (keyof BothSides)[];
}

export interface FemurFitLimits {
  readonly overhangMm: number;
  /** Largest shift to either side. */
  readonly shiftMm: number;
}

export const femurFitLimits: FemurFitLimits = {
  overhangMm: fitDefaults.femurOverhang.value,
  shiftMm: fitDefaults.femurShift.value,
};

const within = (value: number, least: number, most: number): number => Math.min(most, Math.max(least, value));

function fitBetween(
  [medialEdge, lateralEdge]: readonly [number, number],
  widthMm: number,
  middleL: number,
  limits: FemurFitLimits,
): FemurFit {
  const overhang = (middle: number): BothSides => ({
    medial: medialEdge - (middle - widthMm / 2),
    lateral: middle + widthMm / 2 - lateralEdge,
  });
  // Between these two middles nothing stands out; where the first lies beyond the second, something always does.
  const [first, last] = [medialEdge + widthMm / 2, lateralEdge - widthMm / 2];
  const wanted = first <= last ? within(middleL, first, last) : (first + last) / 2;
  const shiftMm = within(wanted - middleL, -limits.shiftMm, limits.shiftMm);
  const shifted = overhang(middleL + shiftMm);
  return {
    boneWidthMm: lateralEdge - medialEdge,
    centredMm: overhang(middleL),
    shiftMm,
    overhangMm: shifted,
    beyond: (['medial', 'lateral'] as const).filter((side) => shifted[side] >= limits.overhangMm),
  };
}

/**
 * How far a femoral component stands out over the bone, judged half way between front and back of the distal cut, and the
 * smallest shift that takes the overhang off, or shares it where it cannot be taken off.
 *
 * @param loops outline of the femur in the distal cut (`cutOutline`); two loops where the condyles are apart
 * @param widthMm width of the component
 * @param middleL where its middle is put before any shift, L; the frame's own middle unless told
 * @returns `undefined` where no bone lies half way between front and back
 */
export function femurFit(
  loops: readonly Polygon[],
  widthMm: number,
  middleL = 0,
  limits: FemurFitLimits = femurFitLimits,
): FemurFit | undefined {
  const [back, front] = extentOf(loops, 1);
  const chord = chordAt(loops, 0, (back + front) / 2);
  return chord && fitBetween(chord, widthMm, middleL, limits);
}

/** The same where only the bone's width is known: the component is put over its middle. */
export const femurFitByNumbers = (
  boneWidthMm: number,
  widthMm: number,
  limits: FemurFitLimits = femurFitLimits,
): FemurFit => fitBetween([-boneWidthMm / 2, boneWidthMm / 2], widthMm, 0, limits);
