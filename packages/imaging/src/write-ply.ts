import type { Surface } from '@kerfline/geometry';

/**
 * A binary little-endian PLY file with 32-bit coordinates: reading it gives the same numbers, bit for bit.
 *
 * @param comments put into the header, each of its lines as one comment; the format has no field for a unit or a frame
 * @source Greg Turk, The PLY Polygon File Format, Stanford University, 1994
 */
export function writePly(surface: Surface, comments: readonly string[] = []): Uint8Array<ArrayBuffer> {
  const { positions, triangles } = surface;
  const header = new TextEncoder().encode(
    [
      'ply',
      'format binary_little_endian 1.0',
      ...comments.flatMap((text) => text.split(/\r\n|\r|\n/)).map((line) => `comment ${line}`),
      `element vertex ${positions.length / 3}`,
      ...['x', 'y', 'z'].map((axis) => `property float ${axis}`),
      `element face ${triangles.length / 3}`,
      'property list uchar int vertex_indices',
      'end_header',
      '',
    ].join('\n'),
  );
  const facesAt = header.length + 4 * positions.length;
  const bytes = new Uint8Array(facesAt + 13 * (triangles.length / 3));
  const view = new DataView(bytes.buffer);
  bytes.set(header);
  positions.forEach((value, i) => {
    view.setFloat32(header.length + 4 * i, value, true);
  });
  for (let face = 0; face < triangles.length / 3; face += 1) {
    const at = facesAt + 13 * face;
    view.setUint8(at, 3);
    for (let k = 0; k < 3; k += 1) view.setInt32(at + 1 + 4 * k, triangles[3 * face + k]!, true);
  }
  return bytes;
}
