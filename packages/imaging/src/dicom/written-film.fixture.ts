import { type WritableFilm, writtenFilm } from './write-film.ts';

/** A film of an invented patient; `more` replaces parts of it. */
export const inventedFilm = (more: Partial<WritableFilm> = {}): WritableFilm => ({
  rows: 6,
  columns: 5,
  data: Uint16Array.from({ length: 30 }, (_, i) => 100 * i),
  bitsStored: 12,
  monochrome: 2,
  imagerSpacing: { rowMm: 0.15, columnMm: 0.14 },
  side: 'left',
  modality: 'DX',
  viewPosition: 'AP',
  patientOrientation: ['L', 'F'],
  studyUid: '2.25.111',
  seriesUid: '2.25.112',
  instanceUid: '2.25.113',
  patientName: 'INVENTED^PERSON',
  patientId: 'ID-1234567',
  date: '20260102',
  time: '120000',
  description: 'Whole length',
  window: { centre: 1500, width: 3000 },
  ...more,
});

export const inventedBytes = (more: Partial<WritableFilm> = {}): Uint8Array => writtenFilm(inventedFilm(more));
