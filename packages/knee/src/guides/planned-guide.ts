import type { SizeChoice } from '../cuts/size-choice.ts';
import type { Settings } from './setting.ts';
import type { GuideProblem } from './solve.ts';

/** One guide of a plan, solved and called. */
export interface PlannedGuide {
  readonly problem: GuideProblem;
  readonly exact: Settings;
  /** What the plan would call, before anything was chosen by hand. */
  readonly calledByPlan: Settings;
  readonly called: Settings;
  /** Sizes for this bone, best first; only on a guide that sets one, and only when the front cortex is known. */
  readonly sizes: readonly SizeChoice[];
}
