import type { FilmView, Pixel } from '@kerfline/knee';

const joined: Readonly<Record<FilmView, readonly (readonly [string, string])[]>> = {
  'long-leg': [
    ['hipCentre', 'femoralKneeCentre'],
    ['tibialKneeCentre', 'plafondCentre'],
    ['distalMedial', 'distalLateral'],
    ['plateauMedial', 'plateauLateral'],
    ['femoralCanalHigh', 'femoralCanalLow'],
    ['tibialCanalHigh', 'tibialCanalLow'],
  ],
  'knee-front': [
    ['distalMedial', 'distalLateral'],
    ['plateauMedial', 'plateauLateral'],
    ['femoralCanalHigh', 'femoralCanalLow'],
    ['tibialCanalHigh', 'tibialCanalLow'],
  ],
  'knee-lateral': [
    ['medialRimFront', 'medialRimRear'],
    ['femoralCanalHigh', 'femoralCanalLow'],
    ['tibialCanalHigh', 'tibialCanalLow'],
  ],
  skyline: [['patellaEdgeMedial', 'patellaEdgeLateral']],
  'after-front': [
    ['hipCentre', 'femoralKneeCentre'],
    ['tibialKneeCentre', 'plafondCentre'],
    ['componentDistalMedial', 'componentDistalLateral'],
    ['trayMedial', 'trayLateral'],
  ],
  'after-lateral': [
    ['componentDistalFront', 'componentDistalRear'],
    ['trayFront', 'trayRear'],
    ['femoralCanalHigh', 'femoralCanalLow'],
    ['tibialCanalHigh', 'tibialCanalLow'],
  ],
};

/** Axes and joint lines between marks that are there. */
export function filmLines(
  view: FilmView,
  marks: readonly { readonly name: string; readonly pixel: Pixel }[],
): readonly (readonly [Pixel, Pixel])[] {
  const at = new Map(marks.map((mark) => [mark.name, mark.pixel]));
  return joined[view].flatMap(([from, to]) => {
    const [a, b] = [at.get(from), at.get(to)];
    return a && b ? [[a, b] as const] : [];
  });
}
