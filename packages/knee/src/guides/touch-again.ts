import { doubt, type Finding } from '@kerfline/geometry';
import type { Guide, Link } from './guide.ts';
import { hangsOn } from './needs.ts';

/** Links that set a depth once everything that holds them has its angle. */
const setsDepth = (link: Link): boolean =>
  link.kind === 'dial' || link.kind === 'thread' || (link.kind === 'feeler' && link.touches.every(hangsOn));

/** Links that lean or move the block when they are set. */
const moves = (link: Link): boolean => link.kind === 'ring' || link.kind === 'slide' || link.kind === 'swing';

/**
 * Depths that were touched before an angle under them was set anew: the angle has moved them.
 *
 * @param lastSet when each link was last chosen or read back, by link: any growing count; a link that never was is absent
 * @param readBack links that a hand has confirmed
 */
export function touchAgain(
  guide: Guide,
  lastSet: (link: string) => number | undefined,
  readBack: (link: string) => boolean,
): readonly Finding[] {
  return guide.links.flatMap((depth): readonly Finding[] => {
    const touched = lastSet(depth.id);
    if (!setsDepth(depth) || !readBack(depth.id) || touched === undefined) return [];
    const later: string[] = [];
    for (let on = depth.on; on !== undefined; ) {
      const id = on;
      const holder = guide.links.find((link) => link.id === id);
      if (holder && moves(holder) && (lastSet(id) ?? -1) > touched) later.push(holder.says);
      on = holder?.on;
    }
    return later.length > 0
      ? [
          doubt(
            'touch-again',
            `${guide.says}: ${later.join(' and ')} ${later.length > 1 ? 'were' : 'was'} set after ${depth.says} was touched. An angle moves the depth: touch again.`,
          ),
        ]
      : [];
  });
}
