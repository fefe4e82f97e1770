import { halvings, type Samples, shades, signedShades, tilePixels } from './film-halvings.ts';
import type { FilmAsk, FilmTold, Light, Measure, Measured } from './film-messages.ts';
import { readFilmFile } from './film-reader.ts';

const tell = (what: FilmTold, transfer: Transferable[] = []): void => postMessage(what, { transfer });

/** What this worker holds: one film, its halvings and the shades of its light. */
const held: {
  levels: readonly Samples[];
  lit: { readonly number: number; readonly table: Uint32Array } | undefined;
} = { levels: [], lit: undefined };

async function read(bytes: ArrayBuffer, name: string): Promise<void> {
  const film = await readFilmFile(new Uint8Array(bytes), name, {
    facts: (facts) => tell({ kind: 'facts', facts }),
    progress: (share, says) => tell({ kind: 'progress', share, says }),
  });
  held.levels = halvings(film.pixels);
  const { columns, rows } = film.pixels;
  tell({
    kind: 'picture',
    picture: { columns, rows, tallness: film.tallness, levels: held.levels.length, light: film.light },
  });
}

function tableFor(light: Light, number: number): Uint32Array {
  if (held.lit?.number !== number) {
    const signed = held.levels[0]?.data instanceof Int16Array;
    held.lit = { number, table: signed ? signedShades(light) : shades(light) };
  }
  return held.lit.table;
}

async function tile({ place, light, lit }: Extract<FilmAsk, { kind: 'tile' }>): Promise<void> {
  const pixels = tilePixels(held.levels, place, tableFor(light, lit));
  if (!pixels) return;
  const bitmap = await createImageBitmap(pixels);
  tell({ kind: 'tile', place, lit, bitmap }, [bitmap]);
}

function measured(_what: Measure): Measured {
  return { measure: 'none', message: 'Not here yet.' };
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
      tell({ kind: 'measured', id: data.id, found: measured(data.what) });
  }
});
