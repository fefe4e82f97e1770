/** Thinnest remnant to keep, mm. Common practice, no source; 13 with pegs is a working default. */
export const leastRemnantMm = 12;

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

/** What the remnant measures after the saw, by which face the jaw's stop refers to. */
export const remnantAfterSaw = (stopMm: number, kerfMm: number, referenceFace: 'retained' | 'piece'): number =>
  referenceFace === 'retained' ? stopMm : stopMm - kerfMm;

/** Tilt of a cut surface from a difference of thickness over a distance, radians. */
export const tiltOf = (differenceMm: number, overMm: number): number => Math.atan2(differenceMm, overMm);
