import { type Drawing, line, text } from './drawing.ts';

/** A bar of known length that proves the scale of a page. */
export const checkBar = (lengthMm: number, says: string): Drawing => ({
  label: `Check bar, ${lengthMm} mm`,
  box: [-0.5, 0, lengthMm + 1, 7.4],
  marks: [
    line(
      [
        [0, 1],
        [0, 3.6],
      ],
      { weight: 'outline' },
    ),
    line(
      [
        [0, 2.3],
        [lengthMm, 2.3],
      ],
      { weight: 'outline' },
    ),
    line(
      [
        [lengthMm, 1],
        [lengthMm, 3.6],
      ],
      { weight: 'outline' },
    ),
    ...Array.from({ length: lengthMm / 10 - 1 }, (_, k) =>
      line(
        [
          [10 * (k + 1), 2.3],
          [10 * (k + 1), 3.3],
        ],
        { tone: 'line', weight: 'hair' },
      ),
    ),
    text([lengthMm / 2, 6.8], says, 3, 'caption', { anchor: 'middle' }),
  ],
});
