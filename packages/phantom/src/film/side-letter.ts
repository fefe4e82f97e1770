/** Strokes of the letters in a box 1 high and 0.6 wide, x to the right and y down. */
const strokes = {
  L: [
    [
      [0, 0],
      [0, 1],
      [0.6, 1],
    ],
  ],
  R: [
    [
      [0, 1],
      [0, 0],
      [0.4, 0],
      [0.6, 0.12],
      [0.6, 0.4],
      [0.4, 0.52],
      [0, 0.52],
    ],
    [
      [0.25, 0.52],
      [0.6, 1],
    ],
  ],
} as const satisfies Readonly<Record<string, readonly (readonly (readonly [number, number])[])[]>>;

export type SideLetter = keyof typeof strokes;

/** Whether a point of the letter's box, 1 high, lies within `half` of one of its strokes. */
export function onLetter(letter: SideLetter, x: number, y: number, half: number): boolean {
  return strokes[letter].some((line) =>
    line.some(([x1, y1], i) => {
      const end = line[i + 1];
      if (!end) return false;
      const [dx, dy] = [end[0] - x1, end[1] - y1];
      const share = Math.min(1, Math.max(0, ((x - x1) * dx + (y - y1) * dy) / (dx * dx + dy * dy)));
      return Math.hypot(x - x1 - share * dx, y - y1 - share * dy) <= half;
    }),
  );
}
