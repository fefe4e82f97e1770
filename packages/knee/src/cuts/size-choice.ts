import { type ClinicalDefault, workingDefault } from '../defaults/clinical-default.ts';
import type { FemurSize } from '../kits/kit.ts';

/** What each way of being wrong costs, per mm squared: a notch weighs most. */
export const sizeWeights = { notch: 4, proud: 1, rear: 1, overhang: 1 } as const;

/** The weights by name. */
export const sizeWeightDefaults: readonly ClinicalDefault[] = Object.entries(sizeWeights).map(([name, value]) => ({
  name: `Femoral size: weight of ${name}`,
  value,
  unit: 'weight',
  usedFor: 'cost of a size for each mm squared',
  source: workingDefault,
}));

export interface SizeChoice {
  readonly size: FemurSize;
  readonly shiftMm: number;
  /** Thickness from the intact rear surface that the rear cut takes at the pivot, mm. */
  readonly rearMm: number;
  /** Front cut in front of the cortex where the feeler read it; negative is a notch, mm. */
  readonly clearanceMm: number;
  /** How far the component stands out over the bone on each side, mm; undefined when the width is not known. */
  readonly overhangMm: number | undefined;
  readonly cost: number;
}

/**
 * Sizes for a bone, best first: by which face is kept, what the other face then does.
 *
 * @param depthMm rear contact line to front cortex, along the guide's own axis (what the front feeler reads)
 * @param keeps `rear`: the rear cut is the component's own thickness and the front takes the difference; `front`: the reverse
 * @param widthMm width of the bone at the distal cut, if it is known
 */
export function sizeChoices(
  sizes: readonly FemurSize[],
  depthMm: number,
  keeps: 'rear' | 'front',
  shiftsMm: readonly number[],
  widthMm: number | undefined,
): readonly SizeChoice[] {
  return sizes
    .flatMap((size) =>
      shiftsMm.map((shiftMm): SizeChoice => {
        const difference = size.size - depthMm;
        const clearanceMm = keeps === 'rear' ? difference + shiftMm : shiftMm;
        const rearMm = size.rearMm + (keeps === 'rear' ? shiftMm : shiftMm - difference);
        const overhangMm = widthMm === undefined ? undefined : (size.widthMm - widthMm) / 2;
        const cost =
          sizeWeights.notch * Math.max(0, -clearanceMm) ** 2 +
          sizeWeights.proud * Math.max(0, clearanceMm) ** 2 +
          sizeWeights.rear * (rearMm - size.rearMm) ** 2 +
          sizeWeights.overhang * Math.max(0, overhangMm ?? 0) ** 2;
        return { size, shiftMm, rearMm, clearanceMm, overhangMm, cost };
      }),
    )
    .sort((a, b) => a.cost - b.cost || Math.abs(a.shiftMm) - Math.abs(b.shiftMm) || a.size.size - b.size.size);
}
