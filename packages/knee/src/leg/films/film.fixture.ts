import type { Side } from '../../side.ts';
import type { FilmReading, FilmView } from './film.ts';

/** A film of 1 mm pixels with marks given in mm from its middle: lateral (front views) or front (side views), and up. */
export const readingOf = (
  view: FilmView,
  side: Side,
  points: Readonly<Record<string, readonly [lateral: number, up: number]>>,
  more: Partial<FilmReading> = {},
): FilmReading => {
  const spacing = { rowMm: 1, columnMm: 1 };
  const toRight = side === 'right' ? -1 : 1;
  return {
    id: view,
    view,
    posture: 'standing',
    side,
    columns: 600,
    rows: 1400,
    scale: { kind: 'bone', spacing, sd: 0.01, method: 'drawn' },
    mirrored: false,
    marks: Object.entries(points).map(([name, [lateral, up]]) => ({
      name,
      pixel: [300 + toRight * lateral, 700 - up],
    })),
    ...more,
  };
};

/** The mirror image of a film, declared as the other leg. */
export const mirroredReading = (film: FilmReading): FilmReading => ({
  ...film,
  side: film.side === 'right' ? 'left' : 'right',
  marks: film.marks.map((mark) => ({ ...mark, pixel: [film.columns - mark.pixel[0], mark.pixel[1]] })),
});

const radians = (deg: number): number => (deg * Math.PI) / 180;

/** Angles of a limb drawn flat on a film, degrees; varus of the limb positive. */
export interface FlatLimb {
  readonly ldfa: number;
  readonly mpta: number;
  readonly varus: number;
  readonly shaft: number;
}

/**
 * Marks of a long film of a limb that is neither turned nor bent, drawn with ruler and protractor: lateral and up, mm. The
 * femur stands upright on its knee centre; every angle is exact by construction.
 */
export function flatLimb({ ldfa, mpta, varus, shaft }: FlatLimb): Readonly<Record<string, readonly [number, number]>> {
  const distal = Math.tan(radians(90 - ldfa));
  const plateau = Math.tan(radians(90 - mpta));
  const lean = Math.tan(radians(shaft));
  const knee = [0, -18] as const;
  const shin = ([l, p]: readonly [number, number]): readonly [number, number] => {
    const [c, s] = [Math.cos(radians(varus)), Math.sin(radians(varus))];
    return [knee[0] + l * c + p * s, knee[1] + p * c - l * s];
  };
  return {
    hipCentre: [0, 420],
    femoralKneeCentre: [0, 0],
    distalMedial: [-25, -6.5 - 24 * distal],
    distalLateral: [23, -6.5 + 24 * distal],
    femoralCanalLow: [-1.5 + 100 * lean, 100],
    femoralCanalHigh: [-1.5 + 200 * lean, 200],
    patellaCentre: [3, 27],
    tibialKneeCentre: shin([0, 0]),
    plateauMedial: shin([1.3 - 21, -8.5 - 21 * plateau]),
    plateauLateral: shin([1.3 + 21, -8.5 + 21 * plateau]),
    fibulaHead: shin([34.5 * Math.cos(radians(5)) - 23 * Math.sin(radians(5)), -20]),
    malleolusMedial: shin([-25 * Math.cos(radians(5)) + 24 * Math.sin(radians(5)), -355.2]),
    malleolusLateral: shin([25 * Math.cos(radians(5)) - 24 * Math.sin(radians(5)), -364.8]),
    plafondCentre: shin([-2, -356.7]),
  };
}
