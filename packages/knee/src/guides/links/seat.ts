import { along } from '@kerfline/geometry';
import type { SeatLink } from '../guide.ts';
import { type Placement, settingOf, type Walk } from '../placement.ts';
import { seatLateralMm } from '../seats.ts';

/** A block beside its mast: moved side to side within the plane of the cut, so that no angle changes. */
export function placeSeat(link: SeatLink, at: Placement, walk: Walk): Placement {
  const { seat } = settingOf(walk, link.id);
  const taken = link.seats.find((s) => s.id === seat);
  if (!taken) throw new Error(`${walk.guide.id}: ${link.id} has no seat ${seat}`);
  const metal = { ...taken, toPatientRightMm: taken.toPatientRightMm + (link.bias ?? 0) };
  const lateral = seatLateralMm(metal, walk.leg.side) + (walk.errors[link.id] ?? 0);
  return { ...at, origin: along(at.origin, at.axes[0], lateral) };
}
