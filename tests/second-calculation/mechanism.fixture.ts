/**
 * Rigid bodies that are brought together by what must meet: no formula of any guide is in here. A body's place is unknown until
 * conditions on its marks (residuals in mm) are all met; they are met by a damped Newton iteration with differences for slopes.
 */

/** mm. */
export type Point = readonly [number, number, number];

/** Where a body stands: the 4x4 matrix, row by row, that takes homogeneous coordinates of its own to those of the bone, mm. */
export type Body = readonly number[];

/** Reach of the marks that a body is known by, mm: the longer, the better they show a turn. */
export const reachMm = 100;

/** A body that stands as the bone does. */
export const asTheBone: Body = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

/** A mark of a body, given in its own coordinates, where it is on the bone. */
export const mark = (m: Body, [x, y, z]: Point): Point => [
  m[0]! * x + m[1]! * y + m[2]! * z + m[3]!,
  m[4]! * x + m[5]! * y + m[6]! * z + m[7]!,
  m[8]! * x + m[9]! * y + m[10]! * z + m[11]!,
];

/** A body moved from where it is: three shifts (mm), then a turn as quaternion of a rotation vector (radians), in its own axes. */
function displaced(m: Body, [x, y, z, a, b, c]: readonly number[]): Body {
  const half = Math.hypot(a!, b!, c!) / 2;
  const share = half < 1e-9 ? 0.5 : Math.sin(half) / (2 * half);
  const [w, i, j, k] = [Math.cos(half), share * a!, share * b!, share * c!];
  const n = w * w + i * i + j * j + k * k;
  const turn = [
    [w * w + i * i - j * j - k * k, 2 * (i * j - w * k), 2 * (i * k + w * j)],
    [2 * (i * j + w * k), w * w - i * i + j * j - k * k, 2 * (j * k - w * i)],
    [2 * (i * k - w * j), 2 * (j * k + w * i), w * w - i * i - j * j + k * k],
  ];
  const out: number[] = [];
  for (let row = 0; row < 3; row += 1) {
    const [p, q, r, s] = [m[4 * row]!, m[4 * row + 1]!, m[4 * row + 2]!, m[4 * row + 3]!];
    for (let col = 0; col < 3; col += 1) {
      out.push((p * turn[0]![col]! + q * turn[1]![col]! + r * turn[2]![col]!) / n);
    }
    out.push(p * x! + q * y! + r * z! + s);
  }
  return [...out, 0, 0, 0, 1];
}

export const between = (p: Point, q: Point): Point => [q[0] - p[0], q[1] - p[1], q[2] - p[2]];
export const along = (p: Point, way: Point, by: number): Point => [
  p[0] + way[0] * by,
  p[1] + way[1] * by,
  p[2] + way[2] * by,
];
export const inner = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Point, b: Point): Point => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const unit = (a: Point): Point => {
  const size = Math.hypot(...a);
  return [a[0] / size, a[1] / size, a[2] / size];
};

/** Residuals (mm) of two marks that must meet. */
export const meets = (p: Point, q: Point): readonly number[] => between(q, p);

/** Residuals (mm) of a mark that must lie on the line through two others. */
export const liesOn = (p: Point, from: Point, to: Point): readonly number[] =>
  cross(between(from, p), unit(between(from, to)));

/** Residual (mm, over the first arm) of two arms that must be square to each other. */
export const isSquare = (arm: Point, other: Point): number => inner(arm, unit(other));

/** Solves a small symmetric system by elimination with the largest pivot. */
function eliminated(matrix: readonly (readonly number[])[], right: readonly number[]): readonly number[] {
  const rows = matrix.map((row, i) => [...row, right[i]!]);
  const n = rows.length;
  for (let col = 0; col < n; col += 1) {
    let pivot = col;
    for (let row = col + 1; row < n; row += 1) {
      if (Math.abs(rows[row]![col]!) > Math.abs(rows[pivot]![col]!)) pivot = row;
    }
    [rows[col], rows[pivot]] = [rows[pivot]!, rows[col]!];
    for (let row = col + 1; row < n; row += 1) {
      const factor = rows[row]![col]! / rows[col]![col]!;
      for (let k = col; k <= n; k += 1) rows[row]![k]! -= factor * rows[col]![k]!;
    }
  }
  const x: number[] = new Array(n).fill(0);
  for (let row = n - 1; row >= 0; row -= 1) {
    let sum = rows[row]![n]!;
    for (let k = row + 1; k < n; k += 1) sum -= rows[row]![k]! * x[k]!;
    x[row] = sum / rows[row]![row]!;
  }
  return x;
}

