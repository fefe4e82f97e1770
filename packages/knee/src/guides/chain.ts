import type { Guide, Link } from './guide.ts';
import { hangsOn } from './needs.ts';

/** Links that hold a link, the nearest first; a loop ends where it began. */
export function holders(links: readonly Link[], link: Link): readonly string[] {
  const held: string[] = [];
  let on = link.on;
  while (on !== undefined && !held.includes(on)) {
    held.push(on);
    const parent = on;
    on = links.find((l) => l.id === parent)?.on;
  }
  return held;
}

/** Whether a part comes to rest against bone, so that whatever shifted it before is taken up. */
const takesUp = (link: Link): boolean =>
  (link.kind === 'rest' && link.mode === 'first') || (link.kind === 'feeler' && link.touches.every(hangsOn));

/** Whether a shift of a link is lost, since a plate or a hanging feeler that it holds then moves until it touches. */
export const isTakenUp = (guide: Guide, link: Link): boolean =>
  guide.links.some((other) => takesUp(other) && holders(guide.links, other).includes(link.id));
