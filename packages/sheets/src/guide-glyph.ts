import type { Guide, Link } from '@kerfline/knee';
import { box, type Drawing, line, type Mark, type Point } from './drawing.ts';

/** One part of a guide as it lies on the tray: what is drawn, and how much room it takes. */
interface Part {
  readonly width: number;
  readonly marks: readonly Mark[];
}

const middle = 9;
const shift = (marks: readonly Mark[], by: number): Mark => ({ kind: 'group', move: [by, 0], marks });
const outline = { weight: 'outline', fill: 'paper' } as const;
const red = { tone: 'set', weight: 'outline' } as const;

const ticks = (from: number, count: number, apart: number): readonly Mark[] =>
  Array.from({ length: count }, (_, k) =>
    line(
      [
        [from + k * apart, middle - 3],
        [from + k * apart, middle - (k % 2 === 0 ? 5.4 : 4.4)],
      ],
      red,
    ),
  );

/** What each kind of link looks like lying on a tray, from the side; what is set is red. */
function partOf(link: Link): Part | undefined {
  switch (link.kind) {
    case 'core':
      return { width: 40, marks: [box(0, middle - 1, 40, 2, outline)] };
    case 'mast':
      return {
        width: 46,
        marks: [
          box(0, middle - 0.9, 46, 1.8, outline),
          line(
            [
              [16, middle + 0.9],
              [16, middle + 4],
              [15, middle + 5.4],
            ],
            { weight: 'outline' },
          ),
        ],
      };
    case 'frame':
      return {
        width: 12,
        marks: [
          line(
            [
              [0, middle - 5],
              [6, middle - 3.4],
              [8.4, middle],
              [6, middle + 3.4],
              [0, middle + 5],
            ],
            { weight: 'outline', smooth: true },
          ),
          box(7, middle - 2.4, 5, 4.8, outline),
        ],
      };
    case 'swing':
      return link.setBy === 'sight'
        ? { width: 3, marks: [box(0, middle - 2.6, 3, 5.2, outline)] }
        : {
            width: 16,
            marks: [
              box(0, middle - 2, 16, 8, outline),
              line(arc([8, middle + 6], 11, -125, -55), { ...red, smooth: true }),
              ...[-115, -90, -65].map((deg) =>
                line([onArc([8, middle + 6], 11, deg), onArc([8, middle + 6], 13, deg)], red),
              ),
            ],
          };
    case 'slide':
      return {
        width: link.sizes ? 16 : 14,
        marks: [box(0, middle - 2.4, link.sizes ? 16 : 14, 4.8, outline), ...ticks(2, 6, link.sizes ? 2.4 : 2)],
      };
    case 'ring':
      return {
        width: 10,
        marks: [
          { kind: 'circle', at: [5, middle], radius: 4.6, tone: 'set', weight: 'outline', fill: 'paper' },
          { kind: 'circle', at: [5, middle], radius: 1.6, weight: 'outline' },
        ],
      };
    case 'rest':
      return {
        width: 5,
        marks: [box(0, middle - 6, 2, 12, outline), box(2, middle - 1.4, 3, 2.8, outline)],
      };
    case 'dial':
      return { width: 14, marks: [box(0, middle - 2, 14, 4, outline), ...ticks(3, 5, 2)] };
    case 'feeler':
      return {
        width: 9,
        marks: [
          line(
            [
              [1, middle],
              [1, middle - 7],
              [9, middle - 7],
              [9, middle - 4.4],
            ],
            red,
          ),
          box(0, middle - 1.6, 4, 3.2, outline),
        ],
      };
    case 'thread':
      return {
        width: 6,
        marks: [
          box(0, middle - 1.2, 6, 2.4, outline),
          ...[1, 2.3, 3.6, 4.9].map((x) =>
            line(
              [
                [x, middle - 1.2],
                [x + 0.6, middle + 1.2],
              ],
              { weight: 'hair', tone: 'line' },
            ),
          ),
        ],
      };
    case 'seat':
      return {
        width: 10,
        marks: [
          box(0, middle + 1, 10, 3, outline),
          ...[1, 4, 7].map((x) => box(x, middle - 1.6, 2, 2.6, x === 4 ? { ...red, fill: 'paper' } : outline)),
        ],
      };
    case 'pin':
      return link.rows.length > 1
        ? {
            width: 6,
            marks: [
              box(0, middle - 4, 6, 8, outline),
              ...[-2.4, 0, 2.4].flatMap((dy) =>
                [1.6, 4.4].map(
                  (x): Mark => ({
                    kind: 'circle',
                    at: [x, middle + dy],
                    radius: 0.6,
                    weight: 'outline',
                    ...(dy === 0 ? { tone: 'set' } : {}),
                  }),
                ),
              ),
            ],
          }
        : undefined;
    case 'sized':
      return {
        width: 18,
        marks: [box(0, middle - 5, 18, 10, outline), box(6, middle - 2, 6, 4, { ...red, fill: 'paper' })],
      };
    case 'drill':
      return {
        width: 30,
        marks: [
          box(0, middle - 1.2, 20, 2.4, outline),
          box(20, middle - 2.6, 3, 5.2, { ...red, fill: 'paper' }),
          line(
            [
              [23, middle - 1],
              [30, middle],
              [23, middle + 1],
            ],
            { weight: 'outline' },
          ),
        ],
      };
    case 'slit':
    case 'openFace':
      return {
        width: 7,
        marks: [box(0, middle - 7, 7, 14, outline), box(2.6, middle - 5, 1.8, 10, { weight: 'outline' })],
      };
    default:
      return undefined;
  }
}

const onArc = (centre: Point, radius: number, deg: number): Point => [
  centre[0] + radius * Math.cos((deg * Math.PI) / 180),
  centre[1] + radius * Math.sin((deg * Math.PI) / 180),
];
const arc = (centre: Point, radius: number, from: number, to: number): readonly Point[] =>
  Array.from({ length: 9 }, (_, k) => onArc(centre, radius, from + ((to - from) * k) / 8));

/** A guide lying on the tray, part by part in the order of its links: made from the kit's data, so every guide has one. */
export function guideGlyph(guide: Guide): Drawing {
  const marks: Mark[] = [];
  let at = 2;
  for (const link of guide.links) {
    const part = partOf(link);
    if (!part) continue;
    marks.push(shift(part.marks, at));
    at += part.width + 0.8;
  }
  return { label: `${guide.says} lying on the tray`, box: [0, 0, at + 2, 18], marks };
}
