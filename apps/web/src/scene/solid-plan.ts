import type { CutName, Proof, Side } from '@kerfline/knee';

/** One bone cut in two: what stays, and fragments lifted off, as planes to clip with. Data only, in the bone's frame. */
export interface SolidBone {
  readonly bone: 'femur' | 'tibia';
  /** Planes that bound what stays: points with normal . p > offset go. */
  readonly cuts: readonly {
    readonly cut: CutName;
    readonly normal: readonly [number, number, number];
    readonly offset: number;
    /** How the fragment is lifted off, mm. */
    readonly lift: readonly [number, number, number];
  }[];
}

const liftMm = 14;

/** What is to be drawn of a proof as solids. */
export function solidPlan(proof: Proof): readonly SolidBone[] {
  const of = (bone: SolidBone['bone'], cuts: readonly CutName[]): SolidBone => ({
    bone,
    cuts: cuts.flatMap((cut) => {
      const plane = proof.cuts[cut]?.plane;
      if (!plane) return [];
      // The side that goes: below the distal cut, behind the rear cut, in front of the front cut, above the tibial cut.
      const sign = cut === 'tibia' || cut === 'anteriorFemur' ? 1 : -1;
      const normal: readonly [number, number, number] = [
        sign * plane.normal[0],
        sign * plane.normal[1],
        sign * plane.normal[2],
      ];
      return [
        {
          cut,
          normal,
          offset: sign * plane.offset,
          lift: [normal[0] * liftMm, normal[1] * liftMm, normal[2] * liftMm] as const,
        },
      ];
    }),
  });
  return [of('femur', ['distalFemur', 'posteriorFemur', 'anteriorFemur']), of('tibia', ['tibia'])];
}

/**
 * Where the reader stands: in front of the patient, a little above the knee. The scene's axes are x to the patient's right, y
 * forward, z up, which is a right-handed system; x points to the reader's left.
 */
export const frontView = { from: [60, 420, 60], at: [0, 0, -10], up: [0, 0, 1] } as const;

/** Lateral is to the patient's right on a right leg only: a left leg is mirrored on the way out, once. */
export const outwardScale = (side: Side): readonly [number, number, number] =>
  side === 'right' ? [1, 1, 1] : [-1, 1, 1];
