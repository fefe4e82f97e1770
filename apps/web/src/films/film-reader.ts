import type { Samples } from './film-halvings.ts';
import type { Light } from './film-messages.ts';

/** A film whose pixels are read. */
export interface ReadFilm {
  readonly samples: Samples;
  readonly tallness: number;
  readonly light: Light;
}

export async function readFilmFile(
  _bytes: Uint8Array,
  _name: string,
  _progress: (share: number, says: string) => void,
): Promise<ReadFilm> {
  const [columns, rows] = [4000, 12000];
  const data = new Uint16Array(columns * rows);
  for (let r = 0; r < rows; r += 1)
    for (let c = 0; c < columns; c += 1) {
      const shaft = Math.abs(c - 2000 - 60 * Math.sin(r / 2000)) < 180 + 120 * Math.exp(-(((r - 6000) / 700) ** 2)) * 3;
      data[r * columns + c] = (shaft ? 2600 : 900) + ((c * 7919 + r * 104729) % 97) + (r % 1000 < 12 ? 600 : 0);
    }
  return { samples: { columns, rows, data }, tallness: 1, light: { black: 400, white: 3400, inverted: false } };
}
