import type { FilmFacts } from '@kerfline/cases';
import type { FilmAsk, FilmPicture, FilmTold, Light, Measure, Measured } from './film-messages.ts';
import type { TileSource } from './film-paint.ts';
import { type TilePlace, tileName } from './film-tiles.ts';

/** A film in a worker of its own: its tiles as they are painted there, and what helpers measure on it. */
export interface HeldFilm extends TileSource {
  readonly picture: FilmPicture;
  readonly light: () => Light;
  /** Lights the film anew; the old tiles stand until the new ones come. */
  readonly relight: (light: Light) => void;
  readonly measure: (what: Measure) => Promise<Measured>;
  /** Calls when there is something new to paint. */
  readonly onChange: (listener: () => void) => () => void;
  readonly close: () => void;
}

/** A film being read. */
export interface FilmReadingJob {
  readonly held: Promise<HeldFilm>;
  readonly stop: () => void;
}

/** Why a film could not be read, in a sentence. */
export class FilmRefusal extends Error {}

/**
 * Tiles kept beyond those in view, and tiles asked for at once.
 *
 * @numerical
 */
const [mostTiles, mostAsked] = [120, 8];

interface KeptTile {
  readonly bitmap: ImageBitmap;
  readonly lit: number;
}

/** Who hears how the reading of a film goes on. */
export interface FilmHearers {
  readonly progress: (share: number, says: string) => void;
  /** What the file says of itself, before its pixels are read. */
  readonly facts: (facts: FilmFacts, identifying: readonly string[]) => void;
}

/** Reads a film in a worker of its own. */
export function readFilm(bytes: ArrayBuffer, name: string, hear: FilmHearers): FilmReadingJob {
  const worker = new Worker(new URL('./film-worker.ts', import.meta.url), { type: 'module' });
  const ask = (what: FilmAsk, transfer: Transferable[] = []): void => worker.postMessage(what, transfer);
  let stopped: (() => void) | undefined;
  const held = new Promise<HeldFilm>((resolve, reject) => {
    const tiles = new Map<string, KeptTile>();
    const asked = new Set<string>();
    const listeners = new Set<() => void>();
    const answers = new Map<number, (found: Measured) => void>();
    let wanted: readonly TilePlace[] = [];
    let lit = 0;
    let light: Light = { black: 0, white: 1, inverted: false };
    let count = 0;

    const askForMissing = (): void => {
      for (const place of wanted) {
        if (asked.size >= mostAsked) return;
        const key = tileName(place);
        if (asked.has(key) || tiles.get(key)?.lit === lit) continue;
        asked.add(key);
        ask({ kind: 'tile', place, light, lit });
      }
    };
    const forget = (): void => {
      const needed = new Set(wanted.map(tileName));
      for (const [key, tile] of tiles) {
        if (tiles.size <= mostTiles + needed.size) return;
        if (needed.has(key)) continue;
        tile.bitmap.close();
        tiles.delete(key);
      }
    };
    stopped = () => {
      worker.terminate();
      reject(new FilmRefusal('Stopped; nothing was kept of this film.'));
    };
    worker.onerror = (event) => {
      reject(new FilmRefusal(`The film could not be read: ${event.message || 'its reader did not start'}.`));
    };
    worker.onmessage = ({ data }: MessageEvent<FilmTold>) => {
      switch (data.kind) {
        case 'progress':
          hear.progress(data.share, data.says);
          return;
        case 'facts':
          hear.facts(data.facts, data.identifying);
          return;
        case 'refused':
          worker.terminate();
          reject(new FilmRefusal(data.message));
          return;
        case 'picture':
          light = data.picture.light;
          resolve({
            picture: data.picture,
            get: (place) => tiles.get(tileName(place))?.bitmap,
            want: (places) => {
              wanted = places;
              askForMissing();
            },
            light: () => light,
            relight: (next) => {
              light = next;
              lit += 1;
              askForMissing();
            },
            measure: (what) =>
              new Promise((found) => {
                count += 1;
                answers.set(count, found);
                ask({ kind: 'measure', id: count, what });
              }),
            onChange: (listener) => {
              listeners.add(listener);
              return () => listeners.delete(listener);
            },
            close: () => {
              worker.terminate();
              for (const tile of tiles.values()) tile.bitmap.close();
              tiles.clear();
            },
          });
          return;
        case 'tile': {
          const key = tileName(data.place);
          asked.delete(key);
          tiles.get(key)?.bitmap.close();
          // Newest last, so that the oldest are forgotten first.
          tiles.delete(key);
          tiles.set(key, { bitmap: data.bitmap, lit: data.lit });
          forget();
          askForMissing();
          for (const listener of listeners) listener();
          return;
        }
        case 'measured':
          answers.get(data.id)?.(data.found);
          answers.delete(data.id);
      }
    };
  });
  ask({ kind: 'read', bytes, name }, [bytes]);
  return { held, stop: () => stopped?.() };
}
