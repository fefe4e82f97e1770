/**
 * A drawing as data: what is drawn where, in mm on paper, y downward. Screen and paper draw the same data; colours and
 * weights have names so that grey print and every eye can tell them apart (rules of the look: upright is fact, leaning is
 * foretold; red is only the mark to set; the cut is the darkest line).
 */

export type Point = readonly [number, number];

/** `foretold` is blue and leans; `set` is red and has one use: what the hand sets next. */
export type Tone = 'ink' | 'quiet' | 'line' | 'hair' | 'foretold' | 'set';
export type Weight = 'hair' | 'outline' | 'edge' | 'cut';
export type Fill = 'none' | 'paper' | 'bone' | 'hatch' | 'unknown' | 'ink' | 'set' | 'wash';
export type Dash = 'chain' | 'dots' | 'short';

/** A line or an area. `smooth` joins the points by a curve through them. */
export interface PathMark {
  readonly kind: 'path';
  readonly points: readonly Point[];
  readonly closed?: boolean;
  readonly smooth?: boolean;
  readonly tone?: Tone;
  readonly weight?: Weight;
  readonly fill?: Fill;
  readonly dash?: Dash;
}

export interface CircleMark {
  readonly kind: 'circle';
  readonly at: Point;
  readonly radius: number;
  readonly tone?: Tone;
  readonly weight?: Weight;
  readonly fill?: Fill;
}

/** Words or numbers. `voice`: `metal` upright sans, `foretold` leaning serif in blue, `caption` small and quiet. */
export interface TextMark {
  readonly kind: 'text';
  readonly at: Point;
  readonly text: string;
  readonly size: number;
  readonly voice: 'metal' | 'foretold' | 'caption' | 'set';
  readonly anchor?: 'start' | 'middle' | 'end';
  readonly bold?: boolean;
}

/** A spread drawn: tone to three deviations, fading from the middle, inside `clip` (left, right). */
export interface SmudgeMark {
  readonly kind: 'smudge';
  readonly centre: number;
  readonly sd: number;
  readonly top: number;
  readonly height: number;
  readonly clip: readonly [number, number];
}

/** A spread in two directions: an ellipse of tone to three deviations. */
export interface CloudMark {
  readonly kind: 'cloud';
  readonly at: Point;
  readonly sd: Point;
}

/** M in a square, L in a round: the letter never comes without its shape. */
export interface SideLetter {
  readonly kind: 'letter';
  readonly letter: 'M' | 'L';
  readonly at: Point;
  readonly size: number;
}

export interface GroupMark {
  readonly kind: 'group';
  readonly move: Point;
  readonly marks: readonly Mark[];
}

export type Mark = PathMark | CircleMark | TextMark | SmudgeMark | CloudMark | SideLetter | GroupMark;

export interface Drawing {
  /** Says what is drawn and its setting, for those who cannot see it. */
  readonly label: string;
  /** Left, top, width, height, mm. */
  readonly box: readonly [number, number, number, number];
  /** Marks beyond the box are cut off at it. */
  readonly clipped?: boolean;
  readonly marks: readonly Mark[];
}

export const line = (points: readonly Point[], more: Omit<PathMark, 'kind' | 'points'> = {}): PathMark => ({
  kind: 'path',
  points,
  ...more,
});

export const text = (
  at: Point,
  words: string,
  size: number,
  voice: TextMark['voice'],
  more: Pick<TextMark, 'anchor' | 'bold'> = {},
): TextMark => ({ kind: 'text', at, text: words, size, voice, ...more });

export const box = (
  left: number,
  top: number,
  width: number,
  height: number,
  more: Omit<PathMark, 'kind' | 'points'> = {},
): PathMark =>
  line(
    [
      [left, top],
      [left + width, top],
      [left + width, top + height],
      [left, top + height],
    ],
    { closed: true, ...more },
  );
