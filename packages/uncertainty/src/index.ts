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
export { type Derivatives, derivatives, extended, type Model, type Output, propagate } from './propagate.ts';
export { type Random, randomStream } from './random.ts';
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
