// Reading a bone of 170,000 triangles with everything that is checked of it, beside three's readers, which check nothing. The
// reader of STL gives three corners a triangle; ours are joined, so the peer's are joined too.
import { readMesh, writePly, writeStl } from '@kerfline/imaging';
import { PLYLoader } from 'three/addons/loaders/PLYLoader.js';
import { STLLoader } from 'three/addons/loaders/STLLoader.js';
import { mergeVertices } from 'three/addons/utils/BufferGeometryUtils.js';
import { bonesWith } from './bones.mjs';
import { inTurns, median, shown, tell } from './timing.mjs';

const { femur } = bonesWith(170_000);
const [ply, stl] = [writePly(femur), writeStl(femur)];
const bufferOf = (bytes) => bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
const [plyBuffer, stlBuffer] = [bufferOf(ply), bufferOf(stl)];
const read = (bytes) => {
  const mesh = readMesh(bytes);
  if (!mesh.ok) throw new Error(mesh.error.kind);
};
const times = inTurns(
  [
    () => read(ply),
    () => new PLYLoader().parse(plyBuffer),
    () => read(stl),
    () => {
      // Normals differ at every corner and would keep corners apart.
      const loose = new STLLoader().parse(stlBuffer);
      loose.deleteAttribute('normal');
      mergeVertices(loose);
    },
  ],
  { warm: 2, runs: 9 },
).map((t) => shown(median(t)));
const triangles = (femur.triangles.length / 3).toLocaleString('en');
tell([
  { name: `read and check a binary PLY of ${triangles} triangles`, ours: times[0], peer: times[1], unit: 'ms' },
  { name: `read and check a binary STL of ${triangles} triangles`, ours: times[2], peer: times[3], unit: 'ms' },
]);
