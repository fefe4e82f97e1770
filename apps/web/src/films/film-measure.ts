import { ballCircle, edgesAcross, type FilmPixels, measureErrorText, rimCircle, tangentPoint } from '@kerfline/imaging';
import type { Measure, Measured } from './film-messages.ts';

const none = (error: Parameters<typeof measureErrorText>[0]): Measured => ({
  measure: 'none',
  message: measureErrorText(error),
});

/** What a helper measures on a film's pixels, with its residual. */
export function measuredOn(film: FilmPixels, what: Measure): Measured {
  switch (what.measure) {
    case 'rim':
    case 'ball': {
      const circle = (what.measure === 'ball' ? ballCircle : rimCircle)(film, what.points, { snapPx: what.reachPx });
      if (!circle.ok) return none(circle.error);
      const { centre, radius, rms, rim } = circle.value;
      return { measure: 'rim', centre, radiusPx: radius, residualPx: rms, points: rim };
    }
    case 'across': {
      const edges = edgesAcross(film, what.from, what.to);
      if (!edges.ok) return none(edges.error);
      const { outer, inner, middle, canal, rms } = edges.value;
      const [one, other] = inner ?? outer;
      return {
        measure: 'across',
        edges: [one.place, other.place],
        middle: (canal ?? middle).place,
        between: inner ? 'inner' : 'outer',
        residualPx: rms,
      };
    }
    case 'tangent': {
      const point = tangentPoint(film, what.near, what.direction, what.reachPx);
      return point.ok ? { measure: 'tangent', at: point.value.place, residualPx: point.value.rms } : none(point.error);
    }
  }
}
