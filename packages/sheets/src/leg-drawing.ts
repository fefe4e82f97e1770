import type { Polygon } from '@kerfline/geometry';
import { type Drawing, line, type Mark, type Point, text } from './drawing.ts';

/** A bone as seen from the front: borders and folds, right and up, mm. */
export interface BoneOutline {
  readonly outline: readonly Polygon[];
  readonly folds: readonly Polygon[];
}

/** A site with how far it may be off, in the same plane. */
export interface SiteShown {
  readonly label: string;
  readonly at: Point;
  readonly sd: Point;
  /** Which way its label hangs, and where it hangs if not at the site itself. */
  readonly towards: 'left' | 'right';
  readonly labelAt?: Point | undefined;
}

/** A leg as it lies, from the front. */
export interface LegFront {
  readonly label: string;
  /** Drawn in order, farther bones first. */
  readonly bones: readonly BoneOutline[];
  readonly sites: readonly SiteShown[];
  /** Believed lines: mechanical axes, joint lines. */
  readonly axes: readonly (readonly [Point, Point])[];
  /** Drawn this many times smaller than life. */
  readonly reduction: number;
  /** Part that is drawn: left, bottom, right, top, mm of the leg. */
  readonly window: readonly [number, number, number, number];
  /** Letter of the side, in a box in the corner: R or L. */
  readonly sideLetter: 'R' | 'L' | undefined;
  /** Length of the bar that shows the scale, mm of the leg. */
  readonly barMm: number;
}

/** Line-cut of a leg or a knee: bones as outlines, sites as clouds with a cross, axes in blue. */
export function legDrawing(view: LegFront): Drawing {
  const [left, bottom, right, top] = view.window;
  const scale = 1 / view.reduction;
  const at = ([x, y]: Point): Point => [(x - left) * scale, (top - y) * scale];
  const width = (right - left) * scale;
  const height = (top - bottom) * scale;
  const marks: Mark[] = [];
  const visible = (polygon: Polygon): boolean =>
    polygon.some(([x, y]) => x >= left && x <= right && y >= bottom && y <= top);
  for (const bone of view.bones) {
    for (const loop of bone.outline) {
      marks.push(line(loop.map(at), { closed: true, fill: 'paper', weight: 'outline' }));
    }
    for (const fold of bone.folds.filter(visible)) marks.push(line(fold.map(at), { tone: 'line', weight: 'hair' }));
  }
  for (const [from, to] of view.axes) marks.push(line([at(from), at(to)], { tone: 'foretold', weight: 'outline' }));
  for (const site of view.sites) {
    const p = at(site.at);
    const label = site.labelAt ? at(site.labelAt) : p;
    const arm = 1.6;
    marks.push(
      { kind: 'cloud', at: p, sd: [Math.max(site.sd[0] * scale, 0.5), Math.max(site.sd[1] * scale, 0.5)] },
      line(
        [
          [p[0] - arm, p[1]],
          [p[0] - 0.5, p[1]],
        ],
        { weight: 'outline' },
      ),
      line(
        [
          [p[0] + 0.5, p[1]],
          [p[0] + arm, p[1]],
        ],
        { weight: 'outline' },
      ),
      line(
        [
          [p[0], p[1] - arm],
          [p[0], p[1] - 0.5],
        ],
        { weight: 'outline' },
      ),
      line(
        [
          [p[0], p[1] + 0.5],
          [p[0], p[1] + arm],
        ],
        { weight: 'outline' },
      ),
      text(
        [label[0] + (site.towards === 'right' ? 3.4 : -3.4), label[1] + 1],
        site.label,
        2.9,
        'metal',
        site.towards === 'right' ? {} : { anchor: 'end' },
      ),
    );
  }
  if (view.sideLetter) {
    marks.push(
      line(
        [
          [width - 8.6, 2],
          [width - 2, 2],
          [width - 2, 8.6],
          [width - 8.6, 8.6],
        ],
        { closed: true, fill: 'paper', weight: 'edge' },
      ),
      text([width - 5.3, 7.1], view.sideLetter, 4.8, 'metal', { anchor: 'middle', bold: true }),
    );
  }
  const bar = view.barMm * scale;
  marks.push(
    line(
      [
        [3, height - 7],
        [3, height - 5],
      ],
      { weight: 'outline' },
    ),
    line(
      [
        [3, height - 6],
        [3 + bar, height - 6],
      ],
      { weight: 'outline' },
    ),
    line(
      [
        [3 + bar, height - 7],
        [3 + bar, height - 5],
      ],
      { weight: 'outline' },
    ),
    text([3, height - 1.6], `${view.barMm} mm on the bone`, 2.9, 'caption'),
  );
  return { label: view.label, box: [0, 0, width, height], clipped: true, marks };
}
