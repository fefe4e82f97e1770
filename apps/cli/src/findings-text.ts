import type { Finding } from '@kerfline/geometry';

const marks = { info: 'note', doubt: 'doubt', error: 'error' } as const;

/** Findings one to a line, doubts first. */
export const findingsText = (findings: readonly Finding[]): string =>
  [...findings]
    .sort((a, b) => Number(a.severity === 'info') - Number(b.severity === 'info'))
    .map((f) => `${marks[f.severity]}: ${f.message}`)
    .join('\n');
