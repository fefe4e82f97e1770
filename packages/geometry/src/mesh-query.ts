import { BufferAttribute, BufferGeometry, DoubleSide, Ray, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import type { Direction3, Point3 } from './frames.ts';
import type { Mesh } from './mesh.ts';
import type { Vec3 } from './vec3.ts';

export interface SurfaceHit<F extends string> {
  readonly at: Point3<F>;
  /** From the query point, mm. */
  readonly distanceMm: number;
  readonly triangle: number;
}

/** Questions to one surface that need its search tree; build once, ask often. */
export interface MeshQuery<F extends string> {
  /** The surface point nearest to `p`. */
  closestTo(p: Point3<F>): SurfaceHit<F>;
  /** Every triangle that a half-line crosses, nearest first; through an edge or a corner, each triangle that meets there. */
  crossings(from: Point3<F>, towards: Direction3<F>): readonly SurfaceHit<F>[];
}

/** Builds the search tree of a mesh; an empty mesh throws. */
export function meshQuery<F extends string>(mesh: Mesh<F>): MeshQuery<F> {
  if (mesh.triangles.length === 0) throw new Error('an empty mesh has no surface to ask about');
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(mesh.positions, 3));
  geometry.setIndex(new BufferAttribute(mesh.triangles, 1));
  // `indirect` keeps the caller's triangle order: without it the tree sorts the shared index in place.
  const tree = new MeshBVH(geometry, { indirect: true });
  const at = (v: Vector3): Point3<F> => ({ frame: mesh.frame, xyz: [v.x, v.y, v.z] satisfies Vec3 });
  return {
    closestTo(p) {
      const hit = tree.closestPointToPoint(new Vector3(...p.xyz));
      if (!hit) throw new Error('the search tree found no nearest point');
      return { at: at(hit.point), distanceMm: hit.distance, triangle: hit.faceIndex };
    },
    crossings(from, towards) {
      const ray = new Ray(new Vector3(...from.xyz), new Vector3(...towards.direction));
      return tree
        .raycast(ray, DoubleSide)
        .map((hit) => ({ at: at(hit.point), distanceMm: hit.distance, triangle: hit.faceIndex ?? -1 }))
        .sort((a, b) => a.distanceMm - b.distanceMm);
    },
  };
}
