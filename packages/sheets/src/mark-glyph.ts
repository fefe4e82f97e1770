import type { FilmView, Side } from '@kerfline/knee';
import { readerRight } from './cut-pictures.ts';
import { type Drawing, line, type Mark, type Point } from './drawing.ts';
import { markPlan, type PlanName, plans } from './mark-plans.ts';

/** Size of a glyph on paper, mm. */
const [wide, tall] = [17, 13];

/** How a mark stands in the drawer: still to be placed, placed, or the one that narrows the answer most. */
export type MarkGlyphState = 'unplaced' | 'placed' | 'next';

function cross([x, y]: Point, state: MarkGlyphState): readonly Mark[] {
  const arm = 2.1;
  const gap = 0.5;
  const tone = state === 'next' ? 'set' : state === 'placed' ? 'line' : 'ink';
  return (
    [
      [1, 0],
      [-1, 0],
      [0, 1],
      [0, -1],
    ] as const
  ).map(([dx, dy]) =>
    line(
      [
        [x + dx * gap, y + dy * gap],
        [x + dx * arm, y + dy * arm],
      ],
      { tone, weight: 'edge' },
    ),
  );
}

/** Where a mark lies: a schematic of its part of the limb as the film of that view shows it, with a cross at the place. */
export function markGlyph(name: string, view: FilmView, side: Side, state: MarkGlyphState): Drawing | undefined {
  const place = markPlan(name, view);
  if (!place) return undefined;
  const plan = plans[place.plan];
  // Fronts show the patient facing the reader; from the side the front of the knee is to the reader's left.
  const sign = facing[place.plan] === 'front' ? readerRight(side) : 1;
  const scale = wide / place.spanMm;
  const at = ([x, y]: Point): Point => [
    wide / 2 + sign * (x - place.middle[0]) * scale,
    tall / 2 - (y - place.middle[1]) * scale,
  ];
  const quiet = state === 'placed';
  const marks: Mark[] = plan.map(({ points, closed, fine }) =>
    line(points.map(at), {
      closed: closed ?? true,
      smooth: true,
      tone: quiet ? 'hair' : fine ? 'line' : 'quiet',
      weight: fine ? 'hair' : 'outline',
      fill: fine || closed === false ? 'none' : quiet ? 'none' : 'bone',
    }),
  );
  return {
    label: `where it lies: ${name}`,
    box: [0, 0, wide, tall],
    clipped: true,
    marks: [...marks, ...cross(at(place.at), state)],
  };
}

const facing: Readonly<Record<PlanName, 'front' | 'side'>> = {
  limbFront: 'front',
  limbSide: 'side',
  skyline: 'front',
  implantFront: 'front',
  implantSide: 'side',
};
