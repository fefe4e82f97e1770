import type { Plane } from './frames.ts';
import type { Mesh } from './mesh.ts';

/**
 * The part of a surface that lies beyond a plane, on the side its normal points to. Triangles that cross the plane are cut at
 * it; the part is left open there. May come back empty.
 */
export function surfaceBeyond<F extends string>(mesh: Mesh<F>, { normal, offset }: Plane<F>): Mesh<F> {
  const { positions: p, triangles: t } = mesh;
  const count = p.length / 3;
  const height = (v: number): number =>
    normal[0] * p[3 * v]! + normal[1] * p[3 * v + 1]! + normal[2] * p[3 * v + 2]! - offset;
  const positions: number[] = [];
  const triangles: number[] = [];
  // A kept vertex goes by its number, a crossed edge by its two.
  const numbers = new Map<number, number>();
  const numberOf = (name: number, x: number, y: number, z: number): number => {
    const known = numbers.get(name);
    if (known !== undefined) return known;
    const number = positions.length / 3;
    positions.push(x, y, z);
    numbers.set(name, number);
    return number;
  };
  const kept = (v: number): number => numberOf(v, p[3 * v]!, p[3 * v + 1]!, p[3 * v + 2]!);
  const crossed = (a: number, b: number): number => {
    const [low, high] = a < b ? [a, b] : [b, a];
    const [below, above] = [height(low), height(high)];
    const s = below / (below - above);
    const between = (axis: 0 | 1 | 2): number => p[3 * low + axis]! + s * (p[3 * high + axis]! - p[3 * low + axis]!);
    return numberOf((low + 1) * count + high, between(0), between(1), between(2));
  };
  for (let i = 0; i < t.length; i += 3) {
    const corners = [t[i]!, t[i + 1]!, t[i + 2]!];
    const beyond = corners.map((v) => height(v) > 0);
    if (!beyond.includes(true)) continue;
    const part: number[] = [];
    for (let k = 0; k < 3; k += 1) {
      const next = (k + 1) % 3;
      if (beyond[k]) part.push(kept(corners[k]!));
      if (beyond[k] !== beyond[next]) part.push(crossed(corners[k]!, corners[next]!));
    }
    for (let k = 1; k + 1 < part.length; k += 1) triangles.push(part[0]!, part[k]!, part[k + 1]!);
  }
  return { frame: mesh.frame, positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}
