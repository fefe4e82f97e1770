import type { Plane } from './frames.ts';
import type { Surface } from './mesh.ts';
import { cross, dot, scaled, subtract, type Vec3 } from './vec3.ts';

/**
 * Volume of the part of a closed surface that lies beyond a plane, on the side its normal points to, mm3.
 *
 * By the divergence theorem about a point of the plane: the flat face that would close the part adds nothing, so that it need
 * not be made. The surface must be closed; an open one gives a number without meaning.
 */
export function volumeBeyond<F extends string>(
  mesh: Surface & { readonly frame: F },
  { normal, offset }: Plane<F>,
): number {
  const { positions: p, triangles: t } = mesh;
  const origin = scaled(normal, offset);
  const at = (v: number): Vec3 => subtract([p[3 * v]!, p[3 * v + 1]!, p[3 * v + 2]!], origin);
  let six = 0;
  for (let i = 0; i < t.length; i += 3) {
    const corners = [at(t[i]!), at(t[i + 1]!), at(t[i + 2]!)];
    const heights = corners.map((c) => dot(normal, c));
    if (heights.every((h) => h <= 0)) continue;
    const kept: Vec3[] = [];
    for (let k = 0; k < 3; k += 1) {
      const [a, b] = [corners[k]!, corners[(k + 1) % 3]!];
      const [ha, hb] = [heights[k]!, heights[(k + 1) % 3]!];
      if (ha > 0) kept.push(a);
      if (ha > 0 !== hb > 0) {
        const s = ha / (ha - hb);
        kept.push([a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1]), a[2] + s * (b[2] - a[2])]);
      }
    }
    for (let k = 1; k + 1 < kept.length; k += 1) six += dot(kept[0]!, cross(kept[k]!, kept[k + 1]!));
  }
  return six / 6;
}
