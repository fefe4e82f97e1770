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
export { calledSetting, nearestStep, settableStep } from './guides/call.ts';
export { checkSetting, type SaidSetting } from './guides/check-setting.ts';
export { detents, neutralSettings } from './guides/choices.ts';
export { type CutName, cutNames, type Guide, isSettable, type Link, linkUnit, type Marks } from './guides/guide.ts';
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
  type PlannedGuide,
  type PlanWishes,
  planLeg,
} from './guides/plan.ts';
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
export type { UnreachableLine } from './guides/unreachable.ts';
export { type GuideInPlace, walk } from './guides/walker.ts';
export { checkKit, faultText, type KitFault } from './kits/check-kit.ts';
export { type ComponentFamily, type FemurSize, type Kit, thinnestTibia } from './kits/kit.ts';
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
