import { Matrix, solve } from 'ml-matrix';
import { err, ok, type Result } from './result.ts';
import { dot, length, subtract, type Vec3 } from './vec3.ts';

export interface Sphere {
  readonly centre: Vec3;
  readonly radius: number;
}

export interface SphereFit extends Sphere {
  /** Weighted root mean square distance of the points used from the sphere, mm. */
  readonly rms: number;
  /** How many points were used. */
  readonly used: number;
}

export interface NoSphere {
  readonly kind: 'no-sphere';
  /** Largest share of the total weight that any sphere within the limits explained. */
  readonly bestShare: number;
  readonly requiredShare: number;
}

/** A sphere through four points; `undefined` when they are nearly in one plane. */
export function sphereThrough(a: Vec3, b: Vec3, c: Vec3, d: Vec3): Sphere | undefined {
  const [u, v, w] = [subtract(b, a), subtract(c, a), subtract(d, a)];
  const det =
    u[0] * (v[1] * w[2] - v[2] * w[1]) - u[1] * (v[0] * w[2] - v[2] * w[0]) + u[2] * (v[0] * w[1] - v[1] * w[0]);
  // Relative to the size of the three edges: below one part in ten thousand the centre is noise.
  if (!(Math.abs(det) > 1e-4 * length(u) * length(v) * length(w))) return undefined;
  const [p, q, r] = [dot(u, u) / 2, dot(v, v) / 2, dot(w, w) / 2];
  const x = (p * (v[1] * w[2] - v[2] * w[1]) - u[1] * (q * w[2] - v[2] * r) + u[2] * (q * w[1] - v[1] * r)) / det;
  const y = (u[0] * (q * w[2] - v[2] * r) - p * (v[0] * w[2] - v[2] * w[0]) + u[2] * (v[0] * r - q * w[0])) / det;
  const z = (u[0] * (v[1] * r - q * w[1]) - u[1] * (v[0] * r - q * w[0]) + p * (v[0] * w[1] - v[1] * w[0])) / det;
  return { centre: [a[0] + x, a[1] + y, a[2] + z], radius: Math.hypot(x, y, z) };
}

/**
 * The sphere with the least squared distance from weighted points (Gauss-Newton from a start).
 *
 * @param start a sphere near the answer
 */
export function refineSphere(
  points: readonly Vec3[],
  weights: readonly number[] | undefined,
  start: Sphere,
): SphereFit {
  let { centre, radius } = start;
  let rms = 0;
  for (let iteration = 0; iteration < 50; iteration += 1) {
    // Normal equations of the residual (distance - radius) in centre and radius: upper triangle and right side.
    let [xx, xy, xz, yy, yz, zz] = [0, 0, 0, 0, 0, 0];
    let [x1, y1, z1, total] = [0, 0, 0, 0];
    let [rx, ry, rz, r1] = [0, 0, 0, 0];
    let squares = 0;
    for (let i = 0; i < points.length; i += 1) {
      const p = points[i]!;
      const w = weights ? weights[i]! : 1;
      const dx = p[0] - centre[0];
      const dy = p[1] - centre[1];
      const dz = p[2] - centre[2];
      const distance = Math.sqrt(dx * dx + dy * dy + dz * dz);
      const residual = distance - radius;
      // A point at the centre pulls it nowhere.
      const away = distance > 0 ? 1 / distance : 0;
      const ux = dx * away;
      const uy = dy * away;
      const uz = dz * away;
      total += w;
      squares += w * residual * residual;
      xx += w * ux * ux;
      xy += w * ux * uy;
      xz += w * ux * uz;
      yy += w * uy * uy;
      yz += w * uy * uz;
      zz += w * uz * uz;
      x1 += w * ux;
      y1 += w * uy;
      z1 += w * uz;
      rx += w * ux * residual;
      ry += w * uy * residual;
      rz += w * uz * residual;
      r1 += w * residual;
    }
    const normal = new Matrix([
      [xx, xy, xz, x1],
      [xy, yy, yz, y1],
      [xz, yz, zz, z1],
      [x1, y1, z1, total],
    ]);
    const [mx, my, mz, mr] = solve(normal, Matrix.columnVector([rx, ry, rz, r1]), true).to1DArray() as [
      number,
      number,
      number,
      number,
    ];
    centre = [centre[0] + mx, centre[1] + my, centre[2] + mz];
    radius += mr;
    rms = Math.sqrt(squares / total);
    if (Math.abs(mx) + Math.abs(my) + Math.abs(mz) + Math.abs(mr) < 1e-10 * radius) break;
  }
  return { centre, radius, rms, used: points.length };
}

