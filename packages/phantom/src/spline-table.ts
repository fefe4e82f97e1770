/** A table's axis: `steps` intervals from `from` to `to`. A periodic axis joins its end to its beginning. */
export interface TableAxis {
  readonly from: number;
  readonly to: number;
  readonly steps: number;
  readonly periodic?: boolean;
}

/**
 * A function of two numbers, drawn once into a table and read back as a bicubic uniform B-spline: twice continuously
 * differentiable, and never beyond its neighbours. Off a non-periodic axis the nearest edge value holds.
 *
 * The spline passes near the samples, not through them: detail finer than about three steps is smoothed away.
 */
export function splineTable(
  first: TableAxis,
  second: TableAxis,
  value: (u: number, v: number) => number,
): (u: number, v: number) => number {
  const hu = (first.to - first.from) / first.steps;
  const hv = (second.to - second.from) / second.steps;
  // One extra sample before the axis and two after it, so that reading needs no case for the edges.
  const columns = second.steps + 4;
  const table = new Float64Array((first.steps + 4) * columns);
  const place = (axis: TableAxis, h: number, i: number): number => {
    const k = axis.periodic ? (i + axis.steps) % axis.steps : i;
    return axis.from + k * h;
  };
  for (let i = -1; i <= first.steps + 2; i += 1) {
    for (let j = -1; j <= second.steps + 2; j += 1) {
      table[(i + 1) * columns + j + 1] = value(place(first, hu, i), place(second, hv, j));
    }
  }
  const { from: fromU, steps: stepsU } = first;
  const { from: fromV, steps: stepsV } = second;
  const periodicU = first.periodic ?? false;
  const periodicV = second.periodic ?? false;
  return (u, v) => {
    let s = (u - fromU) / hu;
    let t = (v - fromV) / hv;
    if (periodicU) s -= stepsU * Math.floor(s / stepsU);
    else s = s < 0 ? 0 : Math.min(s, stepsU);
    if (periodicV) t -= stepsV * Math.floor(t / stepsV);
    else t = t < 0 ? 0 : Math.min(t, stepsV);
    const i = Math.floor(s);
    const j = Math.floor(t);
    s -= i;
    t -= j;
    const s2 = s * s;
    const s3 = s2 * s;
    const t2 = t * t;
    const t3 = t2 * t;
    const a0 = 1 - 3 * s + 3 * s2 - s3;
    const a1 = 4 - 6 * s2 + 3 * s3;
    const a2 = 1 + 3 * s + 3 * s2 - 3 * s3;
    const b0 = 1 - 3 * t + 3 * t2 - t3;
    const b1 = 4 - 6 * t2 + 3 * t3;
    const b2 = 1 + 3 * t + 3 * t2 - 3 * t3;
    let k = i * columns + j;
    const r0 = b0 * table[k]! + b1 * table[k + 1]! + b2 * table[k + 2]! + t3 * table[k + 3]!;
    k += columns;
    const r1 = b0 * table[k]! + b1 * table[k + 1]! + b2 * table[k + 2]! + t3 * table[k + 3]!;
    k += columns;
    const r2 = b0 * table[k]! + b1 * table[k + 1]! + b2 * table[k + 2]! + t3 * table[k + 3]!;
    k += columns;
    const r3 = b0 * table[k]! + b1 * table[k + 1]! + b2 * table[k + 2]! + t3 * table[k + 3]!;
    return (a0 * r0 + a1 * r1 + a2 * r2 + s3 * r3) / 36;
  };
}

/** A function of one number, drawn into a table and read back as a cubic uniform B-spline; see `splineTable`. */
export function splineCurve(axis: TableAxis, value: (u: number) => number): (u: number) => number {
  const h = (axis.to - axis.from) / axis.steps;
  const table = new Float64Array(axis.steps + 4);
  for (let i = -1; i <= axis.steps + 2; i += 1) {
    table[i + 1] = value(axis.from + (axis.periodic ? (i + axis.steps) % axis.steps : i) * h);
  }
  const { from, steps } = axis;
  const periodic = axis.periodic ?? false;
  return (u) => {
    let s = (u - from) / h;
    if (periodic) s -= steps * Math.floor(s / steps);
    else s = s < 0 ? 0 : Math.min(s, steps);
    const i = Math.floor(s);
    s -= i;
    const s2 = s * s;
    const s3 = s2 * s;
    return (
      ((1 - 3 * s + 3 * s2 - s3) * table[i]! +
        (4 - 6 * s2 + 3 * s3) * table[i + 1]! +
        (1 + 3 * s + 3 * s2 - 3 * s3) * table[i + 2]! +
        s3 * table[i + 3]!) /
      6
    );
  };
}

/**
 * A curve through given points that never overshoots them (monotone cubic, Fritsch and Carlson 1980); level beyond the
 * first and the last.
 *
 * @param points pairs (x, y) in rising order of x; at least two
 */
export function curveThrough(points: readonly (readonly [number, number])[]): (x: number) => number {
  const n = points.length;
  const secant: number[] = [];
  for (let i = 0; i + 1 < n; i += 1) {
    secant.push((points[i + 1]![1] - points[i]![1]) / (points[i + 1]![0] - points[i]![0]));
  }
  const slope = points.map((_, i) => {
    const before = secant[i - 1];
    const after = secant[i];
    if (before === undefined || after === undefined || before * after <= 0) return 0;
    const wide = points[i + 1]![0] - points[i]![0];
    const narrow = points[i]![0] - points[i - 1]![0];
    return (3 * (wide + narrow)) / ((2 * wide + narrow) / before + (wide + 2 * narrow) / after);
  });
  return (x) => {
    if (x <= points[0]![0]) return points[0]![1];
    if (x >= points[n - 1]![0]) return points[n - 1]![1];
    let i = 0;
    while (points[i + 1]![0] < x) i += 1;
    const [x0, y0] = points[i]!;
    const [x1, y1] = points[i + 1]!;
    const h = x1 - x0;
    const t = (x - x0) / h;
    const t2 = t * t;
    const t3 = t2 * t;
    return (
      (2 * t3 - 3 * t2 + 1) * y0 +
      (t3 - 2 * t2 + t) * h * slope[i]! +
      (3 * t2 - 2 * t3) * y1 +
      (t3 - t2) * h * slope[i + 1]!
    );
  };
}
