import type { PixelError } from './pixel-error.ts';

/** A long film of 0.1 mm pixels is 4,300 x 13,000 = 56 million. Project choice, no source. */
export const mostPixels = 120_000_000;

/** Refuses sizes that no film has, before any room is made. */
export function refusedSize(rows: number, columns: number): PixelError | undefined {
  for (const [what, found] of [
    ['number of rows', rows],
    ['number of columns', columns],
  ] as const)
    if (!(Number.isInteger(found) && found >= 1 && found <= 65_535))
      return { kind: 'bad-number', what, found, needed: '1 to 65,535' };
  if (rows * columns > mostPixels)
    return { kind: 'too-large', what: 'number of pixels', found: rows * columns, allowed: mostPixels };
  return undefined;
}
