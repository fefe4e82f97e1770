import {
  blobsNamed,
  type CaseFile,
  type CaseStore,
  checkStatement,
  filmSalt,
  filmStatement,
  headOf,
  replay,
  type Stamp,
  type TakenFilm,
} from '@kerfline/cases';
import type { Result } from '@kerfline/geometry';
import { filmViews, postures, type Refusal } from '@kerfline/knee';
import type { Hono } from 'hono';
import { z } from 'zod';
import { contentType, refuse, refuseFor } from './refuse.ts';

/** Reads a film and takes out what would identify a person. */
export type TakeFilm = (bytes: Uint8Array, fileName: string, salt: string) => Promise<Result<TakenFilm, Refusal>>;

/** @numerical The largest film that is taken, bytes: a whole leg at 0.1 mm and 16 bits has about 100 million. */
const mostFilmBytes = 220 * 1024 * 1024;

/** @numerical How often a film is added again after somebody else added something meanwhile. */
const tries = 5;

const said = z.strictObject({
  fileName: z.string().min(1).max(260),
  view: z.enum(filmViews),
  side: z.enum(['left', 'right']),
  posture: z.enum(postures),
  letter: z.enum(['R', 'L', 'none', 'notAsked']),
  mirrored: z.enum(['true', 'false']).transform((text) => text === 'true'),
});

const tooLarge = (): never => refuse(413, `A film of more than ${mostFilmBytes / 1024 / 1024} MB is not taken.`);

/** The body of a request, read piece by piece and given up as soon as it is too large. */
async function bodyBytes(request: Request): Promise<Uint8Array> {
  if (Number(request.headers.get('content-length') ?? 0) > mostFilmBytes) return tooLarge();
  const pieces: Uint8Array[] = [];
  let length = 0;
  const reader = request.body?.getReader();
  for (;;) {
    const piece = await reader?.read();
    if (!piece || piece.done) break;
    length += piece.value.length;
    if (length > mostFilmBytes) {
      await reader?.cancel();
      return tooLarge();
    }
    pieces.push(piece.value);
  }
  const bytes = new Uint8Array(length);
  let at = 0;
  for (const piece of pieces) {
    bytes.set(piece, at);
    at += piece.length;
  }
  return bytes;
}

/** Addresses of the films of a case: bringing one in, and its file. */
export function filmRoutes(
  app: Hono,
  parts: {
    readonly store: CaseStore;
    readonly stamp: () => Stamp;
    readonly takeFilm: TakeFilm;
    readonly loaded: (id: string) => Promise<CaseFile>;
  },
): void {
  app.post('/api/cases/:id/films', async (c) => {
    const id = c.req.param('id');
    if (contentType(c.req.header('content-type')) !== 'application/octet-stream') {
      return refuse(415, 'A film is sent as application/octet-stream.');
    }
    const query = said.safeParse(c.req.query());
    if (!query.success) {
      const why = query.error.issues.map((i) => `${i.path.join('.') || 'it'}: ${i.message}`).join('; ');
      return refuse(400, `A film needs fileName, view, side, posture, letter and mirrored. ${why}`);
    }
    // What can be refused without the file is refused before it is sent.
    const { ledger } = await parts.loaded(id);
    const { fileName, ...shown } = query.data;
    const bytes = await bodyBytes(c.req.raw);
    if (bytes.length === 0) return refuse(422, `${fileName} is empty.`);
    const taken = await parts.takeFilm(bytes, fileName, filmSalt(ledger));
    if (!taken.ok) return refuse(422, taken.error.message);
    const film = taken.value;
    const statement = filmStatement(film, shown);
    const added = new Map([[film.blob, film.bytes]]);
    for (let k = 1; ; k += 1) {
      const file = await parts.loaded(id);
      const checked = checkStatement(file.ledger, new Map([...file.blobs, ...added]), statement);
      if (!checked.ok) return refuse(422, checked.error.message);
      const grown = await parts.store.append(id, headOf(file.ledger), [statement], parts.stamp(), added);
      if (grown.ok) {
        const entry = grown.value.entries.at(-1)!;
        return c.json({
          view: replay(grown.value),
          film: { id: entry.id, blob: film.blob, ...film.facts },
          removed: film.removed,
          findings: film.findings,
        });
      }
      if (grown.error.kind !== 'stale' || k === tries) return refuseFor(grown.error);
    }
  });

  app.get('/api/cases/:id/blobs/:sha', async (c) => {
    const file = await parts.loaded(c.req.param('id'));
    const sha = c.req.param('sha');
    const bytes = blobsNamed(file.ledger).includes(sha) ? file.blobs.get(sha) : undefined;
    if (!bytes) return refuse(404, `This case names no file ${sha.slice(0, 12)}.`);
    return c.body(bytes as Uint8Array<ArrayBuffer>, 200, {
      'content-type': 'application/octet-stream',
      'content-disposition': 'attachment',
      'cache-control': 'no-store',
    });
  });
}
