import { type Drawing, line, type Mark, text } from './drawing.ts';

/** What a called mark leaves over, magnified: the red line is what is set, the dashed one what was wanted. */
export interface LeftOver {
  /** Wanted minus called, to the right on the scale beside it, mm. */
  readonly offMm: number;
  readonly magnification: number;
  readonly numeral: string;
}

const radius = 9;

export function detailCircle(left: LeftOver): Drawing {
  const off = Math.max(-radius * 0.75, Math.min(radius * 0.75, left.offMm * left.magnification));
  const marks: Mark[] = [
    { kind: 'circle', at: [0, 0], radius, weight: 'outline', fill: 'paper' },
    line(
      [
        [-radius, 0],
        [radius, 0],
      ],
      { tone: 'line', weight: 'hair' },
    ),
    text([off > 0 ? -1.4 : 1.4, -2.6], left.numeral, 4, 'metal', { anchor: off > 0 ? 'end' : 'start', bold: true }),
    line(
      [
        [0, -radius + 0.6],
        [0, radius - 0.6],
      ],
      { tone: 'set', weight: 'edge' },
    ),
    line(
      [
        [off, 0],
        [off, Math.sqrt(radius * radius - off * off) - 0.4],
      ],
      { tone: 'foretold', weight: 'outline', dash: 'short' },
    ),
    line(
      [
        [0, 4],
        [off, 4],
      ],
      { weight: 'outline' },
    ),
    text([0, radius + 4], `${Math.abs(left.offMm).toFixed(1)} mm left over`, 2.9, 'metal', { anchor: 'middle' }),
  ];
  return {
    label: `detail ${left.magnification} : 1, ${Math.abs(left.offMm).toFixed(2)} mm left over`,
    box: [-13, -radius - 0.6, 26, 2 * radius + 6],
    marks,
  };
}
