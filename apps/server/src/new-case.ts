import {
  appended,
  type CaseFile,
  type CaseStore,
  checkStatement,
  type Ledger,
  replay,
  type Stamp,
  type Statement,
  sha256Of,
} from '@kerfline/cases';
import type { Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { z } from 'zod';
import type { KitShelf } from './kit-shelf.ts';
import { contentType, refuse, refuseFor } from './refuse.ts';

const asked = z.strictObject({
  label: z.string().trim().min(1, 'a name for the case is needed').max(200),
  side: z.enum(['left', 'right']),
  kit: z.string().min(1),
  aim: z.string().min(1),
});

const notTooLarge = bodyLimit({
  maxSize: 16 * 1024,
  onError: () => refuse(413, 'A case is begun with its label, side, kit and aim; more is not taken.'),
});

/** Addresses under which a case is begun: the kits there are, and the case itself. */
export function newCaseRoutes(
  app: Hono,
  parts: {
    readonly store: CaseStore;
    readonly stamp: () => Stamp;
    readonly kits: KitShelf;
    readonly newId: () => string;
  },
): void {
  app.get('/api/kits', async (c) => c.json({ kits: await parts.kits.names() }));

  app.post('/api/cases', notTooLarge, async (c) => {
    if (contentType(c.req.header('content-type')) !== 'application/json') {
      return refuse(415, 'A case is begun with application/json.');
    }
    const raw: unknown = await c.req.json().catch(() => refuse(400, 'The body is not JSON.'));
    const body = asked.safeParse(raw);
    if (!body.success) {
      const why = body.error.issues.map((i) => `${i.path.join('.') || 'it'}: ${i.message}`).join('; ');
      return refuse(400, `The body is {"label", "side", "kit", "aim"}. ${why}`);
    }
    const { label, side, aim } = body.data;
    const kit = await parts.kits.kit(body.data.kit);
    if (!kit.ok) return refuse(422, kit.error.map((r) => r.message).join(' '));
    const { bytes } = kit.value;
    const blob = sha256Of(bytes);
    const statements: readonly Statement[] = [
      { kind: 'created', body: { side, label } },
      { kind: 'kit', body: { name: kit.value.kit.name, version: kit.value.kit.version, blob } },
      { kind: 'aim', body: { philosophy: aim } },
    ];
    const blobs = new Map([[blob, bytes]]);
    let ledger: Ledger = { case: parts.newId(), entries: [] };
    for (const statement of statements) {
      const checked = checkStatement(ledger, blobs, statement);
      if (!checked.ok) return refuse(422, checked.error.message);
      ledger = appended(ledger, statement, parts.stamp());
    }
    const file: CaseFile = { ledger, blobs };
    const begun = await parts.store.begin(file);
    if (!begun.ok) return refuseFor(begun.error);
    return c.json({ id: ledger.case, view: replay(begun.value) }, 201);
  });
}
