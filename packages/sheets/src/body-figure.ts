import type { Side } from '@kerfline/knee';
import { type Drawing, line, type Mark, type Point } from './drawing.ts';

/** A body that faces the reader, the leg in question filled: so a left leg is on the reader's right. */
export function bodyFigure(side: Side): Drawing {
  const trunk: readonly Point[] = [
    [3.4, 4],
    [7.6, 4],
    [9.2, 9.6],
    [8.2, 9.9],
    [7.2, 6.6],
    [7.2, 10.6],
    [3.8, 10.6],
    [3.8, 6.6],
    [2.8, 9.9],
    [1.8, 9.6],
  ];
  const leg = (sign: 1 | -1): readonly Point[] => [
    [5.5 + sign * 1.7, 10.6],
    [5.5 + sign * 0.12, 10.6],
    [5.5 + sign * 0.3, 19],
    [5.5 + sign * 1.65, 19],
  ];
  // Facing the reader: the left leg is to the reader's right.
  const filled = side === 'left' ? 1 : -1;
  const marks: Mark[] = [
    { kind: 'circle', at: [5.5, 1.9], radius: 1.4, weight: 'outline', fill: 'paper' },
    line(trunk, { closed: true, weight: 'outline', fill: 'paper' }),
    line(leg(-filled as 1 | -1), { closed: true, weight: 'outline', fill: 'paper' }),
    line(leg(filled), { closed: true, weight: 'outline', fill: 'ink' }),
  ];
  return { label: `Body facing you, ${side} leg filled`, box: [1.2, 0, 8.6, 19.6], marks };
}