const sizeOf = (residuals: readonly number[]): number => residuals.reduce((sum, r) => sum + r * r, 0);

/** Unknowns are moved by this to see what follows: mm, or radians times `reachMm`. */
const differenceStep = 1e-3;
/** Conditions are met when their residuals are this small together, mm: rounding at the far end of a leg. */
const metMm = 1e-10;
/** Steps in which parts that can come to rest do: a handful, seldom some dozens. */
const mostSteps = 80;

/**
 * Where a body comes to stand when all conditions on its marks are met.
 *
 * @param start where it is held at first; of several places that would do, the one nearest to it is found
 * @param conditions residuals (mm) for a place of the body and for the further unknowns (mm)
 * @param further first guesses of lengths that are unknown too
 */
export function assembled(
  start: Body,
  conditions: (body: Body, further: readonly number[]) => readonly number[],
  further: readonly number[] = [],
): Body {
  const scale = [1, 1, 1, reachMm, reachMm, reachMm, ...further.map(() => 1)];
  let at = start;
  let lengths = further;
  const zero = scale.map(() => 0);
  const off = (x: readonly number[]): readonly number[] => {
    const moved = x.map((value, k) => value / scale[k]!);
    return conditions(
      displaced(at, moved),
      lengths.map((length, k) => length + moved[6 + k]!),
    );
  };
  let damping = 1e-6;
  for (let iteration = 0; iteration < mostSteps; iteration += 1) {
    const now = off(zero);
    if (Math.sqrt(sizeOf(now)) < metMm) return at;
    const slopes = scale.map((_, k) => {
      const step = (by: number): readonly number[] => off(zero.map((value, i) => (i === k ? by : value)));
      const [up, down] = [step(differenceStep), step(-differenceStep)];
      return up.map((value, i) => (value - down[i]!) / (2 * differenceStep));
    });
    const square = slopes.map((a) => slopes.map((b) => a.reduce((sum, value, i) => sum + value * b[i]!, 0)));
    const right = slopes.map((a) => -a.reduce((sum, value, i) => sum + value * now[i]!, 0));
    for (;;) {
      const step = eliminated(
        square.map((row, i) => row.map((value, k) => (i === k ? value * (1 + damping) : value))),
        right,
      );
      if (sizeOf(off(step)) < sizeOf(now)) {
        at = displaced(
          at,
          step.map((value, k) => value / scale[k]!),
        );
        lengths = lengths.map((length, k) => length + step[6 + k]!);
        damping = Math.max(damping / 100, 1e-15);
        break;
      }
      damping = Math.max(damping * 10, 1e-12);
      if (damping > 1e6) {
        throw new Error(`the parts cannot be brought together: ${Math.sqrt(sizeOf(now))} mm are left`);
      }
    }
  }
  throw new Error(`the parts do not come to rest: ${Math.sqrt(sizeOf(off(zero)))} mm are left`);
}

/**
 * Where something that only grows passes zero, by halving.
 *
 * @param low where it is still negative
 * @param high where it is no longer
 */
export function halved(growing: (x: number) => number, low: number, high: number): number {
  let [below, above] = [low, high];
  if (!(growing(below) < 0 && growing(above) >= 0)) throw new Error('nothing passes zero between the two ends');
  while (above - below > halvedToMm) {
    const middle = (above + below) / 2;
    if (growing(middle) < 0) below = middle;
    else above = middle;
  }
  return (above + below) / 2;
}
const halvedToMm = 1e-12;
