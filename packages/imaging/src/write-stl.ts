import { cross, length, type Surface, scaled, subtract, type Vec3, vertex } from '@kerfline/geometry';

const headerBytes = 84;
const facetBytes = 50;
const titleBytes = 80;
/** Keeps readers that look for the word "solid" from taking the file for text. */
const opening = 'binary ';

/**
 * A binary STL file: every coordinate is kept bit for bit, which vertices the triangles share is not.
 *
 * @param title put into the header as far as it fits in 73 bytes of plain characters; others become `?`
 * @source 3D Systems, StereoLithography Interface Specification, 1988
 */
export function writeStl(surface: Surface, title = ''): Uint8Array<ArrayBuffer> {
  const facets = surface.triangles.length / 3;
  const bytes = new Uint8Array(headerBytes + facetBytes * facets);
  const view = new DataView(bytes.buffer);
  const text = (opening + title).replace(/[^\x20-\x7e]/g, '?').slice(0, titleBytes);
  bytes.fill(0x20, 0, titleBytes);
  bytes.set(new TextEncoder().encode(text));
  view.setUint32(titleBytes, facets, true);
  for (let facet = 0; facet < facets; facet += 1) {
    const [a, b, c] = [0, 1, 2].map((k) => vertex(surface, surface.triangles[3 * facet + k]!)) as [Vec3, Vec3, Vec3];
    [facetNormal(a, b, c), a, b, c].flat().forEach((value, k) => {
      view.setFloat32(headerBytes + facetBytes * facet + 4 * k, value, true);
    });
  }
  return bytes;
}

/** Unit vector to the outside, or zero where the corners are in line, as the format asks. */
function facetNormal(a: Vec3, b: Vec3, c: Vec3): Vec3 {
  const normal = cross(subtract(b, a), subtract(c, a));
  const size = length(normal);
  return size > 0 ? scaled(normal, 1 / size) : [0, 0, 0];
}
