export {
  aimsOfLeg,
  type LegAims,
  nativeAngles,
  type Wanted,
  type WantedName,
  wantedNames,
} from './aims/aims-of-leg.ts';
export {
  type AlignmentType,
  arithmeticDeviation,
  jointLineObliquity,
  type NineTypes,
  nineTypes,
  standingDeviation,
} from './aims/alignment.ts';
export { checkAims, checkPhilosophyName, type SaidAim } from './aims/check-aim.ts';
export {
  type Fence,
  isPhilosophyName,
  type MoveKind,
  type Philosophy,
  type PhilosophyName,
  philosophies,
  philosophy,
  philosophyNames,
} from './aims/philosophy.ts';
export { brokenFence, fenceText, type NativeAngles, type ResolvedAims, resolveAims } from './aims/resolve-aims.ts';
export { boneUnderCut, boneVolumeUnderCut } from './cuts/bone-under-cut.ts';
export { type CutPlane, cutDirection, resection } from './cuts/cut-plane.ts';
export { type ButtonReport, type FemurReport, type Fits, fitBones, fitsOf, type TrayReport } from './cuts/fits.ts';
export { cortexAt, flangeClearance } from './cuts/flange.ts';
export { nuisances } from './cuts/foretell.ts';
export { type FusedRotation, fusedRotation, type RotationReading } from './cuts/fused-rotation.ts';
export { type KneecapCut, kneecapCut, leastRemnantMm, remnantAfterSaw, tiltOf } from './cuts/kneecap.ts';
export {
  type CutProof,
  chanceBeyond,
  type Piece,
  type Proof,
  proveLeg,
  type Term,
} from './cuts/proof.ts';
export { type BoneOnSide, type BoneUnderCut, proofOnBones } from './cuts/proof-on-bones.ts';
export { type SizeChoice, sizeChoices, sizeWeights } from './cuts/size-choice.ts';
export type { RuleTurn } from './cuts/tray-turn.ts';
export type { ClinicalDefault } from './defaults/clinical-default.ts';
export { clinicalDefaults } from './defaults/clinical-defaults.ts';
export { type BoreSize, boreSize, boreText } from './guides/bores.ts';
export { calledSetting, nearestStep, settableStep } from './guides/call.ts';
export { checkSetting, faceNotRead, rowsOfOtherSeats, type SaidSetting } from './guides/check-setting.ts';
export { detents, neutralSettings } from './guides/choices.ts';
export {
  type CutName,
  cutNames,
  type Guide,
  isSettable,
  type Link,
  linkUnit,
  type Marks,
  type PinLink,
  type SeatLink,
} from './guides/guide.ts';
export { checkUse, guidesInUse, type LeftOut } from './guides/guides-in-use.ts';
export { type LegView, legViewer, type SurfaceLayers, viewAtMean, viewInputs } from './guides/leg-view.ts';
export {
  contactsOf,
  type OutputName,
  outputNames,
  outputsOf,
  outputsOfCut,
  outputWords,
  resectionFromIntact,
  rodAtAnkle,
  rodAtHip,
} from './guides/outputs.ts';
export {
  calledOf,
  type Plan,
  type PlanWishes,
  planLeg,
} from './guides/plan.ts';
export type { PlannedGuide } from './guides/planned-guide.ts';
export { type Recut, recuts } from './guides/recuts.ts';
export { rowsFor, seatLateralMm, seatLink, seatsFor } from './guides/seats.ts';
export {
  type Bone,
  opposite,
  type Sense,
  type SlideSense,
  senseSeen,
  senseWord,
  slideSenses,
  type TurnSense,
  turnSenses,
} from './guides/sense.ts';
export type { Errors, GuideSettings, Setting, Settings } from './guides/setting.ts';
export type { SettingLine } from './guides/setting-line.ts';
export { type GuideProblem, type GuideSolution, type OutputTarget, solveGuide } from './guides/solve.ts';
export {
  type CallParts,
  callParts,
  callText,
  leftOverText,
  linkSense,
  siteWord,
  spoken,
  unspoken,
} from './guides/speak.ts';
export { touchAgain } from './guides/touch-again.ts';
export type { UnreachableLine } from './guides/unreachable.ts';
export { type GuideInPlace, madeBy, walk } from './guides/walker.ts';
export { checkKit, faultText, type KitFault } from './kits/check-kit.ts';
export { type ComponentFamily, type FemurSize, type Kit, thinnestTibia } from './kits/kit.ts';
export {
  explained,
  type FormDefaults,
  type FormStep,
  formSteps,
  heard,
  type KitMade,
  kitFromAnswers,
  type Measured,
  repeatsText,
  unknownPlaces,
} from './kits/kit-form.ts';
export { answerLine, answersHeading, answersIn, type LineFault } from './kits/kit-form-file.ts';
export { type InstrumentName, instruments } from './kits/kit-form-instruments.ts';
export type { Question } from './kits/kit-form-questions.ts';
export { type Answers, type Entry, isBlank } from './kits/kit-form-typed.ts';
export { kitJsonSchema } from './kits/kit-json-schema.ts';
export { type Repeats, repeats, repeatsAsked, type Slip, type Verdict } from './kits/repeats.ts';
export {
  type BoneFrame,
  boneFromScanMatrix,
  clinicalTibiaFrame,
  covarianceOutOfBone,
  intoBone,
  meshIntoBone,
  outOfBone,
} from './leg/bone-frame.ts';
export { wholeLengthMm } from './leg/bones/recognise.ts';
export type { SurfaceError } from './leg/bones/surface-error.ts';
export { apparentVarus } from './leg/film-projection.ts';
export { afterOperation } from './leg/films/after-operation.ts';
export { type DrawnQuantity, drawnQuantities } from './leg/films/drawn-quantities.ts';
export {
  type FilmMark,
  type FilmReading,
  type FilmScale,
  type FilmView,
  filmViews,
  type Pixel,
  type PixelCovariance,
  type PixelSpacing,
  type Posture,
  postures,
} from './leg/films/film.ts';
export {
  ballCalibration,
  calibrationDefaults,
  type ExposureGeometry,
  type FilmCalibration,
  type ObjectDepth,
  rulerCalibration,
} from './leg/films/film-calibration.ts';
export {
  type FilmResult,
  type FilmsOptions,
  firstMarks,
  type LegFromFilms,
  legFromFilms,
  type OpenMark,
} from './leg/films/leg-from-films.ts';
export { looseWay } from './leg/films/loose-way.ts';
export { type MarkKind, type MarkPlace, markPlace, markPlaces, marksOfView } from './leg/films/mark-catalogue.ts';
export {
  type KindRepeats,
  type MarkRepeats,
  markRepeatDefaults,
  markRepeats,
  type RepeatedFilm,
} from './leg/films/mark-repeats.ts';
export { literatureSpreads, type MarkSpread, type MarkSpreads } from './leg/films/mark-spread.ts';
export {
  type QuantityReadings,
  type QuantityRepeats,
  quantityRepeats,
  type ReaderComparison,
  readerComparison,
} from './leg/films/quantity-repeats.ts';
export type { Leg, Source } from './leg/leg.ts';
export { type BonesOptions, type LegFromBones, type LegMeshes, legFromBones } from './leg/leg-from-bones.ts';
export { type Landmark, type Measurement, measurement } from './leg/measurement.ts';
export {
  type QuantityDefinition,
  quantities,
  quantity,
  quantityDefinition,
  quantityDefinitions,
} from './leg/quantities.ts';
export { withBelief, withSpread } from './leg/restated.ts';
export {
  type ContactSite,
  cartilageName,
  contactSites,
  cortexName,
  femurSites,
  numberUnit,
  patellaSites,
  type Site,
  tibiaSites,
  wearName,
} from './leg/sites.ts';
export { type Stateable, stateable, stateables } from './leg/stateable.ts';
export { withStated } from './leg/stated.ts';
export { legFromStated } from './leg/stated-leg.ts';
export { checkStated, parseStated, type StatedValue } from './leg/stated-value.ts';
export { inside, outside, type Positive, type Q, type Unit } from './quantity.ts';
export { type Refusal, refusal } from './refusal.ts';
export { type SaidQuantity, saidQuantity, signWords } from './said-quantity.ts';
export { otherSide, type Side } from './side.ts';
