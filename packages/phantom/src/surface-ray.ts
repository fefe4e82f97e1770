import type { Field, Vec3 } from '@kerfline/geometry';

/** Smallest step along a ray while it is outside, mm: a body thinner than this along the ray may be missed. */
const LEAST_STEP_MM = 0.05;

/** A crossing is refined to this, mm. */
const CROSSING_MM = 1e-8;

/**
 * How far along a half-line a body is entered, mm; `undefined` when it is not within `reach`.
 *
 * @param start outside the body
 * @param towards unit vector
 * @param steepness the field changes by at most this much per mm
 */
export function entry(field: Field, start: Vec3, towards: Vec3, reach: number, steepness: number): number | undefined {
  const at = (t: number): number =>
    field(start[0] + t * towards[0], start[1] + t * towards[1], start[2] + t * towards[2]);
  let before = 0;
  let t = 0;
  let value = at(0);
  let valueBefore = value;
  while (value > 0) {
    before = t;
    valueBefore = value;
    t += Math.max(value / steepness, LEAST_STEP_MM);
    if (t > reach) return undefined;
    value = at(t);
  }
  return crossing(at, before, valueBefore, t, value);
}

/**
 * Where a function that is positive at `a` and not at `b` changes sign (regula falsi with the Illinois rule, Dowell and
 * Jarratt 1971).
 */
export function crossing(at: (t: number) => number, a: number, valueA: number, b: number, valueB: number): number {
  let [lo, flo, hi, fhi] = [a, valueA, b, valueB];
  for (let step = 0; step < 60 && Math.abs(hi - lo) > CROSSING_MM; step += 1) {
    const t = (lo * fhi - hi * flo) / (fhi - flo);
    const value = at(t);
    if (Math.abs(value) < 0.1 * CROSSING_MM) return t;
    if (value > 0 === fhi > 0) {
      flo *= 0.5;
    } else {
      lo = hi;
      flo = fhi;
    }
    hi = t;
    fhi = value;
  }
  return (lo + hi) / 2;
}
