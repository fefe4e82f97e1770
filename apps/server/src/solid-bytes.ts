import type { Mesh } from '@kerfline/geometry';

/** A mesh as it goes to the page: two counts (coordinates, corners), coordinates as 32-bit floats in mm, corners as integers. */
export function solidBytes<F extends string>(mesh: Mesh<F>): Uint8Array<ArrayBuffer> {
  const head = new Uint32Array([mesh.positions.length, mesh.triangles.length]);
  const body = new Uint8Array(head.byteLength + mesh.positions.byteLength + mesh.triangles.byteLength);
  body.set(new Uint8Array(head.buffer), 0);
  body.set(bytesOf(mesh.positions), head.byteLength);
  body.set(bytesOf(mesh.triangles), head.byteLength + mesh.positions.byteLength);
  return body;
}

const bytesOf = (values: Float32Array | Uint32Array): Uint8Array =>
  new Uint8Array(values.buffer, values.byteOffset, values.byteLength);
