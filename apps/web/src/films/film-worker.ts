import { exposure, exposureText, type FilmPixels, type Tile } from '@kerfline/imaging';
import { firstLight, halvings, tileImage } from './film-halvings.ts';
import { measuredOn } from './film-measure.ts';
import type { FilmAsk, FilmTold } from './film-messages.ts';
import { readFilmFile } from './film-reader.ts';

const tell = (what: FilmTold, transfer: Transferable[] = []): void => postMessage(what, { transfer });

/** What this worker holds: one film and its halvings. */
const held: { film: FilmPixels | undefined; levels: readonly Tile[] } = { film: undefined, levels: [] };

async function read(bytes: ArrayBuffer, name: string): Promise<void> {
  const { pixels, tallness } = await readFilmFile(new Uint8Array(bytes), name, {
    facts: (facts, identifying) => tell({ kind: 'facts', facts, identifying }),
    progress: (share, says) => tell({ kind: 'progress', share, says }),
  });
  held.film = pixels;
  held.levels = halvings(pixels);
  const { columns, rows } = pixels;
  const picture = {
    columns,
    rows,
    tallness,
    levels: held.levels.length,
    light: firstLight(pixels),
    exposure: exposureText(exposure(pixels)),
  };
  tell({ kind: 'picture', picture });
}

async function tile({ place, light, lit }: Extract<FilmAsk, { kind: 'tile' }>): Promise<void> {
  const image = tileImage(held.levels, place, light);
  if (!image) return;
  const bitmap = await createImageBitmap(image);
  tell({ kind: 'tile', place, lit, bitmap }, [bitmap]);
}

addEventListener('message', ({ data }: MessageEvent<FilmAsk>) => {
  switch (data.kind) {
    case 'read':
      read(data.bytes, data.name).catch((e: unknown) =>
        tell({ kind: 'refused', message: e instanceof Error ? e.message : String(e) }),
      );
      return;
    case 'tile':
      void tile(data);
      return;
    case 'measure':
      if (held.film) tell({ kind: 'measured', id: data.id, found: measuredOn(held.film, data.what) });
  }
});
