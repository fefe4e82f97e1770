import type { Q } from '@kerfline/knee';

/** Rows as aligned columns; the first row is the heading. */
export function table(rows: readonly (readonly string[])[]): string {
  const widths = rows[0]!.map((_, c) => Math.max(...rows.map((row) => [...(row[c] ?? '')].length)));
  return rows
    .map((row) =>
      row
        .map((cell, c) => (c === row.length - 1 ? cell : cell + ' '.repeat(widths[c]! - [...cell].length)))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

const opposites: Readonly<Record<string, string>> = {
  varus: 'valgus',
  valgus: 'varus',
  posteriorSlope: 'anterior slope',
  flexion: 'extension',
  external: 'internal',
  lateral: 'medial',
  medial: 'lateral',
  anterior: 'posterior',
  proximal: 'distal',
  opensLaterally: 'opens medially',
};

const words: Readonly<Record<string, string>> = {
  posteriorSlope: 'posterior slope',
  opensLaterally: 'opens laterally',
};

/** A quantity as people say it: magnitude, give or take, and a word; never a sign. */
export function said(q: Q, digits = 1): { readonly value: string; readonly spread: string; readonly word: string } {
  if (q.value === null) return { value: 'not known', spread: '', word: q.unknown ?? '' };
  const spread = q.sd === null || q.sd === 0 ? '' : `+/- ${q.sd.toFixed(digits)}`;
  if (!q.positive) return { value: q.value.toFixed(digits), spread, word: '' };
  const shown = Math.abs(q.value).toFixed(digits);
  const zero = Number(shown) === 0;
  const word = q.value >= 0 ? (words[q.positive] ?? q.positive) : (opposites[q.positive] ?? '');
  return { value: shown, spread, word: zero ? '' : word };
}
