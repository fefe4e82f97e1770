import type { Finding } from '@kerfline/geometry';

const marks = { info: 'note', doubt: 'doubt', error: 'error' } as const;

/** Findings one to a line, doubts first. */
export const findingsText = (findings: readonly Finding[]): string =>
  [...findings]
    .sort((a, b) => Number(a.severity === 'info') - Number(b.severity === 'info'))
    .map((f) => `${marks[f.severity]}: ${f.message}`)
    .join('\n');

export const caution =
  'Worked figures for a qualified surgical team. They decide; this computes. Not a cleared medical device. For teaching, ' +
  'rehearsal and record unless your institution has approved clinical use. Local rules and licensed judgement come first.';
