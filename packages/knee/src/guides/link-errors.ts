import type { Unit } from '../quantity.ts';
import { type Guide, type Link, linkUnit } from './guide.ts';

/** One source of error of a guide: its key in `Errors`, and its spread in the link's unit (mm or degrees). */
export interface LinkError {
  readonly key: string;
  readonly sd: number;
  readonly unit: Unit;
}

/** Play between the two ends of a backlash, as a standard deviation: a uniform spread. */
const uniform = (width: number): number => width / Math.sqrt(12);

function ownErrors(link: Link): readonly LinkError[] {
  const sd = Math.hypot(link.sd, uniform(link.backlash ?? 0));
  switch (link.kind) {
    case 'mast':
      return [
        { key: `${link.id}.lateral`, sd, unit: 'mm' },
        { key: `${link.id}.anterior`, sd, unit: 'mm' },
      ];
    case 'core':
      return [
        { key: `${link.id}.coronal`, sd, unit: 'deg' },
        { key: `${link.id}.sagittal`, sd, unit: 'deg' },
      ];
    case 'slit':
    case 'openFace':
      return [
        { key: `${link.id}.coronal`, sd: link.saw.coronalDeg, unit: 'deg' },
        { key: `${link.id}.sagittal`, sd: link.saw.sagittalDeg, unit: 'deg' },
      ];
    case 'frame':
    case 'sight':
    case 'pin':
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
        { key: `${link.id}.coronal`, sd: link.lockJump.deg, unit: 'deg' },
        { key: `${link.id}.sagittal`, sd: link.lockJump.deg, unit: 'deg' },
      ]
    : [];

/** Every source of error of a guide that has a spread; the kerf is not among them, since all cuts share it. */
export const linkErrors = (guide: Guide): readonly LinkError[] =>
  guide.links.flatMap((link) => [...ownErrors(link), ...jumps(link)]).filter((error) => error.sd > 0);

/** Spread of the kerf that all slits of a guide share, mm. */
export const kerfSd = (guide: Guide): number =>
  Math.max(0, ...guide.links.map((link) => (link.kind === 'slit' || link.kind === 'openFace' ? link.kerfSdMm : 0)));
