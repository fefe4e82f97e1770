import { type Random, randomStream } from '@kerfline/uncertainty';
import { shaftAxis } from './femur-axis.ts';
import type { KneeParameters } from './knee-parameters.ts';

/** How a parameter is spread over people. */
interface Spread {
  readonly mean: number;
  readonly sd: number;
  /** Correlation with the size of the person; 0 when absent. */
  readonly withSize?: number;
}

/**
 * Means and spreads of the parameters, in the unit of their field. Letters and numbers name rows of the project's table of
 * published values; men and women are pooled where a row gives both. Ratios are to the width of the same bone end unless
 * said. A row marked `default` is a working default, no source.
 */
const spreads = {
  // A27, men and women.
  femurLength: { mean: 421, sd: 26, withSize: 0.8 },
  // C13, half the head's diameter.
  headRadius: { mean: 23.05, sd: 2.4, withSize: 0.8 },
  // C13.
  headOffset: { mean: 43, sd: 6.8, withSize: 0.5 },
  // C14.
  neckShaft: { mean: 125.7, sd: 5.6 },
  // B4, femoral anteversion on CT.
  anteversion: { mean: 11.7, sd: 8.2 },
  // A27, men and women.
  ldfa: { mean: 88.9, sd: 2.6 },
  // A29 to A33 and the note below them.
  shaftMechanical: { mean: 6, sd: 1.25 },
  // The spread fills the normal class of A34 (-3 to +3).
  coronalBow: { mean: 0, sd: 1.5 },
  // default
  sagittalBow: { mean: 6, sd: 1.2 },
  // B3.
  condylarTwist: { mean: 2.91, sd: 1.4 },
  // C8, mediolateral, men and women.
  femurWidth: { mean: 72.5, sd: 6.4, withSize: 0.9 },
  // default; 1.07 to 1.16 on the five reference legs
  epicondylarRatio: { mean: 1.1, sd: 0.015 },
  // C8, ML / AP 111 to 120 %.
  widthToDepth: { mean: 1.155, sd: 0.0225 },
  // default, mm by which the medial condyle is less deep; 2.0 to 3.8 on the five reference legs
  medialShallower: { mean: 2.6, sd: 0.6 },
  // default; 44 to 54 mm on the five reference legs
  distalSpacingRatio: { mean: 0.65, sd: 0.015 },
  // default; 46 to 52 mm on the five reference legs
  posteriorSpacingRatio: { mean: 0.66, sd: 0.015 },
  // default
  notchRatio: { mean: 0.28, sd: 0.015 },
  // default
  trochlearDepth: { mean: 5.5, sd: 0.7 },
  // C2.
  tibiaLength: { mean: 369, sd: 28, withSize: 0.8 },
  // A25.
  mpta: { mean: 86.8, sd: 1.61 },
  // A39 for the means, A36 (proximal axis) for the spread.
  medialSlope: { mean: 6.2, sd: 2.16 },
  lateralSlope: { mean: 5.3, sd: 2.16 },
  // C10, mediolateral, men and women.
  tibiaWidth: { mean: 73.95, sd: 5.5, withSize: 0.9 },
  // C10, ML / AP 149.1 to 149.4 %, spread 6.5.
  tibiaWidthToDepth: { mean: 1.4925, sd: 0.065 },
  // default; 7 to 11 mm on the five reference legs
  medialSpine: { mean: 8.8, sd: 0.8 },
  lateralSpine: { mean: 8.2, sd: 0.8 },
  // default
  plateauSpacingRatio: { mean: 0.56, sd: 0.01 },
  // default
  tubercleLateral: { mean: 10, sd: 1.2 },
  // default
  tubercleBelow: { mean: 32, sd: 2 },
  // C3.
  torsion: { mean: 34.9, sd: 7.95 },
  // default; 0 to 4 mm on the five reference legs
  ankleOffset: { mean: 2, sd: 1 },
  // default
  malleolarWidth: { mean: 66, sd: 4, withSize: 0.8 },
  // default
  fibulaHeadBelow: { mean: 13, sd: 1.5 },
  // default
  fibulaHeadRadius: { mean: 11.5, sd: 0.8, withSize: 0.7 },
  // default
  fibulaShaftRadius: { mean: 6.3, sd: 0.4, withSize: 0.7 },
  // default
  lateralMalleolusBelow: { mean: 16, sd: 1.2 },
  // C19: the mean of men and women, the spread of the Korean series.
  patellaThickness: { mean: 22.95, sd: 1.59, withSize: 0.7 },
  // C18, width : thickness.
  patellaWidthToThickness: { mean: 2, sd: 0.106 },
  // default
  patellaHeightRatio: { mean: 0.95, sd: 0.03 },
  // A15, its range taken as two sd each way.
  jlca: { mean: 1, sd: 0.5 },
  // default
  flexion: { mean: 3, sd: 1.5 },
  // default
  tibialRotation: { mean: 3, sd: 1.5 },
  // C17, two layers of femoral thickness.
  jointGap: { mean: 4.6, sd: 0.7 },
  // default
  limbRotation: { mean: 5, sd: 4 },
  // default
  limbAdduction: { mean: 2, sd: 1 },
} satisfies Record<string, Spread>;

export type SpreadName = keyof typeof spreads;

/** Largest distance along L between the shaft's axis at the knee and the knee centre, mm: about D20 (6.6 mm). */
const LARGEST_CANAL_EXIT_MM = 7;

/** The means of all spreads, a right knee, no bone lost. */
export const typicalKnee: KneeParameters = assembled('right', (name) => spreads[name].mean, noLoss());