export interface RobustSphereOptions {
  readonly minRadius: number;
  readonly maxRadius: number;
  /** A point counts when it lies this near to the sphere, mm. */
  readonly tolerance: number;
  /** ... and when its outward normal is within this angle of the radius, radians. */
  readonly normalTolerance: number;
  readonly tries: number;
  /** Smallest accepted share of the total weight on the sphere. */
  readonly requiredShare: number;
  /** Numbers in [0, 1) that choose the points to try. */
  readonly random: () => number;
}

/**
 * The sphere that explains most weight among points of which many belong to something else (random sample consensus,
 * Fischler and Bolles 1981), then fitted by least squares to the points that belong, repeated to a standstill.
 *
 * @param points places on a surface
 * @param normals outward unit normals there
 * @param weights surface area each point stands for
 */
export function fitSphereRobust(
  points: readonly Vec3[],
  normals: readonly Vec3[],
  weights: readonly number[],
  options: RobustSphereOptions,
): Result<SphereFit, NoSphere> {
  const cosLimit = Math.cos(options.normalTolerance);
  const belongs = (s: Sphere, i: number): boolean => {
    const d = subtract(points[i]!, s.centre);
    const distance = length(d);
    return Math.abs(distance - s.radius) <= options.tolerance && dot(d, normals[i]!) >= cosLimit * distance;
  };
  const total = weights.reduce((sum, w) => sum + w, 0);
  const weightOn = (s: Sphere): number => {
    let on = 0;
    for (let i = 0; i < points.length; i += 1) if (belongs(s, i)) on += weights[i]!;
    return on;
  };
  const allowed = (s: Sphere): boolean => s.radius >= options.minRadius && s.radius <= options.maxRadius;
  let best: Sphere | undefined;
  let bestWeight = 0;
  const pick = (): Vec3 => points[Math.min(points.length - 1, Math.floor(options.random() * points.length))]!;
  for (let t = 0; t < options.tries && points.length >= 4; t += 1) {
    const candidate = sphereThrough(pick(), pick(), pick(), pick());
    if (!candidate || !allowed(candidate)) continue;
    const on = weightOn(candidate);
    if (on > bestWeight) {
      best = candidate;
      bestWeight = on;
    }
  }
  const none = (weight: number): Result<SphereFit, NoSphere> =>
    err({ kind: 'no-sphere', bestShare: total > 0 ? weight / total : 0, requiredShare: options.requiredShare });
  if (!best || !(bestWeight >= options.requiredShare * total)) return none(bestWeight);
  let fit: SphereFit = { ...best, rms: 0, used: 0 };
  for (let round = 0; round < 100; round += 1) {
    const inside: number[] = [];
    for (let i = 0; i < points.length; i += 1) if (belongs(fit, i)) inside.push(i);
    if (inside.length < 4) break;
    const next = refineSphere(
      inside.map((i) => points[i]!),
      inside.map((i) => weights[i]!),
      fit,
    );
    const moved = length(subtract(next.centre, fit.centre)) + Math.abs(next.radius - fit.radius);
    fit = next;
    if (moved < 1e-6) break;
  }
  // What the fit moved to must still be what was looked for.
  const weight = allowed(fit) ? weightOn(fit) : 0;
  return weight >= options.requiredShare * total ? ok(fit) : none(weight);
}
