import type { Unit } from '../quantity.ts';
import { type CoreLink, type Guide, type Link, linkUnit } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { slopOf } from './links/core.ts';

/** One source of error of a guide: its key in `Errors`, and its spread in the link's unit (mm or degrees). */
export interface LinkError {
  readonly key: string;
  readonly sd: number;
  readonly unit: Unit;
}

/** @numerical The variance of an even spread of width 1 is 1 / 12. */
const evenSpread = 12;
/** Play between the two ends of a backlash, as a standard deviation: a uniform spread. */
const uniform = (width: number): number => width / Math.sqrt(evenSpread);

/**
 * Lean of a rod in its canal, degrees: what the kit says of rods in general; where the leg's canal is known to be wider than
 * the rod, its play as well, evenly between touching one wall and the other.
 */
function coreSd(link: CoreLink, leg: LegView | undefined): number {
  const width = `${link.canal}Width`;
  const own = Math.hypot(link.sd, uniform(link.backlash ?? 0), link.lockJump?.deg ?? 0);
  if (!leg?.has(width)) return own;
  const slop = (slopOf(leg.number(width), link.rodMm, link.engagedMm) * 180) / Math.PI;
  return Math.hypot(own, uniform(2 * slop));
}

function ownErrors(link: Link, leg: LegView | undefined): readonly LinkError[] {
  // The jump of a lock moves what it locks; that of pins is in their own lines.
  const jump =
    link.kind === 'pin' ? 0 : linkUnit(link) === 'deg' ? (link.lockJump?.deg ?? 0) : (link.lockJump?.mm ?? 0);
  const sd = Math.hypot(link.sd, uniform(link.backlash ?? 0), jump);
  switch (link.kind) {
    case 'mast':
      return [
        { key: `${link.id}.lateral`, sd, unit: 'mm' },
        { key: `${link.id}.anterior`, sd, unit: 'mm' },
      ];
    case 'core':
      return [
        { key: `${link.id}.coronal`, sd: coreSd(link, leg), unit: 'deg' },
        { key: `${link.id}.sagittal`, sd: coreSd(link, leg), unit: 'deg' },
        { key: `${link.id}.entryLateral`, sd: link.entrySdMm ?? 0, unit: 'mm' },
        { key: `${link.id}.entryAnterior`, sd: link.entrySdMm ?? 0, unit: 'mm' },
      ];
    case 'slit':
    case 'openFace':
      return [
        { key: link.id, sd, unit: 'mm' },
        { key: `${link.id}.coronal`, sd: link.saw.coronalDeg, unit: 'deg' },
        { key: `${link.id}.sagittal`, sd: link.saw.sagittalDeg, unit: 'deg' },
      ];
    case 'frame':
      return [
        { key: `${link.id}.lateral`, sd, unit: 'mm' },
        { key: `${link.id}.anterior`, sd, unit: 'mm' },
      ];
    case 'sight':
    case 'sized':
    case 'drill':
      return [];
    case 'slide':
      // The slide that sets a size only chooses a component; its error is that of the pins.
      return link.sizes ? [] : [{ key: link.id, sd, unit: 'mm' }];
    default:
      return [{ key: link.id, sd, unit: linkUnit(link) }];
  }
}

const jumps = (link: Link): readonly LinkError[] =>
  link.lockJump && link.kind === 'pin'
    ? [
        { key: `${link.id}.mm`, sd: link.lockJump.mm, unit: 'mm' },
        { key: `${link.id}.front`, sd: link.lockJump.mm, unit: 'mm' },
        { key: `${link.id}.coronal`, sd: link.lockJump.deg, unit: 'deg' },
        { key: `${link.id}.sagittal`, sd: link.lockJump.deg, unit: 'deg' },
        { key: `${link.id}.axial`, sd: link.lockJump.deg, unit: 'deg' },
      ]
    : [];

/**
 * Every source of error of a guide, also those whose spread the kit gives as none; the kerf is not among them, since all cuts
 * share it.
 *
 * @param leg the bone it is used on, if the play of a rod in its canal is to count
 */
export const linkErrors = (guide: Guide, leg?: LegView): readonly LinkError[] =>
  guide.links.flatMap((link) => [...ownErrors(link, leg), ...jumps(link)]);

/** Spread of the kerf that all slits of a guide share, mm. */
export const kerfSd = (guide: Guide): number =>
  Math.max(0, ...guide.links.map((link) => (link.kind === 'slit' || link.kind === 'openFace' ? link.kerfSdMm : 0)));
