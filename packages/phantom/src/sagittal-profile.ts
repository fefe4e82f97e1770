/** Where the outline of a condyle, seen from the side, faces backward, downward and forward: places (A, P), mm. */
export interface SagittalContacts {
  readonly posterior: readonly [number, number];
  readonly distal: readonly [number, number];
  readonly anterior: readonly [number, number];
}

/** Steps of the drawn curve in each quarter of its turn. */
const STEPS = 40;

/** Radius with which the outline leans back into the shaft above its foremost point, mm. */
const ANTERIOR_TOP_MM = 36;

/**
 * The outline of a condyle seen from the side, as its distance from a middle point in every direction.
 *
 * Between two contacts the radius of curvature is a + b sin2 of the angle turned, with a and b chosen so that the curve
 * meets both: small behind, larger below, small again in front, which is the J of a condyle. Above the posterior contact it
 * closes over a rounded top; above the anterior one it leans back into the front of the shaft.
 *
 * @param posteriorTopMm radius of the rounded top behind
 * @param middle place (A, P) inside the outline from which every point of it can be seen, mm
 * @returns distance from `middle` at an angle from A toward P, radians
 */
export function sagittalProfile(
  contacts: SagittalContacts,
  posteriorTopMm: number,
  middle: readonly [number, number],
): (angle: number) => number {
  const { posterior, distal, anterior } = contacts;
  const points: (readonly [number, number])[] = [];
  // Rounded top behind, from the top of the condyle down to the posterior contact.
  for (let i = 0; i < STEPS; i += 1) {
    const t = (Math.PI / 2) * (1 - i / STEPS);
    points.push([posterior[0] + posteriorTopMm * (1 - Math.cos(t)), posterior[1] + posteriorTopMm * Math.sin(t)]);
  }
  points.push(...quarter(posterior, distal, -1), ...quarter(anterior, distal, 1).reverse());
  for (let i = 1; i <= STEPS; i += 1) {
    const up = (26 * i) / STEPS;
    points.push([anterior[0] - (up * up) / (2 * ANTERIOR_TOP_MM), anterior[1] + up]);
  }
  points.push([posterior[0] + 1.9 * posteriorTopMm, posterior[1] + posteriorTopMm]);
  return (angle) => {
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    let reach = 0;
    for (let i = 0; i < points.length; i += 1) {
      const [ax, ay] = [points[i]![0] - middle[0], points[i]![1] - middle[1]];
      const next = points[(i + 1) % points.length]!;
      const [bx, by] = [next[0] - middle[0], next[1] - middle[1]];
      const sideA = c * ay - s * ax;
      const sideB = c * by - s * bx;
      if (sideA <= 0 === sideB <= 0) continue;
      const t = sideA / (sideA - sideB);
      reach = Math.max(reach, c * (ax + t * (bx - ax)) + s * (ay + t * (by - ay)));
    }
    return reach;
  };
}

/** From a contact that faces along A (back -1, front +1) to the distal one, along a curve with radius a + b sin2. */
function quarter(
  upright: readonly [number, number],
  distal: readonly [number, number],
  facing: 1 | -1,
): (readonly [number, number])[] {
  const width = Math.abs(distal[0] - upright[0]);
  const height = upright[1] - distal[1];
  // Over a quarter turn the integrals of sin2 weighted by sin and by cos are 2/3 and 1/3.
  const b = 3 * (width - height);
  const a = height - b / 3;
  const out: (readonly [number, number])[] = [];
  for (let i = 0; i < STEPS; i += 1) {
    const t = ((Math.PI / 2) * i) / STEPS;
    const inward = a * (1 - Math.cos(t)) + b * (2 / 3 - Math.cos(t) + Math.cos(t) ** 3 / 3);
    const down = a * Math.sin(t) + (b * Math.sin(t) ** 3) / 3;
    out.push([upright[0] - facing * inward, upright[1] - down]);
  }
  return out;
}
