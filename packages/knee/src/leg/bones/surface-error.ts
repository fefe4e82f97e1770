import { dot, length, type SphereFit, subtract } from '@kerfline/geometry';
import type { Random } from '@kerfline/uncertainty';
import { type BoneSurface, extent, faces } from './bone-surface.ts';
import { headNormalLimit, headToleranceMm } from './femur-landmarks.ts';

/** How far a bone's surface may be from where it says, along its normal, and over what distance such errors stay alike. */
export interface SurfaceError {
  readonly sdMm: number;
  readonly correlationMm: number;
}

/** Least error of a segmented surface; a smoother mesh is not a truer one. Working default, no source. */
const leastSdMm = 0.2;
/** Bounds of the correlation length; the head is too small to show a longer one. Working default, no source. */
const correlationBoundsMm = [2.5, 12] as const;
/** Distances at which the likeness of neighbouring errors is judged, mm. */
const lagsMm = [3, 6] as const;
const lagWidthMm = 0.75;

/** A sphere takes up this many of the head's independent errors; below so many more than that nothing can be said. */
const sphereUnknowns = 4;
const leastIndependent = 10;

/**
 * The error of a surface, judged on the femoral head, which should be round: root mean square distance from the sphere, and
 * the distance over which those distances stay alike (from their correlation at 3 and 6 mm, taken as Gaussian).
 *
 * The fitted sphere follows the longest errors, so that both come out short. As many independent errors fit on the head as
 * patches of pi c2 for a correlation length c; the sphere takes four of them, alike over all of 6 mm, and both are put back.
 *
 * @param head the part of the surface that holds the head
 * @param sphere its fit, in the same frame
 * @param random chooses which faces are compared
 */
export function surfaceErrorFromHead(head: BoneSurface, sphere: SphereFit, random: Random): SurfaceError {
  const { centres, normals, areas } = faces(head);
  const places: number[] = [];
  const off: number[] = [];
  let area = 0;
  for (let f = 0; f < areas.length; f += 1) {
    const d = subtract([centres[3 * f]!, centres[3 * f + 1]!, centres[3 * f + 2]!], sphere.centre);
    const distance = length(d);
    const residual = distance - sphere.radius;
    if (Math.abs(residual) > headToleranceMm) continue;
    if (dot(d, [normals[3 * f]!, normals[3 * f + 1]!, normals[3 * f + 2]!]) < headNormalLimit * distance) continue;
    places.push(...d);
    off.push(residual);
    area += areas[f]!;
  }
  const variance = off.reduce((sum, r) => sum + r * r, 0) / Math.max(1, off.length);
  const products = [0, 0];
  const pairs = [0, 0];
  const farthest = (lagsMm[1] + lagWidthMm) ** 2;
  for (let k = 0; k < 300 && off.length > 0; k += 1) {
    const i = Math.floor(random.uniform() * off.length);
    const [x, y, z] = [places[3 * i]!, places[3 * i + 1]!, places[3 * i + 2]!];
    for (let j = 0, at = 0; j < off.length; j += 1, at += 3) {
      const square = (places[at]! - x) ** 2 + (places[at + 1]! - y) ** 2 + (places[at + 2]! - z) ** 2;
      if (square > farthest) continue;
      const apart = Math.sqrt(square);
      const lag = lagsMm.findIndex((mm) => Math.abs(apart - mm) <= lagWidthMm);
      if (lag === -1) continue;
      products[lag] = products[lag]! + off[i]! * off[j]!;
      pairs[lag] = pairs[lag]! + 1;
    }
  }
  const together = lagsMm.map((_, lag) => (pairs[lag]! > 0 ? products[lag]! / pairs[lag]! : 0));
  let whole = variance;
  let correlationMm: number = correlationBoundsMm[0];
  let freedom = Infinity;
  for (let round = 0; round < 20 && variance > 0; round += 1) {
    const [near, far] = together.map((shared) => (shared + whole - variance) / whole);
    correlationMm = correlationLength(near!, far!);
    const independent = Math.max(leastIndependent, area / (Math.PI * correlationMm ** 2));
    freedom = independent - sphereUnknowns;
    whole = (variance * independent) / freedom;
  }
  // The variance of a prediction from so few independent errors is wider than the errors (Student's t).
  const predicted = Number.isFinite(freedom) ? (whole * freedom) / (freedom - 2) : whole;
  return { sdMm: Math.max(leastSdMm, Math.sqrt(predicted)), correlationMm };
}

/**
 * Length of a Gaussian correlation from its values at the two lags. Their ratio leaves out what is alike over no distance at
 * all, such as the roughness of the mesh and the edge of the fovea.
 */
