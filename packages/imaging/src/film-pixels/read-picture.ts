import { err, info, ok, type Result } from '@kerfline/geometry';
import { runCodec } from './codec-run.ts';
import type { Codecs } from './codecs.ts';
import { refusedSize } from './film-size.ts';
import { jpegFrame } from './jpeg-header.ts';
import { decodeJpegLossless } from './jpeg-lossless.ts';
import { tooManyScans } from './jpeg-scans.ts';
import { filmFromPicture, type PictureSamples } from './picture-film.ts';
import type { PixelError } from './pixel-error.ts';
import type { FilmPixels } from './pixel-source.ts';
import { pngSignature, readPng } from './png.ts';
import { readTiff } from './tiff.ts';

export type PictureFormat = 'png' | 'jpeg' | 'tiff';

/** What the first bytes say a picture is; undefined for anything else, a DICOM file among them. */
export function pictureFormat(bytes: Uint8Array): PictureFormat | undefined {
  if (pngSignature.every((byte, i) => bytes[i] === byte)) return 'png';
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return 'jpeg';
  const order = bytes[0] === bytes[1] && (bytes[0] === 0x49 || bytes[0] === 0x4d);
  return order && bytes[bytes[0] === 0x49 ? 2 : 3] === 42 ? 'tiff' : undefined;
}

/**
 * A film from a picture file: PNG, JPEG or TIFF, grey or colours that are equal.
 *
 * Such a file knows no length: what it may say of resolution is that of paper, and is not read. Its length state is
 * UNKNOWN with no spacing.
 */
export async function readPicture(bytes: Uint8Array, codecs: Codecs): Promise<Result<FilmPixels, PixelError>> {
  const format = pictureFormat(bytes);
  if (!format) {
    const found = Array.from(bytes.subarray(0, 8), (b) => (b > 31 && b < 127 ? String.fromCharCode(b) : '.')).join('');
    return err({ kind: 'unknown-format', found, needed: 'PNG, JPEG or TIFF' });
  }
  const picture =
    format === 'png' ? readPng(bytes) : format === 'tiff' ? readTiff(bytes) : await readJpeg(bytes, codecs);
  return picture.ok ? filmFromPicture(picture.value) : picture;
}

async function readJpeg(bytes: Uint8Array, codecs: Codecs): Promise<Result<PictureSamples, PixelError>> {
  const frame = jpegFrame(bytes);
  if (!frame.ok) return frame;
  const { marker, precision, rows, columns, components } = frame.value;
  const refused = refusedSize(rows, columns);
  if (refused) return err(refused);
  const channels = components.length;
  if (channels !== 1 && channels !== 3)
    return err({ kind: 'not-supported', what: 'number of colours', found: `${channels}`, needed: '1 or 3' });
  const base = { rows, columns, channels, greatest: 2 ** precision - 1, highIsDark: false } as const;
  if (marker === 0xc3) {
    const data = decodeJpegLossless(bytes, { rows, columns, components: channels, mostBits: 16 });
    return data.ok ? ok({ ...base, data: data.value, findings: [] }) : data;
  }
  if (marker > 0xc2 || precision !== 8)
    return err({
      kind: 'not-supported',
      what: 'kind of JPEG',
      found: `SOF${marker - 0xc0} with ${precision} bits`,
      needed: '8-bit baseline, extended or progressive, or lossless',
    });
  const again = tooManyScans(bytes);
  if (again) return err(again);
  const data = await runCodec('JPEG', codecs.jpeg, bytes, { rows, columns, bits: 8, components: channels });
  if (!data.ok) return data;
  const findings = [info('lossy-coding', 'The picture was compressed with loss; fine edges may have moved.')];
  return ok({ ...base, data: data.value, findings });
}
