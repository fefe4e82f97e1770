import type { Surface } from '@kerfline/geometry';
import type { LimbSurface } from './film-limb.ts';

/**
 * Thickness of the dense shell at the ends of a bone and half way along it, mm: thin over the joints, thick along a shaft.
 * Pictures only: common practice, no source.
 */
const shellMm: Readonly<Record<LimbSurface['name'], readonly [atEnds: number, halfWay: number]>> = {
  femur: [1.2, 5.5],
  tibia: [1.2, 4.5],
  fibula: [1, 2.2],
  patella: [1.2, 1.2],
};

const smooth = (x: number): number => {
  const t = Math.min(1, Math.max(0, x));
  return t * t * (3 - 2 * t);
};

/** The inner face of a bone's dense shell: every corner moved inward along its normal. Same triangles as the bone. */
export function insideBone(name: LimbSurface['name'], { positions, triangles }: Surface): Surface {
  const normals = new Float64Array(positions.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t]!, 3 * triangles[t + 1]!, 3 * triangles[t + 2]!];
    const ux = positions[b]! - positions[a]!;
    const uy = positions[b + 1]! - positions[a + 1]!;
    const uz = positions[b + 2]! - positions[a + 2]!;
    const vx = positions[c]! - positions[a]!;
    const vy = positions[c + 1]! - positions[a + 1]!;
    const vz = positions[c + 2]! - positions[a + 2]!;
    const n = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx] as const;
    for (const corner of [a, b, c]) for (const k of [0, 1, 2] as const) normals[corner + k]! += n[k];
  }
  let [low, high] = [Infinity, -Infinity];
  for (let i = 2; i < positions.length; i += 3) {
    low = Math.min(low, positions[i]!);
    high = Math.max(high, positions[i]!);
  }
  const [ends, halfWay] = shellMm[name];
  const inner = new Float64Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const share = (positions[i + 2]! - low) / (high - low);
    const thick = ends + (halfWay - ends) * smooth((0.5 - Math.abs(share - 0.5) - 0.05) / 0.25);
    const size = Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!) || 1;
    for (const k of [0, 1, 2] as const) inner[i + k] = positions[i + k]! - (thick * normals[i + k]!) / size;
  }
  return { positions: inner, triangles };
}
