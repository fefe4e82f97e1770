import { err, ok, type Result } from '@kerfline/geometry';
import { tagOf, tagText } from './dicom-tags.ts';
import { textOf } from './element-values.ts';
import type { FilmFileError } from './film-file-error.ts';
import type { Elements } from './part10.ts';

/** Computed or digital radiograph, secondary capture, or another projection image. */
export type FilmKind = 'CR' | 'DX' | 'SC' | 'other';

const storage = '1.2.840.10008.5.1.4.1.1.';
/** SOP classes of films, PS3.4 annex B.5. */
const filmClasses: Readonly<Record<string, FilmKind>> = {
  '1': 'CR',
  '1.1': 'DX',
  '1.1.1': 'DX',
  '7': 'SC',
  '7.2': 'SC',
  '7.3': 'SC',
  '7.4': 'SC',
};
/** Modalities of other projection images that may be measured on. PS3.3 C.7.3.1.1.1. */
const projectionModalities = ['CR', 'DX', 'RG', 'XA', 'RF', 'OT', 'HC', 'SC'];
/** Classes that are surely no films, in words. The longest that fits is taken. */
const otherClasses: readonly (readonly [start: string, words: string])[] = [
  ['2', 'a CT slice'],
  ['4', 'an MR slice'],
  ['20', 'a nuclear medicine image'],
  ['128', 'a PET slice'],
  ['130', 'a PET slice'],
  ['3', 'an ultrasound image'],
  ['6', 'an ultrasound image'],
  ['77.1', 'a colour photograph'],
  ['88', 'a report'],
  ['104', 'an enclosed document'],
  ['11', 'a way of showing images'],
  ['66', 'a segmentation or registration'],
  ['481', 'radiotherapy data'],
];
const otherModalities: Readonly<Record<string, string>> = {
  CT: 'a CT slice',
  MR: 'an MR slice',
  PT: 'a PET slice',
  NM: 'a nuclear medicine image',
  US: 'an ultrasound image',
  XC: 'a colour photograph',
  ES: 'a colour photograph',
};

/** What kind of film a data set is, or what it is instead. A slice is never a film: its pixels lie in a plane of their own. */
export function filmKind(
  elements: Elements,
): Result<{ readonly sopClass: FilmKind; readonly sopClassUid: string; readonly modality: string }, FilmFileError> {
  const sopClassUid = textOf(elements, 'sopClass');
  if (sopClassUid === undefined) {
    const { key, name } = tagOf('sopClass');
    return err({ kind: 'missing-tag', tag: tagText(key), name });
  }
  const modality = textOf(elements, 'modality') ?? '';
  const short = sopClassUid.startsWith(storage) ? sopClassUid.slice(storage.length) : '';
  const known = filmClasses[short];
  if (known !== undefined) return ok({ sopClass: known, sopClassUid, modality });
  const words = otherClasses.find(([start]) => short === start || short.startsWith(`${start}.`))?.[1];
  if (words !== undefined) return err({ kind: 'not-a-film', found: words });
  const byModality = otherModalities[modality];
  if (byModality !== undefined) return err({ kind: 'not-a-film', found: byModality });
  if (projectionModalities.includes(modality)) return ok({ sopClass: 'other', sopClassUid, modality });
  return err({ kind: 'not-a-film', found: 'another kind of object' });
}
