import type { Pixel } from '@kerfline/knee';
import type { Measured } from './film-messages.ts';
import type { Aid } from './film-paint.ts';

/** How a mark is placed: by hand, by the rim of a circle, from two edges, or where a direction touches an edge. */
export type How = 'hand' | 'rim' | 'across' | 'tangent';

/** What is being done on a film. */
export type FilmTask =
  | {
      readonly kind: 'mark';
      readonly name: string;
      readonly how: How;
      readonly moved: boolean;
      readonly points: readonly Pixel[];
      readonly found: Measured | undefined;
    }
  | { readonly kind: 'ball' | 'ruler'; readonly points: readonly Pixel[]; readonly found: Measured | undefined };

/** What is drawn of a task beside its marks. */
export function taskAids(task: FilmTask | undefined): readonly Aid[] {
  if (!task) return [];
  const points = task.points.map((at): Aid => ({ kind: 'point', at }));
  const { found } = task;
  if (task.kind === 'ruler' && task.points.length === 2) {
    return [...points, { kind: 'line', from: task.points[0]!, to: task.points[1]! }];
  }
  switch (found?.measure) {
    case 'rim':
      return [...points, { kind: 'circle', centre: found.centre, radiusPx: found.radiusPx }];
    case 'across':
      return [
        { kind: 'line', from: found.edges[0], to: found.edges[1] },
        { kind: 'point', at: found.edges[0] },
        { kind: 'point', at: found.edges[1] },
      ];
    case 'tangent':
      return [...points, { kind: 'point', at: found.at }];
    default:
      return points;
  }
}
