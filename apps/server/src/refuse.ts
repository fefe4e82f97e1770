import type { StoreFault } from '@kerfline/cases';
import { HTTPException } from 'hono/http-exception';

/** Ends a request with what was wrong with it, in a sentence. */
export const refuse = (status: 400 | 404 | 409 | 411 | 413 | 415 | 422, message: string, more: object = {}): never => {
  throw new HTTPException(status, {
    res: new Response(JSON.stringify({ message, ...more }), {
      status,
      headers: { 'content-type': 'application/json' },
    }),
  });
};

const statusOf: Readonly<Record<StoreFault['kind'], 404 | 409 | 413 | 422>> = {
  'no-such-case': 404,
  exists: 409,
  stale: 409,
  unreadable: 422,
  'too-large': 413,
};

/** Ends a request with what the store would not do. */
export const refuseFor = (fault: StoreFault): never =>
  refuse(statusOf[fault.kind], fault.message, 'head' in fault ? { head: fault.head } : {});

export const contentType = (header: string | undefined): string | undefined =>
  header?.split(';')[0]?.trim().toLowerCase();
