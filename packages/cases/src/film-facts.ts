import { err, type Finding, info, ok, type Result } from '@kerfline/geometry';
import { pictureSize } from '@kerfline/imaging';
import { type PixelSpacing, type Refusal, refusal, type Side } from '@kerfline/knee';

/** TEMPORARY until the reader of film headers is merged. */
export interface FilmLength {
  readonly state: 'FIDUCIAL' | 'GEOMETRY' | 'CORRECTED_UNKNOWN' | 'DETECTOR' | 'UNKNOWN';
  readonly spacing: PixelSpacing | null;
  readonly offered?: { readonly spacing: PixelSpacing; readonly factor: number; readonly from: string } | undefined;
  readonly description: string;
  readonly findings: readonly Finding[];
}

/** What a film's file says without its pixels. */
export interface FilmFacts {
  readonly kind: 'dicom' | 'picture';
  readonly columns: number;
  readonly rows: number;
  readonly length: FilmLength;
  /** The side that the file names, if it names one. */
  readonly sideTag: Side | 'both' | undefined;
  /** Equal for two films of one patient and different for two patients; of films that name no patient there is none. */
  readonly patientCheck: string | undefined;
  /** Put together from several exposures. */
  readonly stitched: boolean;
  readonly sourceToDetectorMm: number | undefined;
  readonly findings: readonly Finding[];
}

/** Facts of films by the SHA-256 of their files. */
export type FactsByBlob = ReadonlyMap<string, FilmFacts>;

/** What a film's file says of itself, read from its header. */
export function filmFacts(bytes: Uint8Array, fileName: string): Result<FilmFacts, Refusal> {
  const size = pictureSize(bytes);
  if (!size.ok) return err(refusal('bad-film', `${fileName}: ${size.error.message}`));
  return ok({
    kind: 'picture',
    columns: size.value.columns,
    rows: size.value.rows,
    length: {
      state: 'UNKNOWN',
      spacing: null,
      description: 'A picture says nothing of lengths.',
      findings: [],
    },
    sideTag: undefined,
    patientCheck: undefined,
    stitched: false,
    sourceToDetectorMm: undefined,
    findings: [
      info(
        'picture-file',
        `${fileName} is a picture, not a film of a radiography system: it names no patient, no side and no lengths. ` +
          'Whether it is a grey film and no photograph is seen when its pixels are read.',
      ),
    ],
  });
}

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
