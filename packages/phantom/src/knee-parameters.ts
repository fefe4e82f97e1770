/**
 * Everything that shapes one virtual knee and the pose in which it was scanned. Shapes are built in the side-free frames
 * of docs/frames.md (L lateral, A anterior, P proximal), so only `side` knows left from right.
 *
 * The numbers are what the builder aims at. They are met approximately; what a knee really measures is computed from its
 * surface by `phantomTruth`.
 */
export interface KneeParameters {
  readonly side: 'left' | 'right';
  readonly femur: FemurParameters;
  readonly tibia: TibiaParameters;
  readonly fibula: FibulaParameters;
  readonly patella: PatellaParameters;
  readonly boneLoss: BoneLoss;
  readonly pose: ScanPose;
}

export interface FemurParameters {
  /** Head centre to knee centre. */
  readonly lengthMm: number;
  readonly headRadiusMm: number;
  /** Head centre to the axis of the proximal shaft. */
  readonly headOffsetMm: number;
  /** Between the neck and the shaft below it. */
  readonly neckShaftDeg: number;
  /** Neck against the posterior condyle line, seen along P; + when the head lies forward. */
  readonly anteversionDeg: number;
  /** Lateral angle between the mechanical axis and the line of the distal condyles. */
  readonly ldfaDeg: number;
  /** Canal axis (20 to 50 % of the length) against the mechanical axis in the L-P plane; + when its top leans lateral. */
  readonly shaftMechanicalDeg: number;
  /** Between the lower and the upper half of the shaft in the L-P plane; + when the apex is lateral. */
  readonly coronalBowDeg: number;
  /** Between the lower and the upper half of the shaft in the A-P plane; + when the apex is anterior. */
  readonly sagittalBowDeg: number;
  /** Line of the extreme side points against the posterior condyle line, seen along P; + external. */
  readonly condylarTwistDeg: number;
  /** Along L, 9 mm above the most distal point. */
  readonly widthMm: number;
  /** Along L between the extreme side points. */
  readonly epicondylarWidthMm: number;
  /** Posterior condyle to the foremost point of the ridge in front, along A. */
  readonly lateralDepthMm: number;
  readonly medialDepthMm: number;
  /** Between the two distal contacts along L. */
  readonly distalSpacingMm: number;
  /** Between the two posterior contacts along L. */
  readonly posteriorSpacingMm: number;
  readonly notchWidthMm: number;
  /** Groove below the lower of its two ridges. */
  readonly trochlearDepthMm: number;
}

export interface TibiaParameters {
  /** Knee centre to the middle between the malleoli. */
  readonly lengthMm: number;
  /** Medial angle between the line of the plateau points and the mechanical axis. */
  readonly mptaDeg: number;
  /** Fall toward the back, against the plane square to the mechanical axis, rim to rim. */
  readonly medialSlopeDeg: number;
  readonly lateralSlopeDeg: number;
  /** Along L, 10 mm below the plateau. */
  readonly widthMm: number;
  /** Along A, 10 mm below the plateau. */
  readonly depthMm: number;
  /** Above the mean height of the plateau points. */
  readonly medialSpineMm: number;
  readonly lateralSpineMm: number;
  /** Between the deepest lines of the two plateaus along L. */
  readonly plateauSpacingMm: number;
  /** Tubercle lateral of the knee centre. */
  readonly tubercleLateralMm: number;
  /** Tubercle below the plateau. */
  readonly tubercleBelowMm: number;
  /** Line of the malleoli against the tibial L axis, seen along P; + external. */
  readonly torsionDeg: number;
  /** Middle between the malleoli from the centre of the ankle joint surface, along L; + lateral. */
  readonly ankleOffsetMm: number;
  /** Between the prominences of the malleoli. */
  readonly malleolarWidthMm: number;
}

export interface FibulaParameters {
  /** Top of the head below the plateau. */
  readonly headBelowMm: number;
  readonly headRadiusMm: number;
  /** Mean radius of the shaft. */
  readonly shaftRadiusMm: number;
  /** Tip of the lateral malleolus below the middle between the prominences. */
  readonly malleolusBelowMm: number;
}

export interface PatellaParameters {
  readonly thicknessMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
}

/** Bone worn away, mm, as a nearly flat facet square to P (distal, plateau) or A (posterior). */
export interface BoneLoss {
  readonly distalMedialMm: number;
  readonly distalLateralMm: number;
  readonly posteriorMedialMm: number;
  readonly posteriorLateralMm: number;
  readonly plateauMedialMm: number;
  readonly plateauLateralMm: number;
}

export interface ScanPose {
  /** Joint line convergence; + when the joint is open laterally. */
  readonly jlcaDeg: number;
  readonly flexionDeg: number;
  /** Tibia turned externally against the femur. */
  readonly tibialRotationDeg: number;
  /** Least distance along P between the two bones, where the cartilage is. */
  readonly jointGapMm: number;
  /** The whole limb turned externally on the table. */
  readonly limbRotationDeg: number;
  /** The femur's mechanical axis leaning so that the knee is nearer to the other one than the hip. */
  readonly limbAdductionDeg: number;
}
