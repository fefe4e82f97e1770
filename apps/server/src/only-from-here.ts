import type { MiddlewareHandler } from 'hono';

/** Names under which a page of this machine may ask; another name means that some other site steers the browser here. */
const ownNames = new Set(['localhost', '127.0.0.1', '[::1]']);

const nameOf = (host: string): string => host.replace(/:\d+$/, '');

/**
 * Lets only pages of this machine in, and tells the browser to load nothing from elsewhere.
 */
export const onlyFromHere: MiddlewareHandler = async (c, next) => {
  const host = c.req.header('host') ?? '';
  const origin = c.req.header('origin');
  const foreign = origin !== undefined && !ownNames.has(nameOf(origin.replace(/^https?:\/\//, '')));
  if (!ownNames.has(nameOf(host)) || foreign) {
    return c.json({ message: 'This server answers only pages of its own machine.' }, 403);
  }
  await next();
  c.header(
    'Content-Security-Policy',
    // Compiled decoders of films are this site's own files too; `eval` stays shut.
    "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'",
  );
  c.header('X-Content-Type-Options', 'nosniff');
  c.header('Referrer-Policy', 'no-referrer');
  return undefined;
};