/**
 * One seed, one knee: all parameters drawn from normal spreads cut off two standard deviations from their means. Sizes go
 * together through one draw for the person; offset and canal angle are drawn until the canal leaves the bone near the knee
 * centre. Half of the knees are worn, two thirds of these on the medial side (working defaults, no source).
 *
 * @param seed any integer; the same seed gives the same bits
 */
export function kneeFromSeed(seed: number): KneeParameters {
  const shape = randomStream(seed, 'phantom', 'shape');
  const size = cutNormal(shape);
  const side = shape.uniform() < 0.5 ? 'left' : 'right';
  const drawn = new Map<SpreadName, number>();
  const draw = (name: SpreadName): number => {
    const known = drawn.get(name);
    if (known !== undefined) return known;
    const { mean, sd, withSize = 0 }: Spread = spreads[name];
    for (;;) {
      const score = withSize * size + Math.sqrt(1 - withSize * withSize) * cutNormal(shape);
      if (Math.abs(score) > 2) continue;
      drawn.set(name, mean + sd * score);
      return mean + sd * score;
    }
  };
  const loss = drawnLoss(randomStream(seed, 'phantom', 'bone loss'));
  for (;;) {
    const knee = assembled(side, draw, loss);
    if (Math.abs(shaftAxis(knee.femur).at(0)[0]) <= LARGEST_CANAL_EXIT_MM) return knee;
    for (const name of ['headOffset', 'shaftMechanical', 'coronalBow'] as const) drawn.delete(name);
  }
}

/** Standard normal, drawn again beyond 2. */
function cutNormal(random: Random): number {
  for (;;) {
    const z = random.normal();
    if (Math.abs(z) <= 2) return z;
  }
}

function noLoss(): KneeParameters['boneLoss'] {
  return {
    distalMedialMm: 0,
    distalLateralMm: 0,
    posteriorMedialMm: 0,
    posteriorLateralMm: 0,
    plateauMedialMm: 0,
    plateauLateralMm: 0,
  };
}

function drawnLoss(random: Random): KneeParameters['boneLoss'] {
  const worn = random.uniform() < 0.5;
  const medial = random.uniform() < 2 / 3;
  const [distal, posterior, plateau] = [2 * random.uniform(), random.uniform(), 2.5 * random.uniform()];
  if (!worn) return noLoss();
  return medial
    ? { ...noLoss(), distalMedialMm: distal, posteriorMedialMm: posterior, plateauMedialMm: plateau }
    : { ...noLoss(), distalLateralMm: distal, posteriorLateralMm: posterior, plateauLateralMm: plateau };
}

function assembled(
  side: KneeParameters['side'],
  draw: (name: SpreadName) => number,
  boneLoss: KneeParameters['boneLoss'],
): KneeParameters {
  const femurWidth = draw('femurWidth');
  const depth = femurWidth / draw('widthToDepth');
  const tibiaWidth = draw('tibiaWidth');
  const thickness = draw('patellaThickness');
  const patellaWidth = thickness * draw('patellaWidthToThickness');
  return {
    side,
    femur: {
      lengthMm: draw('femurLength'),
      headRadiusMm: draw('headRadius'),
      headOffsetMm: draw('headOffset'),
      neckShaftDeg: draw('neckShaft'),
      anteversionDeg: draw('anteversion'),
      ldfaDeg: draw('ldfa'),
      shaftMechanicalDeg: draw('shaftMechanical'),
      coronalBowDeg: draw('coronalBow'),
      sagittalBowDeg: draw('sagittalBow'),
      condylarTwistDeg: draw('condylarTwist'),
      widthMm: femurWidth,
      epicondylarWidthMm: femurWidth * draw('epicondylarRatio'),
      lateralDepthMm: depth,
      medialDepthMm: depth - draw('medialShallower'),
      distalSpacingMm: femurWidth * draw('distalSpacingRatio'),
      posteriorSpacingMm: femurWidth * draw('posteriorSpacingRatio'),
      notchWidthMm: femurWidth * draw('notchRatio'),
      trochlearDepthMm: draw('trochlearDepth'),
    },
    tibia: {
      lengthMm: draw('tibiaLength'),
      mptaDeg: draw('mpta'),
      medialSlopeDeg: draw('medialSlope'),
      lateralSlopeDeg: draw('lateralSlope'),
      widthMm: tibiaWidth,
      depthMm: tibiaWidth / draw('tibiaWidthToDepth'),
      medialSpineMm: draw('medialSpine'),
      lateralSpineMm: draw('lateralSpine'),
      plateauSpacingMm: tibiaWidth * draw('plateauSpacingRatio'),
      tubercleLateralMm: draw('tubercleLateral'),
      tubercleBelowMm: draw('tubercleBelow'),
      torsionDeg: draw('torsion'),
      ankleOffsetMm: draw('ankleOffset'),
      malleolarWidthMm: draw('malleolarWidth'),
    },
    fibula: {
      headBelowMm: draw('fibulaHeadBelow'),
      headRadiusMm: draw('fibulaHeadRadius'),
      shaftRadiusMm: draw('fibulaShaftRadius'),
      malleolusBelowMm: draw('lateralMalleolusBelow'),
    },
    patella: {
      thicknessMm: thickness,
      widthMm: patellaWidth,
      heightMm: patellaWidth * draw('patellaHeightRatio'),
    },
    boneLoss,
    pose: {
      jlcaDeg: draw('jlca'),
      flexionDeg: draw('flexion'),
      tibialRotationDeg: draw('tibialRotation'),
      jointGapMm: draw('jointGap'),
      limbRotationDeg: draw('limbRotation'),
      limbAdductionDeg: draw('limbAdduction'),
    },
  };
}
