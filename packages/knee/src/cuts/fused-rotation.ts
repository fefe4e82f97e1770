/** One reading of the same femoral turn by one reference, degrees external to the rear condyle line. */
export interface RotationReading {
  readonly reference: string;
  readonly deg: number;
  readonly sdDeg: number;
}

export interface FusedRotation {
  readonly deg: number;
  readonly sdDeg: number;
}

/** Independent readings by their precision (docs/methods.md, "Fused rotation references"); no reading throws. */
export function fusedRotation(readings: readonly RotationReading[]): FusedRotation {
  if (readings.length === 0) throw new Error('no reading to fuse');
  const weight = readings.reduce((sum, r) => sum + 1 / r.sdDeg ** 2, 0);
  return {
    deg: readings.reduce((sum, r) => sum + r.deg / r.sdDeg ** 2, 0) / weight,
    sdDeg: Math.sqrt(1 / weight),
  };
}
