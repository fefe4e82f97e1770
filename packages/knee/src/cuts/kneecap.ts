import { commonPractice, type ScalarDefault } from '../defaults/clinical-default.ts';
import type { ButtonSize } from '../kits/kit.ts';

/** Thinnest remnant to keep. */
export const leastRemnant: ScalarDefault = {
  name: 'Kneecap: least remnant',
  value: 12,
  unit: 'mm',
  usedFor: 'bone that is kept however thin the kneecap, and which buttons leave enough of it',
  source: commonPractice,
};
export const leastRemnantMm = leastRemnant.value;

export interface KneecapCut {
  /** Bone to keep, mm. */
  readonly remnantMm: number;
  /** Remnant and button together, mm. */
  readonly compositeMm: number;
  /** Composite against the native kneecap, mm; positive is thicker. */
  readonly changeMm: number;
}

/** What to keep of a kneecap `nativeMm` thick under a button of `buttonMm`, and what the two then measure. */
export function kneecapCut(nativeMm: number, buttonMm: number, leastMm: number = leastRemnantMm): KneecapCut {
  const remnantMm = Math.max(leastMm, nativeMm - buttonMm);
  const compositeMm = remnantMm + buttonMm;
  return { remnantMm, compositeMm, changeMm: compositeMm - nativeMm };
}

/** The largest button under which enough bone is left, or the smallest of all. */
export const buttonFor = (
  buttons: readonly ButtonSize[],
  nativeMm: number,
  leastMm: number = leastRemnantMm,
): ButtonSize => {
  const bySize = [...buttons].sort((a, b) => b.size - a.size);
  return bySize.find((b) => nativeMm - b.thicknessMm >= leastMm) ?? bySize[bySize.length - 1]!;
};

/** What the remnant measures after the saw, by which face the jaw's stop refers to. */
export const remnantAfterSaw = (stopMm: number, kerfMm: number, referenceFace: 'retained' | 'piece'): number =>
  referenceFace === 'retained' ? stopMm : stopMm - kerfMm;

/** Tilt of a cut surface from a difference of thickness over a distance, radians. */
export const tiltOf = (differenceMm: number, overMm: number): number => Math.atan2(differenceMm, overMm);
