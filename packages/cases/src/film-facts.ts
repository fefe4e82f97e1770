import { doubt, err, type Finding, info, ok, type Result } from '@kerfline/geometry';
import { type FilmLength, filmFileErrorText, pictureSize, readFilmHeader } from '@kerfline/imaging';
import { type PixelSpacing, type Refusal, refusal } from '@kerfline/knee';

/** What a film's file says without its pixels. */
export interface FilmFacts {
  readonly kind: 'dicom' | 'picture';
  readonly columns: number;
  readonly rows: number;
  readonly length: FilmLength;
  /** Shape of a pixel: millimetres where the file has any, else only a ratio. */
  readonly aspect: PixelSpacing;
  /** The side that the file names. */
  readonly sideTag: 'left' | 'right' | 'both' | 'none';
  /** Equal for two films of one patient and different for two patients; a film that names no patient has none. */
  readonly patientCheck?: string | undefined;
  /** Put together from several exposures. */
  readonly stitched: boolean;
  readonly sourceToDetectorMm?: number | undefined;
  /** Of the file; those of its lengths are with `length`. */
  readonly findings: readonly Finding[];
}

/** Facts of films by the SHA-256 of their files. */
export type FactsByBlob = ReadonlyMap<string, FilmFacts>;

const square: PixelSpacing = { rowMm: 1, columnMm: 1 };

/** What a film's file says of itself: DICOM, or a PNG, JPEG or TIFF picture. No pixel is decoded. */
export function filmFacts(bytes: Uint8Array, fileName: string): Result<FilmFacts, Refusal> {
  if (bytes.length === 0) return err(refusal('bad-film', `${fileName} is empty.`));
  const picture = pictureSize(bytes);
  if (picture.ok) return ok(pictureFacts(picture.value.columns, picture.value.rows, fileName));
  if (picture.error.kind !== 'not-a-picture') {
    return err(refusal('bad-film', `${fileName}: ${picture.error.message}`));
  }
  const header = readFilmHeader(bytes);
  if (!header.ok) {
    const { error } = header;
    return err(
      refusal(
        'bad-film',
        error.kind === 'not-dicom'
          ? `${fileName} is neither a DICOM file nor a PNG, JPEG or TIFF picture.`
          : `${fileName}: ${filmFileErrorText(error)}`,
      ),
    );
  }
  const { columns, rows, length, aspect, sideTag, patientCheck, stitched, sourceToDetectorMm, findings } = header.value;
  return ok({
    kind: 'dicom',
    columns,
    rows,
    length,
    aspect: length.spacing ?? (aspect ? { rowMm: aspect[0], columnMm: aspect[1] } : square),
    sideTag,
    ...(patientCheck === undefined ? {} : { patientCheck }),
    stitched,
    ...(sourceToDetectorMm === null ? {} : { sourceToDetectorMm }),
    findings: [
      ...findings,
      ...(stitched
        ? [
            info(
              'stitched',
              `${fileName} was put together from several exposures: one calibration may not hold all over it.`,
            ),
          ]
        : []),
      ...(sideTag === 'both'
        ? [info('both-sides', `${fileName} shows both legs: mark the one that the case is of.`)]
        : []),
    ],
  });
}

const pictureFacts = (columns: number, rows: number, fileName: string): FilmFacts => ({
  kind: 'picture',
  columns,
  rows,
  length: { state: 'UNKNOWN', spacing: null, description: null, findings: [] },
  aspect: square,
  sideTag: 'none',
  stitched: false,
  findings: [
    doubt(
      'picture-file',
      `${fileName} is a picture and no radiograph file: it names no patient, no side and no lengths, so none of them can be checked. ` +
        'Whether it is a grey film and no photograph is seen when its pixels are read.',
    ),
  ],
});

/** Facts of the films whose files are at hand; a film that cannot be read has none. */
export const factsOfFilms = (
  films: readonly { readonly blob: string; readonly fileName: string }[],
  blobs: ReadonlyMap<string, Uint8Array>,
): FactsByBlob =>
  new Map(
    films.flatMap(({ blob, fileName }) => {
      const bytes = blobs.get(blob);
      const read = bytes && filmFacts(bytes, fileName);
      return read?.ok ? [[blob, read.value] as const] : [];
    }),
  );
