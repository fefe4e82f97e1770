import type { ComponentFamily } from '../kits/kit.ts';
import { type DrillLink, type Guide, sizedPart } from './guide.ts';
import type { Settings } from './setting.ts';

/** How deep and how thick a drill or punch goes, mm. */
export interface BoreSize {
  readonly depthMm: number;
  readonly diameterMm: number;
  /** Half the span of a keel's wings where it enters; only of a keel. */
  readonly wingMm?: number;
}

/** What a drill makes for the size of the part that its guide has taken; undefined where the kit does not say. */
export function boreSize(
  guide: Guide,
  link: DrillLink,
  settings: Settings,
  { tray, femur, button }: ComponentFamily,
): BoreSize | undefined {
  const part = sizedPart(guide);
  if (!part) return undefined;
  const size = settings[part.id]?.value;
  if (link.makes === 'pegs') {
    const pegs =
      part.component === 'femur' ? femur.find((f) => f.size === size)?.pegs : button.find((b) => b.size === size)?.peg;
    return pegs && { depthMm: pegs.depthMm, diameterMm: pegs.diameterMm };
  }
  const taken = tray.find((t) => t.size === size);
  if (!taken || part.component !== 'tray') return undefined;
  const hole = { depthMm: taken.keelMm, diameterMm: taken.drillMm };
  if (link.makes === 'keelHole') return hole;
  return taken.wingMm === undefined ? undefined : { ...hole, wingMm: taken.wingMm };
}

/** A drill as it is said: how far it goes, and how thick it is. */
export function boreText(link: DrillLink, size: BoreSize | undefined): string {
  if (!size) return `${link.says} to its stop`;
  const thick = size.wingMm === undefined ? `${size.diameterMm} mm thick` : `wings ${2 * size.wingMm} mm across`;
  return `${link.says} to its stop: ${size.depthMm} mm deep, ${thick}`;
}
