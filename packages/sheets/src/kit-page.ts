import type { Mark, Point } from './drawing.ts';

export const page = { width: 210, height: 297, margin: 15, top: 34, bottom: 278 } as const;
export const room = page.width - 2 * page.margin;
export const sizes = { title: 6.5, name: 4.2, numeral: 3, words: 3 } as const;

/** Marks with their own top left corner at 0, 0. */
export interface Figure {
  readonly height: number;
  readonly marks: readonly Mark[];
}

/** About how wide words are, mm. */
export const widthOf = (words: string, size: number): number => words.length * size * 0.52;

export function wrapped(words: string, size: number, across: number = room): readonly string[] {
  const lines: string[] = [];
  for (const word of words.split(' ').filter((w) => w !== '')) {
    const last = lines.at(-1);
    if (last !== undefined && widthOf(`${last} ${word}`, size) <= across) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

export const moved = (move: Point, marks: readonly Mark[]): Mark => ({ kind: 'group', move, marks });
export const trimmed = (value: number): string => String(Number(value.toFixed(2)));