function correlationLength(near: number, far: number): number {
  const [least, most] = correlationBoundsMm;
  if (!(near > 0 && far > 0)) return least;
  if (far >= near) return most;
  const length = Math.sqrt((lagsMm[1] ** 2 - lagsMm[0] ** 2) / (2 * Math.log(near / far)));
  return Math.min(most, Math.max(least, length));
}

/** A smooth random field with mean 0 and standard deviation 1: one number for each place of a surface. */
export type RandomField = (surface: BoneSurface) => Float64Array;

/**
 * A field that stays alike over about `correlationMm`: random numbers on a cubic lattice, joined by cubic steps.
 *
 * @param holds surfaces whose common box, with a margin, holds every place that will be asked for
 */
export function randomField(holds: readonly BoneSurface[], correlationMm: number, random: Random): RandomField {
  // Chosen so that the correlation at one correlation length is that of a Gaussian, exp(-1/2), on average.
  const spacing = 1.9 * correlationMm;
  const margin = 2 * spacing;
  const spans = ([0, 1, 2] as const).map((k) => holds.map((part) => extent(part, k)));
  const low = spans.map((part) => Math.min(...part.map(([from]) => from)) - margin);
  const size = spans.map(
    (part, k) => Math.ceil((Math.max(...part.map(([, to]) => to)) + margin - low[k]!) / spacing) + 2,
  );
  const [nx, ny] = [size[0]!, size[1]!];
  const values = new Float64Array(nx * ny * size[2]!);
  for (let i = 0; i < values.length; i += 1) values[i] = random.normal();
  const phase = [random.uniform(), random.uniform(), random.uniform()];
  // Mean over a cell of the sum of squared weights is (26/35)^3; dividing by its root gives unit variance on average.
  const unitVariance = (35 / 26) ** 1.5;
  return (surface) => {
    const { positions: p } = surface;
    const out = new Float64Array(p.length / 3);
    for (let i = 0; i < p.length; i += 3) {
      const gx = (p[i]! - low[0]!) / spacing + phase[0]!;
      const gy = (p[i + 1]! - low[1]!) / spacing + phase[1]!;
      const gz = (p[i + 2]! - low[2]!) / spacing + phase[2]!;
      const ix = Math.floor(gx);
      const iy = Math.floor(gy);
      const iz = Math.floor(gz);
      const ux = step(gx - ix);
      const uy = step(gy - iy);
      const uz = step(gz - iz);
      const n = ix + nx * (iy + ny * iz);
      const m = n + nx * ny;
      const lower =
        (1 - uy) * ((1 - ux) * values[n]! + ux * values[n + 1]!) +
        uy * ((1 - ux) * values[n + nx]! + ux * values[n + nx + 1]!);
      const upper =
        (1 - uy) * ((1 - ux) * values[m]! + ux * values[m + 1]!) +
        uy * ((1 - ux) * values[m + nx]! + ux * values[m + nx + 1]!);
      out[i / 3] = unitVariance * ((1 - uz) * lower + uz * upper);
    }
    return out;
  };
}

const step = (t: number): number => t * t * (3 - 2 * t);

/** Outward unit normal at each vertex, the area-weighted mean of the faces around it. */
export function vertexNormals(surface: BoneSurface): Float64Array {
  const { normals, areas } = faces(surface);
  const out = new Float64Array(surface.positions.length);
  for (let i = 0; i < surface.triangles.length; i += 3)
    for (let c = 0; c < 3; c += 1) {
      const v = 3 * surface.triangles[i + c]!;
      for (let k = 0; k < 3; k += 1) out[v + k] = out[v + k]! + areas[i / 3]! * normals[i + k]!;
    }
  for (let i = 0; i < out.length; i += 3) {
    const size = Math.hypot(out[i]!, out[i + 1]!, out[i + 2]!) || 1;
    for (let k = 0; k < 3; k += 1) out[i + k] = out[i + k]! / size;
  }
  return out;
}

/** The surface with every vertex moved along its normal by the field times `sdMm`. */
export function disturbed(surface: BoneSurface, normals: Float64Array, field: RandomField, sdMm: number): BoneSurface {
  const by = field(surface);
  const positions = surface.positions.slice();
  for (let v = 0, i = 0; v < by.length; v += 1, i += 3) {
    const shift = sdMm * by[v]!;
    positions[i] = positions[i]! + shift * normals[i]!;
    positions[i + 1] = positions[i + 1]! + shift * normals[i + 1]!;
    positions[i + 2] = positions[i + 2]! + shift * normals[i + 2]!;
  }
  return { positions, triangles: surface.triangles, vertexAreas: surface.vertexAreas };
}
