import type { Side } from '../side.ts';
import type { Guide, PinLink, PinRow, Seat, SeatLink } from './guide.ts';

/** How far lateral of the mast a seat puts the block on a leg, mm: what is fixed in metal does not mirror with the leg. */
export const seatLateralMm = (seat: Seat, side: Side): number =>
  side === 'right' ? seat.toPatientRightMm : 0 - seat.toPatientRightMm;

/** Seats that are made for a side. */
export const seatsFor = (link: SeatLink, side: Side): readonly Seat[] =>
  link.seats.filter((seat) => seat.forSide === undefined || seat.forSide === side);

/** Rows of holes that belong to a seat. */
export const rowsFor = (link: PinLink, seat: string | undefined): readonly PinRow[] =>
  link.rows.filter((row) => row.forSeat === undefined || row.forSeat === seat);

/** The seats of a guide, if its block can hang on several. */
export const seatLink = (guide: Guide): SeatLink | undefined => guide.links.find((link) => link.kind === 'seat');
