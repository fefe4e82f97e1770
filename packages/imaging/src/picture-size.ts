import { err, ok, type Result } from '@kerfline/geometry';

export type PictureFormat = 'png' | 'jpeg' | 'tiff';

/** What a picture file says of itself before any pixel is decoded. */
export interface PictureSize {
  readonly format: PictureFormat;
  readonly columns: number;
  readonly rows: number;
}

export interface PictureSizeError {
  readonly kind: 'not-a-picture' | 'cut-short' | 'not-supported' | 'bad-size';
  /** A sentence with what was found and what was needed. */
  readonly message: string;
}

/** @numerical The longest edge that is taken, pixels: a long film at 0.1 mm has about 13,000 rows. */
const longestEdge = 32_768;

const fail = (kind: PictureSizeError['kind'], message: string): Result<never, PictureSizeError> =>
  err({ kind, message });

const checked = (format: PictureFormat, columns: number, rows: number): Result<PictureSize, PictureSizeError> =>
  columns >= 1 && rows >= 1 && columns <= longestEdge && rows <= longestEdge
    ? ok({ format, columns, rows })
    : fail(
        'bad-size',
        `The picture says it has ${columns} columns and ${rows} rows; 1 to ${longestEdge} of each can be read.`,
      );

const cutShort = (format: string): Result<never, PictureSizeError> =>
  fail('cut-short', `The ${format} file ends before it says how large the picture is: it was cut short.`);

/** PNG: the first chunk is IHDR with width and height (W3C PNG, 11.2.1). */
function pngSize(view: DataView): Result<PictureSize, PictureSizeError> {
  if (view.byteLength < 33) return cutShort('PNG');
  if (view.getUint32(12) !== 0x49484452) return fail('not-supported', 'The PNG file does not begin with its header.');
  return checked('png', view.getUint32(16), view.getUint32(20));
}

/** Frame headers of JPEG that code pictures: SOF0 to SOF15 without the tables and arithmetic markers among them (T.81, B.1.1.3). */
const isFrameHeader = (marker: number): boolean =>
  marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;

/** JPEG: marker segments up to the frame header (T.81, B.2.2). */
function jpegSize(view: DataView): Result<PictureSize, PictureSizeError> {
  let at = 2;
  while (at + 4 <= view.byteLength) {
    if (view.getUint8(at) !== 0xff) return fail('not-supported', `The JPEG file has no marker at byte ${at}.`);
    const marker = view.getUint8(at + 1);
    // Fill bytes and markers without a length.
    if (marker === 0xff || marker === 0x01 || (marker >= 0xd0 && marker <= 0xd8)) {
      at += marker === 0xff ? 1 : 2;
      continue;
    }
    if (marker === 0xda || marker === 0xd9) break;
    if (isFrameHeader(marker)) {
      if (at + 9 > view.byteLength) return cutShort('JPEG');
      return checked('jpeg', view.getUint16(at + 7), view.getUint16(at + 5));
    }
    at += 2 + Math.max(2, view.getUint16(at + 2));
  }
  return cutShort('JPEG');
}

/** TIFF: ImageWidth (256) and ImageLength (257) of the first directory (TIFF 6.0, section 2). */
function tiffSize(view: DataView, little: boolean): Result<PictureSize, PictureSizeError> {
  if (view.byteLength < 8) return cutShort('TIFF');
  const directory = view.getUint32(4, little);
  if (directory + 2 > view.byteLength) return cutShort('TIFF');
  const entries = view.getUint16(directory, little);
  if (directory + 2 + 12 * entries > view.byteLength) return cutShort('TIFF');
  let columns = 0;
  let rows = 0;
  for (let k = 0; k < entries; k += 1) {
    const at = directory + 2 + 12 * k;
    const tag = view.getUint16(at, little);
    if (tag !== 256 && tag !== 257) continue;
    // SHORT is type 3 and LONG is type 4; both lie in the entry itself.
    const value =
      view.getUint16(at + 2, little) === 3 ? view.getUint16(at + 8, little) : view.getUint32(at + 8, little);
    if (tag === 256) columns = value;
    else rows = value;
  }
  return checked('tiff', columns, rows);
}

/** Columns and rows of a PNG, JPEG or TIFF file from its header; no pixel is decoded. */
export function pictureSize(bytes: Uint8Array): Result<PictureSize, PictureSizeError> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const begins = (...values: readonly number[]): boolean => values.every((value, k) => bytes[k] === value);
  if (begins(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)) return pngSize(view);
  if (begins(0xff, 0xd8, 0xff)) return jpegSize(view);
  if (begins(0x49, 0x49, 42, 0)) return tiffSize(view, true);
  if (begins(0x4d, 0x4d, 0, 42)) return tiffSize(view, false);
  return fail('not-a-picture', 'The file begins like no PNG, JPEG or TIFF picture.');
}
