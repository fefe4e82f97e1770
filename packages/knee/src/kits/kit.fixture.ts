import { expectOk } from '@kerfline/geometry';
import type { Guide, Link } from '../guides/guide.ts';
import { checkKit } from './check-kit.ts';
import type { Kit } from './kit.ts';

/** A kit from the text of its file; a faulty one throws. */
export const kitFrom = (text: string): Kit => expectOk(checkKit(JSON.parse(text)), 'kit');

export function guideOf(kit: Kit, id: string): Guide {
  const guide = kit.guides.find((g) => g.id === id);
  if (!guide) throw new Error(`no guide ${id}`);
  return guide;
}

export function linkOf(guide: Guide, id: string): Link {
  const link = guide.links.find((l) => l.id === id);
  if (!link) throw new Error(`no link ${id} on ${guide.id}`);
  return link;
}

/** The same guide with some fields of its links replaced, by link. */
export const withLinks = (guide: Guide, changes: Readonly<Record<string, object>>): Guide => ({
  ...guide,
  links: guide.links.map((link) => ({ ...link, ...changes[link.id] }) as Link),
});

/** The same kit with one guide in another's place. */
export const withGuide = (kit: Kit, guide: Guide): Kit => ({
  ...kit,
  guides: kit.guides.map((g) => (g.id === guide.id ? guide : g)),
});
