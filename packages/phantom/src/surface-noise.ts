import { doubleAreaNormals, type Mesh } from '@kerfline/geometry';
import type { Random } from '@kerfline/uncertainty';

/** How a segmented surface wanders about the true one. */
export interface SurfaceNoise {
  /** Standard deviation along the surface normal, mm. */
  readonly sdMm: number;
  /** Distance over which two places go together: the correlation is exp(-d2 / 2 c2) at distance d, mm. */
  readonly correlationMm: number;
}

/** Waves in the sum; with this many the sum is close to normal everywhere. */
const WAVES = 96;

/**
 * The surface displaced along its normal by a smooth random field: a sum of waves whose directions and lengths are drawn so
 * that the field has the wanted correlation (random Fourier features, Rahimi and Recht 2007).
 *
 * @param random draws the field; the same stream gives the same bits
 */
export function displaced<F extends string>(mesh: Mesh<F>, noise: SurfaceNoise, random: Random): Mesh<F> {
  const waves = new Float64Array(4 * WAVES);
  for (let i = 0; i < waves.length; i += 4) {
    for (let k = 0; k < 3; k += 1) waves[i + k] = random.normal() / noise.correlationMm;
    waves[i + 3] = 2 * Math.PI * random.uniform();
  }
  const { positions: p, triangles: t } = mesh;
  const faces = doubleAreaNormals(mesh);
  const normals = new Float64Array(p.length);
  for (let i = 0; i < t.length; i += 1) {
    const face = i - (i % 3);
    for (let k = 0; k < 3; k += 1) normals[3 * t[i]! + k] = normals[3 * t[i]! + k]! + faces[face + k]!;
  }
  const height = noise.sdMm * Math.sqrt(2 / WAVES);
  const positions = new Float32Array(p.length);
  for (let v = 0; v < p.length; v += 3) {
    let sum = 0;
    for (let i = 0; i < waves.length; i += 4) {
      sum += Math.cos(waves[i]! * p[v]! + waves[i + 1]! * p[v + 1]! + waves[i + 2]! * p[v + 2]! + waves[i + 3]!);
    }
    const size = Math.hypot(normals[v]!, normals[v + 1]!, normals[v + 2]!);
    for (let k = 0; k < 3; k += 1) positions[v + k] = p[v + k]! + (height * sum * normals[v + k]!) / size;
  }
  return { frame: mesh.frame, positions, triangles: t };
}
