import { err, ok, type Result } from '@kerfline/geometry';
import type { PixelError } from './pixel-error.ts';

/** The size a JPEG 2000 codestream states (ITU-T T.800 A.5.1). */
export interface CodestreamSize {
  readonly rows: number;
  readonly columns: number;
  readonly precision: number;
  readonly signed: boolean;
  readonly components: number;
  readonly tiles: number;
}

/** Reads the SIZ segment, which must come first. Wrapped (JP2) streams are refused: DICOM holds bare ones (PS3.5 A.4.4). */
export function codestreamSize(bytes: Uint8Array): Result<CodestreamSize, PixelError> {
  if (bytes.length < 43) return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: 43 });
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (view.getUint32(0) !== 0xff4fff51)
    return err({ kind: 'corrupt', what: 'it does not begin with its size', byte: 0 });
  const [width, height, left, top] = [8, 12, 16, 20].map((at) => view.getUint32(at)) as [
    number,
    number,
    number,
    number,
  ];
  const [tileWidth, tileHeight] = [view.getUint32(24), view.getUint32(28)];
  const components = view.getUint16(40);
  if (width <= left || height <= top || tileWidth === 0 || tileHeight === 0 || components === 0)
    return err({ kind: 'corrupt', what: 'its size is nothing', byte: 8 });
  if (bytes.length < 42 + 3 * components)
    return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: 42 + 3 * components });
  for (let i = 0; i < components; i++) {
    const at = 42 + 3 * i;
    if (view.getUint8(at) !== view.getUint8(42))
      return err({ kind: 'corrupt', what: 'its components have different depths', byte: at });
    if (view.getUint8(at + 1) !== 1 || view.getUint8(at + 2) !== 1)
      return err({
        kind: 'not-supported',
        what: 'sampling of a component',
        found: 'coarser than the picture',
        needed: 'one sample a pixel',
      });
  }
  const depth = view.getUint8(42);
  return ok({
    rows: height - top,
    columns: width - left,
    precision: (depth & 127) + 1,
    signed: depth > 127,
    components,
    tiles: Math.ceil(width / tileWidth) * Math.ceil(height / tileHeight),
  });
}
