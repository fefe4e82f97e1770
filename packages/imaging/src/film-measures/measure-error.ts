import { unreachable } from '@kerfline/geometry';

/** Why nothing could be measured: what was found and what was needed. */
export type MeasureError =
  | { readonly kind: 'too-few-points'; readonly found: number; readonly needed: number }
  /** The points lie so nearly on a line that no circle is told apart from another; `radius` would be the best. */
  | { readonly kind: 'points-nearly-collinear'; readonly radius: number; readonly allowed: number }
  /** Edges were found at so few of the places looked at. */
  | { readonly kind: 'no-edge'; readonly what: string; readonly found: number; readonly needed: number }
  | { readonly kind: 'line-too-short'; readonly found: number; readonly needed: number }
  | { readonly kind: 'outside-film'; readonly column: number; readonly row: number }
  /** The boundary rises until it ends, so that its extreme point lies beyond what was looked at. */
  | { readonly kind: 'no-extreme'; readonly reach: number };

/** The error as one sentence for people. */
export function measureErrorText(error: MeasureError): string {
  switch (error.kind) {
    case 'too-few-points':
      return `${error.found} points were given; at least ${error.needed} are needed.`;
    case 'points-nearly-collinear':
      return `The points lie nearly on a line: the circle would have a radius of ${error.radius.toFixed(0)} px, and at most ${error.allowed.toFixed(0)} px is taken.`;
    case 'no-edge':
      return `No clear ${error.what}: found at ${error.found} of the places looked at, ${error.needed} are needed.`;
    case 'line-too-short':
      return `The line is ${error.found.toFixed(1)} px long; at least ${error.needed} px are needed.`;
    case 'outside-film':
      return `Column ${error.column.toFixed(1)}, row ${error.row.toFixed(1)} lies outside the film or at its border.`;
    case 'no-extreme':
      return `The boundary goes on rising within ${error.reach.toFixed(0)} px; its extreme point lies farther away.`;
    default:
      return unreachable(error);
  }
}
