import type { Body } from './body.ts';
import type { PatellaParameters } from './knee-parameters.ts';
import { smoothMax, smoothStep } from './smooth-blend.ts';
import { splineCurve, splineTable } from './spline-table.ts';

/**
 * The patella in its drawn frame: origin inside it at its widest level, A forward, P proximal, L lateral; mm.
 *
 * A rounded triangle seen from the front with its apex below; in front gently convex; behind a median ridge between a
 * larger, flatter lateral facet and a smaller, steeper medial one, and below them the back of the apex without cartilage.
 */
export function patellaBody(patella: PatellaParameters): Body {
  const { thicknessMm: thick, widthMm: wide, heightMm: high } = patella;
  const up = 0.46 * high;
  const down = 0.54 * high;
  const rim = splineCurve({ from: -Math.PI, to: Math.PI, steps: 72, periodic: true }, (angle) => {
    const c = Math.abs(Math.cos(angle)) / (0.511 * wide);
    const s = Math.sin(angle);
    // Above nearly round, below drawn out to the apex.
    const round = 2 - 0.5 * smoothStep(-0.1, -0.9, s);
    return (c ** round + (Math.abs(s) / (s > 0 ? up : down)) ** round) ** (-1 / round);
  });
  const front = (l: number, p: number): number => 0.45 * thick - (l * l) / (2.6 * wide) - (p * p) / (3.6 * high);
  const ridge = -0.04 * wide;
  const back = splineTable(
    { from: -0.8 * wide, to: 0.8 * wide, steps: 50 },
    { from: -0.8 * high, to: 0.8 * high, steps: 50 },
    (l, p) => {
      const lateral = 0.34 * (l - ridge) + (l - ridge) ** 2 / (6 * wide);
      const medial = 0.48 * (ridge - l) + (ridge - l) ** 2 / (4 * wide);
      const apex = 0.32 * thick * smoothStep(-0.04, -0.5, p / high);
      const upper = 0.1 * thick * smoothStep(0.2, 0.5, p / high);
      return -0.576 * thick + smoothMax(lateral, medial, 6) + apex + upper;
    },
  );
  const edge = 0.34 * thick;
  return {
    field: (x, y, z) => {
      const r = Math.sqrt(x * x + z * z);
      const around = 0.95 * (r - rim(Math.atan2(z, x)));
      return smoothMax(smoothMax(y - front(x, z), back(x, z) - y, edge), around, edge);
    },
    box: {
      min: [-wide / 2 - 6, -0.6 * thick - 6, -down - 6],
      max: [wide / 2 + 6, 0.5 * thick + 6, up + 6],
    },
  };
}
