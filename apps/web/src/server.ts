import type { CaseView, FilmFacts, Statement } from '@kerfline/cases';
import type { FilmView, Fits, Kit, Leg, Posture, Side } from '@kerfline/knee';
import type { BonePictures } from '@kerfline/sheets';

export interface ListedCase {
  readonly id: string;
  readonly label?: string;
  readonly side?: 'left' | 'right';
  readonly unreadable?: string;
}

/** A case's leg as the server measured it, with everything that is drawn of it. */
export interface CaseLegAnswer {
  readonly leg: Leg;
  readonly kit: Kit;
  readonly pictures: BonePictures;
  readonly hasBones: boolean;
  /** Of each film of the case what its file says. */
  readonly films?: readonly FilmOfCase[];
}

/** What the file of a film says, with the file's SHA-256. */
export type FilmOfCase = FilmFacts & { readonly blob: string };

/** Why a case has no leg yet, with what is known of its films. */
export interface NoLegAnswer {
  readonly kit?: Kit | undefined;
  readonly messages: readonly string[];
  readonly films: readonly FilmOfCase[];
}

/** What the server would not do, in its own words. */
export class ServerRefusal extends Error {
  readonly status: number;
  /** The whole answer. */
  readonly body: unknown;

  constructor(status: number, message: string, body?: unknown) {
    super(message);
    this.status = status;
    this.body = body;
  }
}

async function asked<T>(path: string, init?: RequestInit): Promise<T> {
  let answer: Response;
  try {
    answer = await fetch(path, init);
  } catch {
    throw new ServerRefusal(0, 'The server does not answer. Is it still running?');
  }
  const body = (await answer.json().catch(() => ({ message: 'The server gave no readable answer.' }))) as
    | T
    | { readonly message?: string; readonly messages?: readonly string[] };
  if (!answer.ok) {
    const said = body as { readonly message?: string; readonly messages?: readonly string[] };
    throw new ServerRefusal(
      answer.status,
      said.message ?? said.messages?.join(' ') ?? `The server refused (${answer.status}).`,
      body,
    );
  }
  return body as T;
}

export const listCases = (): Promise<{ readonly cases: readonly ListedCase[] }> => asked('/api/cases');

export const fetchView = (id: string): Promise<{ readonly view: CaseView }> =>
  asked(`/api/cases/${encodeURIComponent(id)}`);

/** The leg of a case, or why it has none yet. */
export async function fetchLeg(id: string): Promise<CaseLegAnswer | NoLegAnswer> {
  try {
    return await asked<CaseLegAnswer>(`/api/cases/${encodeURIComponent(id)}/leg`);
  } catch (e) {
    const said = e instanceof ServerRefusal && e.status === 422 ? (e.body as Partial<NoLegAnswer>) : undefined;
    // A case with bones that cannot be measured is refused as before; one that may still be marked is open.
    if (said?.messages && said.films) return { kit: said.kit, messages: said.messages, films: said.films };
    throw e;
  }
}

/** Names of the kits that a case can be begun with. */
export const listKits = (): Promise<{ readonly kits: readonly string[] }> => asked('/api/kits');

/** Begins a case and says where it is. */
export const beginCase = (begun: {
  readonly side: Side;
  readonly label: string;
  readonly kit: string;
  readonly aim: string;
}): Promise<{ readonly id: string }> =>
  asked('/api/cases', {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(begun),
  });

/** What a person says of a film when it is added. */
export interface SaidOfFilm {
  readonly fileName: string;
  readonly view: FilmView;
  readonly side: Side;
  readonly posture: Posture;
  readonly letter: 'R' | 'L' | 'none' | 'notAsked';
  readonly mirrored: boolean;
}

/** Gives a film to a case. */
export const addFilm = (
  id: string,
  said: SaidOfFilm,
  bytes: Blob,
): Promise<{ readonly view: CaseView; readonly film: FilmOfCase & { readonly id: string } }> => {
  const words = new URLSearchParams({ ...said, mirrored: String(said.mirrored) });
  return asked(`/api/cases/${encodeURIComponent(id)}/films?${words}`, {
    method: 'POST',
    headers: { 'content-type': 'application/octet-stream' },
    body: bytes,
  });
};

/** The bytes of a film as the case keeps it. */
export async function fetchBlob(id: string, sha: string): Promise<ArrayBuffer> {
  const answer = await fetch(`/api/cases/${encodeURIComponent(id)}/blobs/${sha}`);
  if (!answer.ok) throw new ServerRefusal(answer.status, 'The film could not be fetched.');
  return answer.arrayBuffer();
}

/** How the sizes of a case match its bones, as it is recorded at `head`. */
export const fetchFits = (id: string): Promise<{ readonly fits: Fits; readonly head: string }> =>
  asked(`/api/cases/${encodeURIComponent(id)}/fits`);

/** Adds statements to a case, if it is still as the page knows it. */
export const addStatements = (
  id: string,
  head: string,
  statements: readonly Statement[],
): Promise<{ readonly view: CaseView }> =>
  asked(`/api/cases/${encodeURIComponent(id)}/entries`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ head, statements }),
  });

/** Positions and triangles of a bone in its clinical frame. */
export async function fetchSolid(
  id: string,
  bone: 'femur' | 'tibia',
): Promise<{ readonly positions: Float32Array; readonly triangles: Uint32Array }> {
  const answer = await fetch(`/api/cases/${encodeURIComponent(id)}/solid/${bone}`);
  if (!answer.ok) throw new ServerRefusal(answer.status, 'The bones could not be fetched.');
  const bytes = await answer.arrayBuffer();
  const [positions, triangles] = new Uint32Array(bytes, 0, 2);
  return {
    positions: new Float32Array(bytes, 8, positions!),
    triangles: new Uint32Array(bytes, 8 + 4 * positions!, triangles!),
  };
}
