import { clippedTo, type Polygon, polygonArea, polygonCentroid } from '@kerfline/geometry';
import { type Drawing, line, type Mark, type Point, text } from './drawing.ts';

/** One fragment of a cut: where its caliper point is, and what is foretold of it. */
export interface PieceShown {
  readonly letter: 'M' | 'L';
  /** Contact on the section, right and up, mm. */
  readonly at: Point;
  /** Thickness as written on the fragment; undefined while it is not known. */
  readonly says: string | undefined;
  /** Cartilage lost there, mm: dotted outside the fragment. */
  readonly wornMm: number;
}

/** A flat section of a bone with a cut through it. Right and up are the reader's, mm, life size. */
export interface PieceView {
  readonly label: string;
  readonly loops: readonly Polygon[];
  /** The cut in the section: points with normal . p > offset are removed. */
  readonly normal: Point;
  readonly offset: number;
  readonly pieces: readonly PieceShown[];
  /** How far fragments are lifted off, mm. */
  readonly liftMm: number;
  /** Part of the section that is drawn: left, bottom, right, top. */
  readonly window: readonly [number, number, number, number];
}

const down = ([x, y]: Point): Point => [x, -y];
const flipped = (polygon: Polygon): readonly Point[] => polygon.map(down);

const inWindow = (polygon: Polygon, [left, bottom, right, top]: PieceView['window']): Polygon =>
  clippedTo(clippedTo(clippedTo(clippedTo(polygon, [1, 0], right), [-1, 0], -left), [0, 1], top), [0, -1], -bottom);

/** Separate parts of a clipped polygon: clipping joins them by a line along the cut, which is taken apart again. */
function partsAlong(polygon: Polygon, normal: Point, offset: number): readonly Polygon[] {
  const onCut = (p: Point): boolean => Math.abs(p[0] * normal[0] + p[1] * normal[1] - offset) < 1e-6;
  const n = polygon.length;
  const start = polygon.findIndex((p, i) => onCut(p) && !onCut(polygon[(i + 1) % n]!));
  if (start === -1) return n > 2 ? [polygon] : [];
  const parts: Point[][] = [];
  let part: Point[] = [];
  for (let k = 0; k <= n; k += 1) {
    const p = polygon[(start + k) % n]!;
    part.push(p);
    if (onCut(p) && part.length > 1) {
      if (part.length > 2) parts.push(part);
      part = [p];
    }
  }
  return parts;
}

/** Reach of lost cartilage around its contact, mm. */
const wornReachMm = 14;

/** The surface that was there before it was worn, along the outer border of a fragment. */
function wornOutline(part: Polygon, piece: PieceShown, normal: Point, offset: number): readonly Point[] {
  const height = (p: Point): number => p[0] * normal[0] + p[1] * normal[1] - offset;
  const centre = polygonCentroid(part);
  return part.flatMap((p): readonly Point[] => {
    if (height(p) < 0.3) return [];
    const off = Math.hypot(p[0] - piece.at[0], p[1] - piece.at[1]);
    if (off > wornReachMm) return [];
    const share = Math.cos((Math.PI / 2) * (off / wornReachMm)) ** 0.7;
    const out: Point = [p[0] - centre[0], p[1] - centre[1]];
    const size = Math.hypot(...out) || 1;
    return [[p[0] + (piece.wornMm * share * out[0]) / size, p[1] + (piece.wornMm * share * out[1]) / size]];
  });
}

const leastPartMm2 = 12;
const letterSize = 5;

/** Bone as a hatched section, the cut as the darkest line, fragments lifted off along chain lines with their thickness on them. */
export function pieceDrawing(view: PieceView): Drawing {
  const { normal, offset, window } = view;
  const lift: Point = [normal[0] * view.liftMm, normal[1] * view.liftMm];
  const marks: Mark[] = [];
  const cutEnds: Point[] = [];
  for (const loop of view.loops) {
    const bone = inWindow(loop, window);
    if (bone.length < 3) continue;
    const hole = polygonArea(loop) < 0;
    const kept = clippedTo(bone, normal, offset);
    if (kept.length > 2) {
      marks.push(line(flipped(kept), { closed: true, fill: hole ? 'paper' : 'hatch', weight: 'outline' }));
    }
    if (hole) continue;
    const removed = clippedTo(bone, [-normal[0], -normal[1]], -offset);
    for (const part of partsAlong(removed, normal, offset)) {
      if (Math.abs(polygonArea(part)) < leastPartMm2) continue;
      cutEnds.push(part[0]!, part[part.length - 1]!);
      const middle = polygonCentroid(part);
      const piece = [...view.pieces].sort(
        (a, b) =>
          Math.hypot(a.at[0] - middle[0], a.at[1] - middle[1]) - Math.hypot(b.at[0] - middle[0], b.at[1] - middle[1]),
      )[0];
      for (const end of [part[0]!, part[part.length - 1]!]) {
        marks.push(
          line([down(end), down([end[0] + lift[0], end[1] + lift[1]])], {
            tone: 'line',
            weight: 'hair',
            dash: 'chain',
          }),
        );
      }
      const own: Mark[] = [line(flipped(part), { closed: true, fill: 'paper', weight: 'outline' })];
      if (piece && piece.wornMm > 0.05) {
        own.push(
          line(flipped(wornOutline(part, piece, normal, offset)), { tone: 'quiet', weight: 'outline', dash: 'dots' }),
        );
      }
      marks.push({ kind: 'group', move: down(lift), marks: own });
    }
  }
  for (const piece of view.pieces) {
    const [x, y] = piece.at;
    // The number stands in the middle of the fragment's thickness, the letter beyond it on a stalk.
    const height = x * normal[0] + y * normal[1] - offset;
    const inner: Point = [x - (normal[0] * height) / 2 + lift[0], y - (normal[1] * height) / 2 + lift[1]];
    const tip: Point = [x + normal[0] * 0.5 + lift[0], y + normal[1] * 0.5 + lift[1]];
    const letter: Point = [tip[0] + normal[0] * 7, tip[1] + normal[1] * 7];
    if (piece.says !== undefined) {
      const at = down(inner);
      marks.push(text([at[0], at[1] + 1.4], piece.says, 4, 'foretold', { anchor: 'middle' }));
    }
    marks.push(
      line([down(tip), down([letter[0] - normal[0] * 2.4, letter[1] - normal[1] * 2.4])], { weight: 'outline' }),
      { kind: 'letter', letter: piece.letter, at: down(letter), size: letterSize },
    );
  }
  // The cut runs a little beyond the bone on either side.
  const across: Point = [-normal[1], normal[0]];
  const places = cutEnds.map((p) => p[0] * across[0] + p[1] * across[1]).sort((a, b) => a - b);
  for (let k = 0; k + 1 < places.length; k += 2) {
    const from = places[k]! - (k === 0 ? 2 : 0.2);
    const to = places[k + 1]! + (k + 2 >= places.length ? 2 : 0.2);
    const at = (s: number): Point => down([normal[0] * offset + across[0] * s, normal[1] * offset + across[1] * s]);
    marks.push(line([at(from), at(to)], { weight: 'cut' }));
  }
  const beyond = view.liftMm + 13;
  const [left, bottom, right, top] = window;
  const low = normal[1] < -0.5 ? bottom - beyond : bottom;
  const high = normal[1] > 0.5 ? top + beyond : top;
  return { label: view.label, box: [left - 3, -high - 1, right - left + 6, high - low + 2], marks };
}
