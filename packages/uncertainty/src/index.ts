export { type Agreement, type AgreementOptions, agreement, agreementOfMeans, type Twice } from './agreement.ts';
export {
  type Belief,
  type BeliefPart,
  belief,
  componentsOf,
  correlation,
  covarianceOf,
  has,
  joined,
  marginal,
  meanOf,
  meanVectorOf,
  type Slot,
  sdOf,
  slotOf,
} from './belief.ts';
export { type Conditioned, condition, type Observation } from './condition.ts';
export { covarianceFault } from './covariance-fault.ts';
export { fisherQuantile, fisherShares } from './fisher-f.ts';
export type { Interval } from './interval.ts';
export { type Intraclass, type Intraclasses, intraclass, type MeanSquares, meanSquares } from './intraclass.ts';
export { lagOneCorrelation, type Moments, moments, pearson, sampleSd } from './moments.ts';
export { type Derivatives, derivatives, extended, type Model, type Output, propagate } from './propagate.ts';
export { type Random, randomStream } from './random.ts';
export { type FromReadings, type ReadingsFault, readingsFaultText } from './readings-fault.ts';
export { minimalDetectableChange, type Repeatability, repeatability } from './repeatability.ts';
export { sampler } from './sample.ts';
export { type BentSpread, spreadThrough } from './spread-through.ts';
export {
  noneYet,
  normalCdf,
  quantile,
  type Running,
  type Summary,
  shareBeyond,
  summary,
  withValue,
} from './statistics.ts';
export { studentCdf, studentQuantile } from './student-t.ts';
