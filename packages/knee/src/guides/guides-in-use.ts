import { type Finding, fault } from '@kerfline/geometry';
import type { Kit } from '../kits/kit.ts';
import { type Refusal, refusal } from '../refusal.ts';
import { otherSide, type Side } from '../side.ts';
import type { Guide } from './guide.ts';
import { seatLink, seatsFor } from './seats.ts';

/** A guide of the kit that is not for this operation: of the other side, or another does its work. */
export interface LeftOut {
  readonly guide: string;
  readonly why: 'otherSide' | 'another';
  /** The guide that is used in its place. */
  readonly by?: string;
}

/** The first of a group of guides that do the same work. */
const groupOf = (guide: Guide): string => guide.insteadOf ?? guide.id;

/** Whether a guide can be used on a side: it is not made for the other, and its block has a seat there. */
function fitsSide(guide: Guide, side: Side): boolean {
  const seat = seatLink(guide);
  return (guide.side === undefined || guide.side === side) && (seat === undefined || seatsFor(seat, side).length > 0);
}

/** What a guide is for: the cuts it makes or fixes the direction of, and the holes it makes. */
const workOf = (guide: Guide): string =>
  [
    ...[...guide.outputs, ...(guide.aligns ?? [])].map((o) => o.cut),
    ...guide.links.flatMap((link) => (link.kind === 'drill' ? [link.makes] : [])),
  ].join(' ');

/**
 * The guides of a kit that are used on a leg, in order. Of several for the same work the one last asked for, else the first;
 * one made for the other side never, and a fault if nothing else does its work.
 */
export function guidesInUse(
  kit: Kit,
  side: Side,
  asked: readonly string[],
): { readonly used: readonly Guide[]; readonly leftOut: readonly LeftOut[]; readonly faults: readonly Finding[] } {
  const fits = (guide: Guide): boolean => fitsSide(guide, side);
  const used: Guide[] = [];
  const leftOut: LeftOut[] = [];
  const faults: Finding[] = [];
  for (const guide of kit.guides) {
    const group = kit.guides.filter((other) => groupOf(other) === groupOf(guide) && fits(other));
    if (!fits(guide)) {
      leftOut.push({ guide: guide.id, why: 'otherSide' });
      const another = kit.guides.some(
        (other) =>
          other !== guide &&
          fits(other) &&
          other.bone === guide.bone &&
          workOf(guide) !== '' &&
          workOf(other) === workOf(guide),
      );
      if (!another) {
        faults.push(
          fault(
            'wrong-side-part',
            `${guide.says} is made for the ${otherSide(side).toUpperCase()} knee, this is a ${side.toUpperCase()} knee, and the kit has no other for its work.`,
          ),
        );
      }
      continue;
    }
    const wanted = asked.filter((id) => group.some((other) => other.id === id)).at(-1) ?? group[0]!.id;
    if (guide.id === wanted) used.push(guide);
    else leftOut.push({ guide: guide.id, why: 'another', by: wanted });
  }
  return { used, leftOut, faults };
}

/** Whether what a guide stands on comes from the guides used before it. */
export function standsOn({ mountsOn }: Guide, before: readonly Guide[]): boolean {
  const makes = (cut: string): boolean => before.some((guide) => guide.outputs.some((o) => o.cut === cut));
  if (typeof mountsOn === 'string') return true;
  if ('cut' in mountsOn) return makes(mountsOn.cut);
  return (
    before.some((guide) => guide.id === mountsOn.pinsOf) && (mountsOn.flushOn === undefined || makes(mountsOn.flushOn))
  );
}

/** Why a guide may not be asked for, or undefined if it may. */
export function checkUse(kit: Kit, id: string, side: Side): Refusal | undefined {
  const guide = kit.guides.find((g) => g.id === id);
  const choices = kit.guides.filter((g) => kit.guides.some((other) => other !== g && groupOf(other) === groupOf(g)));
  if (!guide || !choices.includes(guide)) {
    return refusal(
      'no-choice',
      `${id} is not one of several guides for the same work; these are: ${choices.map((g) => g.id).join(', ') || 'none in this kit'}.`,
    );
  }
  return !fitsSide(guide, side)
    ? refusal(
        'wrong-side',
        `${guide.says} is made for the ${otherSide(side).toUpperCase()} knee; this is a ${side.toUpperCase()} knee.`,
      )
    : undefined;
}
