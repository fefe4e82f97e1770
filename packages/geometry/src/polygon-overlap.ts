import { FillRule, intersectD } from 'clipper2-ts';
import { type Polygon, polygonArea } from './polygon.ts';

/**
 * Decimal places of a coordinate that the clipping keeps: a millionth of a millimetre. An area round which the edge runs for
 * 200 mm is then right to about 1e-4 mm2.
 */
const decimals = 6;

const asPath = (polygon: Polygon): { x: number; y: number }[] => polygon.map(([x, y]) => ({ x, y }));

/**
 * Area that two polygons have in common, in their unit squared; either may be bent inward and turn either way, but none may
 * cross itself.
 */
export const overlapArea = (a: Polygon, b: Polygon): number =>
  Math.abs(
    intersectD([asPath(a)], [asPath(b)], FillRule.NonZero, decimals).reduce(
      (sum, path) => sum + polygonArea(path.map(({ x, y }) => [x, y])),
      0,
    ),
  );
