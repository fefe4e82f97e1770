import type { Positive, Q } from './quantity.ts';

/** Words for a positive and a negative value. */
const words: Readonly<Record<Positive, readonly [string, string]>> = {
  varus: ['varus', 'valgus'],
  valgus: ['valgus', 'varus'],
  posteriorSlope: ['posterior slope', 'anterior slope'],
  flexion: ['flexed', 'extended'],
  external: ['external', 'internal'],
  lateral: ['lateral', 'medial'],
  medial: ['medial', 'lateral'],
  anterior: ['anterior', 'posterior'],
  proximal: ['proximal', 'distal'],
  opensLaterally: ['opens laterally', 'opens medially'],
};

/** The words for the two signs of a quantity, positive first. */
export const signWords = (positive: Positive): readonly [string, string] => words[positive];

/** A quantity as people say it: magnitude, give or take, and a word; never a sign. */
export interface SaidQuantity {
  readonly value: string;
  readonly spread: string;
  readonly word: string;
}

/** @param digits decimals of value and spread */
export function saidQuantity(q: Q, digits = 1): SaidQuantity {
  if (q.value === null) return { value: 'not known', spread: '', word: q.unknown ?? '' };
  const spread = q.sd === null || q.sd === 0 ? '' : q.sd.toFixed(digits);
  if (!q.positive) return { value: q.value.toFixed(digits), spread, word: '' };
  const value = Math.abs(q.value).toFixed(digits);
  // What rounds to nothing has no direction.
  return { value, spread, word: Number(value) === 0 ? '' : words[q.positive][q.value >= 0 ? 0 : 1] };
}
