/**
 * `thorough` repeats until nothing moves any more; `quick` stops at a hundredth of a millimetre, from a start that is
 * already near: for runs whose differences matter, not their last digits.
 */
export type Effort = 'thorough' | 'quick';
/** Movement below which a search stands still, mm. */
export const standstill = (effort: Effort): number => (effort === 'thorough' ? 1e-7 : 1e-2);
/** How often a canal line is found anew. */
export const canalPasses = (effort: Effort): number => (effort === 'thorough' ? 4 : 1);
/** Through how many sections a canal line is drawn. */
export const canalSections = (effort: Effort): number => (effort === 'thorough' ? 25 : 9);
