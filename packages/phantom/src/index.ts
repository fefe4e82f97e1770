export type { Body } from './body.ts';
export { femurBody } from './femur.ts';
export { fibulaBody } from './fibula.ts';
export { type BentLimb, bentLimb } from './film/bent-limb.ts';
export { boneMagnification, type Exposure, type FilmCone, type Seen, seenThrough } from './film/film-cone.ts';
export { type FilmLimb, filmLimb, type LimbBone, type LimbSite, type LimbSurface } from './film/film-limb.ts';
export {
  type FilmLook,
  type FilmPlan,
  filmBand,
  filmBits,
  filmPicture,
  filmPlan,
  filmWindow,
  usualLook,
} from './film/film-picture.ts';
export { type FilmScene, filmScene, type SceneBall } from './film/film-scene.ts';
export { type FilmSetup, type SimulatedView, simulatedViews, usualSetup } from './film/film-setup.ts';
export type { LimbPose } from './film/film-stand.ts';
export type { SideLetter } from './film/side-letter.ts';
export { type KneeBodies, kneeBodies } from './knee-bodies.ts';
export { kneeFromSeed, typicalKnee } from './knee-from-seed.ts';
export type {
  BoneLoss,
  FemurParameters,
  FibulaParameters,
  KneeParameters,
  PatellaParameters,
  ScanPose,
  TibiaParameters,
} from './knee-parameters.ts';
export { patellaBody } from './patella.ts';
export { type PhantomBones, type PhantomBonesOptions, phantomBones } from './phantom-bones.ts';
export { intoScan, type ScanPlacement } from './scan-pose.ts';
export { sparseIsosurface } from './sparse-isosurface.ts';
export { displaced, type SurfaceNoise } from './surface-noise.ts';
export type { Sampling } from './surface-probe.ts';
export { tibiaBody } from './tibia.ts';
export {
  type FemurLandmark,
  type PatellaLandmark,
  type PhantomTruth,
  phantomTruth,
  type TibiaLandmark,
  type TrueLandmark,
  type TrueQuantity,
  type TrueQuantityName,
} from './truth.ts';
