import type { CaseView, Statement } from '@kerfline/cases';
import type { Fits, Kit, Leg } from '@kerfline/knee';
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
}

/** What the server would not do, in its own words. */
export class ServerRefusal extends Error {
  readonly status: number;

  constructor(status: number, message: string) {
    super(message);
    this.status = status;
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
    );
  }
  return body as T;
}

export const listCases = (): Promise<{ readonly cases: readonly ListedCase[] }> => asked('/api/cases');

export const fetchView = (id: string): Promise<{ readonly view: CaseView }> =>
  asked(`/api/cases/${encodeURIComponent(id)}`);

export const fetchLeg = (id: string): Promise<CaseLegAnswer> => asked(`/api/cases/${encodeURIComponent(id)}/leg`);

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
