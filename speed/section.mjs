// A plane through 100,000 triangles to closed loops, beside the loose segments that a search tree finds (three-mesh-bvh).
// A plane of a cut is used once, so the tree is counted with its building and, in a second row, without.
import { planeAt, point, section, sectionPlane } from '@kerfline/geometry';
import { BufferAttribute, BufferGeometry, Line3, Plane, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { bonesWith } from './bones.mjs';
import { inTurns, median, shown, tell } from './timing.mjs';

const { femur } = bonesWith(100_000);
const low = femur.positions.reduce((z, value, k) => (k % 3 === 2 ? Math.min(z, value) : z), Infinity);
const normal = [0.06, 0.08, 0.995];
let k = 0;
const through = () => {
  k += 1;
  return [0, 0, low + 9 + (k % 40)];
};

const ours = () => {
  const axes = sectionPlane(planeAt(point(femur.frame, through()), normal), [1, 0, 0]);
  if (section(femur, axes).length === 0) throw new Error('the plane misses the bone');
};

const built = () => {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(femur.positions, 3));
  geometry.setIndex(new BufferAttribute(femur.triangles.slice(), 1));
  return new MeshBVH(geometry);
};
const ready = built();
const cutBy = (tree) => {
  const plane = new Plane().setFromNormalAndCoplanarPoint(
    new Vector3(...normal).normalize(),
    new Vector3(...through()),
  );
  const edges = [new Line3(), new Line3(), new Line3()];
  const at = new Vector3();
  const segments = [];
  tree.shapecast({
    intersectsBounds: (box) => plane.intersectsBox(box),
    intersectsTriangle(triangle) {
      edges[0].set(triangle.a, triangle.b);
      edges[1].set(triangle.b, triangle.c);
      edges[2].set(triangle.c, triangle.a);
      for (const edge of edges) if (plane.intersectLine(edge, at)) segments.push(at.x, at.y, at.z);
    },
  });
  if (segments.length === 0) throw new Error('the plane misses the bone');
};

const [own, withTree, treeOnly] = inTurns([ours, () => cutBy(built()), () => cutBy(ready)], { warm: 10, runs: 60 });
const triangles = (femur.triangles.length / 3).toLocaleString('en');
tell([
  {
    name: `plane through ${triangles} triangles; peer builds a search tree and asks it`,
    ours: shown(median(own)),
    peer: shown(median(withTree)),
    unit: 'ms',
    mark: 1,
  },
  {
    name: `plane through ${triangles} triangles; peer asks a tree that stands`,
    ours: shown(median(own)),
    peer: shown(median(treeOnly)),
    unit: 'ms',
    mark: 1,
  },
]);
