import { err, ok, type Result } from '@kerfline/geometry';
import type { Answers } from './kit-form-typed.ts';

/** One line of a readings file that cannot be read. */
export interface LineFault {
  readonly line: number;
  readonly found: string;
}

/** What stands at the top of a readings file. */
export const answersHeading = (like: string): string =>
  [
    '# What was typed and measured for a kit. One line for each question: its place, a colon, the answer.',
    '# Readings are separated by spaces; decimal point or comma. - is: not measured. A later line for the same place counts.',
    '# May be edited by hand. Lines that begin with # are notes.',
    `like: ${like}`,
    '',
  ].join('\n');

/** A line for one answer; what is typed on several lines becomes one. */
export const answerLine = (path: string, answer: string): string =>
  `${path}: ${answer.replace(/\s+/g, ' ').trim() || '-'}\n`;

/** Reads a readings file; the last line for a place counts. `like` is the pattern it was made with. */
export function answersIn(
  text: string,
): Result<{ readonly like?: string; readonly answers: Answers }, readonly LineFault[]> {
  const answers = new Map<string, string>();
  const faults: LineFault[] = [];
  let like: string | undefined;
  text
    .replace(/^\uFEFF/, '')
    .split(/\r\n|\r|\n/)
    .forEach((line, i) => {
      if (/^\s*(#|$)/.test(line)) return;
      const found = /^\s*([^\s:]+)\s*:(.*)$/.exec(line);
      if (!found) {
        faults.push({ line: i + 1, found: line.trim() });
        return;
      }
      const [, path, answer] = found;
      if (path === 'like') like = answer!.trim();
      else answers.set(path!, answer!.trim());
    });
  if (faults.length > 0) return err(faults);
  return ok({ ...(like === undefined ? {} : { like }), answers });
}
