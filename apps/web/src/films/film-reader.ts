import { type FilmFacts, filmFacts } from '@kerfline/cases';
import {
  decodePixels,
  deidentified,
  type FilmPixels,
  pixelErrorText,
  pixelSourceOf,
  readFilmHeader,
  readPicture,
} from '@kerfline/imaging';
import { codecsHere } from './codecs-here.ts';

/** A film whose pixels are read. */
export interface ReadFilm {
  readonly pixels: FilmPixels;
  readonly tallness: number;
}

/** Who hears how the reading goes on. */
export interface ReaderHears {
  readonly facts: (facts: FilmFacts, identifying: readonly string[]) => void;
  readonly progress: (share: number, says: string) => void;
}

/** Reads a film, its header first; throws the reason in a sentence when it cannot be read. */
export async function readFilmFile(bytes: Uint8Array, name: string, hears: ReaderHears): Promise<ReadFilm> {
  const facts = filmFacts(bytes, name);
  if (!facts.ok) throw new Error(facts.error.message);
  hears.facts(facts.value, facts.value.kind === 'dicom' ? identifyingIn(bytes) : []);
  hears.progress(0, 'reading pixels');
  const { rowMm, columnMm } = facts.value.aspect;
  const pixels = await pixelsOf(bytes, facts.value, hears);
  return { pixels, tallness: rowMm / columnMm };
}

/** @numerical Names alone are wanted here, so any secret of the least length does. */
const anySalt = '0'.repeat(16);

/** Names of what is taken out of a file before it is kept. */
function identifyingIn(bytes: Uint8Array): readonly string[] {
  const cleaned = deidentified(bytes, { salt: anySalt });
  return cleaned.ok ? cleaned.value.removed.map(({ name }) => name) : [];
}

async function pixelsOf(bytes: Uint8Array, facts: FilmFacts, hears: ReaderHears): Promise<FilmPixels> {
  if (facts.kind === 'picture') {
    const read = await readPicture(bytes, codecsHere);
    if (!read.ok) throw new Error(pixelErrorText(read.error));
    return read.value;
  }
  const header = readFilmHeader(bytes);
  if (!header.ok) throw new Error('The header of the film could not be read twice.');
  const read = await decodePixels(pixelSourceOf(header.value), codecsHere, (share) =>
    hears.progress(share, 'reading pixels'),
  );
  if (!read.ok) throw new Error(pixelErrorText(read.error));
  return read.value;
}
