import { type WritableFilm, writtenFilm } from '@kerfline/imaging';
import type { FilmMark } from '@kerfline/knee';

/** A film file in code: 500 columns and 1000 rows, 1 mm each at the detector, of an invented patient's left leg. */
export function filmFile(change: Partial<WritableFilm> = {}): Uint8Array {
  const rows = change.rows ?? 1000;
  const columns = change.columns ?? 500;
  return writtenFilm({
    rows,
    columns,
    data: new Uint16Array(rows * columns).fill(7),
    bitsStored: 12,
    monochrome: 2,
    imagerSpacing: { rowMm: 1, columnMm: 1 },
    side: 'left',
    modality: 'DX',
    viewPosition: 'AP',
    patientOrientation: ['L', 'F'],
    studyUid: '2.25.1',
    seriesUid: '2.25.2',
    instanceUid: '2.25.3',
    patientName: 'INVENTED^PERSON',
    patientId: 'K 0081',
    date: '20200101',
    time: '120000',
    description: 'invented',
    window: { centre: 2000, width: 4000 },
    ...change,
  });
}

const degree = Math.PI / 180;

/**
 * Marks of a left leg on that film, laid out by hand: LDFA 88, MPTA 87, bones in line. The patient faces you, so that lateral
 * of a left leg is to the right; up is to smaller rows.
 */
export const marksByHand: readonly FilmMark[] = [
  { name: 'hipCentre', pixel: [250, 80] },
  { name: 'femoralKneeCentre', pixel: [250, 500] },
  { name: 'distalMedial', pixel: [226, 508 + 24 * Math.tan(2 * degree)] },
  { name: 'distalLateral', pixel: [274, 508 - 24 * Math.tan(2 * degree)] },
  { name: 'tibialKneeCentre', pixel: [250, 510] },
  { name: 'plateauMedial', pixel: [228, 519 + 22 * Math.tan(3 * degree)] },
  { name: 'plateauLateral', pixel: [272, 519 - 22 * Math.tan(3 * degree)] },
  { name: 'malleolusMedial', pixel: [225, 885] },
  { name: 'malleolusLateral', pixel: [275, 890] },
  { name: 'plafondCentre', pixel: [248, 880] },
];

/** The same places on a film whose pixels are `across` mm wide and `down` mm high. */
export const marksAt = (across: number, down: number): readonly FilmMark[] =>
  marksByHand.map(({ name, pixel: [column, row] }) => ({ name, pixel: [column / across, row / down] }));

/** A PNG as far as its header: W3C PNG, 11.2.1. */
export function pngHeader(columns: number, rows: number): Uint8Array {
  const bytes = new Uint8Array(45);
  bytes.set([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, 0x49, 0x48, 0x44, 0x52]);
  const view = new DataView(bytes.buffer);
  view.setUint32(16, columns);
  view.setUint32(20, rows);
  return bytes;
}

/** A film file that calls itself a slice of a CT series. */
export function ctSlice(): Uint8Array {
  const bytes = filmFile();
  const text = new TextDecoder('latin1').decode(bytes);
  const put = (from: string, to: string): void => {
    for (let at = text.indexOf(from); at >= 0 && at < 4000; at = text.indexOf(from, at + 1)) {
      bytes.set(new TextEncoder().encode(to.padEnd(from.length, '\0')), at);
    }
  };
  put('1.2.840.10008.5.1.4.1.1.1.1', '1.2.840.10008.5.1.4.1.1.2');
  return bytes;
}
