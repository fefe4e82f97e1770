import { doubt, err, type Finding, fault, ok, type Result } from '@kerfline/geometry';
import type { Kit } from '../kits/kit.ts';
import type { Unit } from '../quantity.ts';
import { type Refusal, refusal } from '../refusal.ts';
import type { Side } from '../side.ts';
import { detents } from './choices.ts';
import { isSettable, type Link, linkUnit, type PinLink, type SeatLink } from './guide.ts';
import { rowsFor, seatLateralMm, seatLink, seatsFor } from './seats.ts';
import { opposite, type Sense } from './sense.ts';
import type { GuideSettings, Setting } from './setting.ts';
import { linkSense, unspoken } from './speak.ts';

/** A setting as a person says it: an amount in a unit, with a word for the direction. */
export interface SaidSetting {
  readonly guide: string;
  readonly link: string;
  readonly value: number;
  readonly unit: Unit;
  readonly sense?: Sense | undefined;
  readonly site?: string | undefined;
  readonly pivot?: 'middle' | 'medial' | 'lateral' | undefined;
  readonly keeps?: 'rear' | 'front' | undefined;
  /** Pins: the row of holes. */
  readonly row?: string | undefined;
  /** Seat: which one the block hangs on. */
  readonly seat?: string | undefined;
  /** Ring that flips: the face that is up. */
  readonly face?: string | undefined;
  readonly shimsMm?: Readonly<Record<string, number>> | undefined;
}

/** Two settings nearer than this are the same mark, mm or degrees. */
const sameMark = 1e-6;

const among = (value: number, values: readonly number[]): boolean => values.some((v) => Math.abs(v - value) < sameMark);

/** Values a link may stand at, as a list or as a range. */
function allowed(link: Link, kit: Kit): readonly number[] | readonly [string, number, number] {
  switch (link.kind) {
    case 'ring':
    case 'dial':
    case 'peg':
    case 'feeler':
      return link.values;
    case 'slide':
      if (link.sizes) return kit.components.femur.map((f) => f.size);
      return link.step === null ? ['range', ...link.range] : detents({ ...link, step: link.step });
    case 'swing':
      return link.step === null ? ['range', ...link.range] : detents({ ...link, step: link.step });
    case 'thread':
      return ['range', ...link.range];
    case 'pin':
      return link.rows.map((row) => row.offsetMm);
    case 'sized':
      return kit.components[link.component].map((c) => c.size);
    default:
      return [];
  }
}

const isRange = (values: ReturnType<typeof allowed>): values is readonly [string, number, number] =>
  typeof values[0] === 'string';

/**
 * Turns a said setting into one the walker understands, or says what the link allows. A part of the other side, a face that
 * must not be up, a seat of the other side and a row of another seat are refused whatever reason is given.
 *
 * @param side whose leg
 * @param seat the seat that the guide's block hangs on, if it has several
 */
export function checkSetting(kit: Kit, said: SaidSetting, side: Side, seat?: string): Result<Setting, Refusal> {
  const guide = kit.guides.find((g) => g.id === said.guide);
  if (!guide) {
    return err(
      refusal(
        'unknown-guide',
        `${said.guide} is no guide of this kit; it has ${kit.guides.map((g) => g.id).join(', ')}.`,
      ),
    );
  }
  if (guide.side !== undefined && guide.side !== side) {
    return err(
      refusal(
        'wrong-side',
        `${guide.says} is made for the ${guide.side.toUpperCase()} knee; this is a ${side.toUpperCase()} knee.`,
      ),
    );
  }
  const link = guide.links.find((l) => l.id === said.link);
  if (!link || !(isSettable(link) || link.kind === 'rest')) {
    const settable = guide.links.filter((l) => isSettable(l) || l.kind === 'rest').map((l) => l.id);
    return err(refusal('unknown-link', `${said.link} cannot be set on ${said.guide}; it has ${settable.join(', ')}.`));
  }
  const where = `${said.guide} ${said.link}`;
  if (said.unit !== linkUnit(link)) {
    return err(refusal('wrong-unit', `${where} is set in ${linkUnit(link)}; ${said.value} ${said.unit} was given.`));
  }
  if (!Number.isFinite(said.value)) return err(refusal('not-a-number', `${where} was given no number.`));
  const value = unspoken(link, said.value, said.sense);
  if (value === undefined) {
    const own = linkSense(link);
    return err(
      refusal(
        'wrong-sense',
        own
          ? `${where} goes ${own} or ${opposite(own)}; ${said.sense ?? 'no direction'} was given with ${said.value}.`
          : `${where} has no direction; ${said.sense} was given.`,
      ),
    );
  }
  if (link.kind === 'seat') return checkSeat(link, said, side, where);
  const values = allowed(link, kit);
  if (link.kind !== 'rest') {
    const fits = isRange(values)
      ? value >= values[1] - sameMark && value <= values[2] + sameMark
      : among(value, values as readonly number[]);
    if (!fits) {
      const list = isRange(values)
        ? `${values[1]} to ${values[2]} ${linkUnit(link)}`
        : `${(values as readonly number[]).join(', ')} ${linkUnit(link)}`;
      return err(refusal('off-detent', `${where} cannot stand at ${value} ${linkUnit(link)}; it allows ${list}.`));
    }
  }
  if (link.kind === 'pin') return checkRow(link, said, seat, where);
  if (link.kind === 'ring' && link.faces && said.face !== undefined && said.face !== link.faces[side]) {
    return err(
      refusal(
        'wrong-face',
        `${where}: on a ${side.toUpperCase()} knee the face ${link.faces[side]} must be up; ${said.face} was given. Turned over it cuts the other way.`,
      ),
    );
  }
  if (link.kind === 'feeler') {
    const site = said.site ?? link.touches[0]!;
    if (!link.touches.includes(site)) {
      return err(refusal('wrong-site', `${where} touches ${link.touches.join(' or ')}; ${site} was given.`));
    }
    return ok({ value, site });
  }
  if (link.kind === 'swing' && link.pivots) {
    const pivot = said.pivot ?? link.pivots[0]!;
    if (!link.pivots.includes(pivot)) {
      return err(refusal('wrong-pivot', `${where} pivots on ${link.pivots.join(', ')}; ${pivot} was given.`));
    }
    return ok({ value, pivot });
  }
  if (link.kind === 'slide' && link.sizes) {
    const keeps = said.keeps ?? link.sizes.keeps[0]!;
    if (!link.sizes.keeps.includes(keeps)) {
      return err(refusal('wrong-reference', `${where} keeps ${link.sizes.keeps.join(' or ')}; ${keeps} was given.`));
    }
    return ok({ value, keeps });
  }
  if (link.kind === 'rest') {
    const shims = said.shimsMm ?? {};
    for (const [site, mm] of Object.entries(shims)) {
      if (!link.sites.includes(site) || !among(mm, [0, ...(link.shimsMm ?? [])])) {
        return err(
          refusal(
            'wrong-shim',
            `${where} takes shims of ${(link.shimsMm ?? []).join(', ')} mm under ${link.sites.join(' or ')}; ${mm} mm under ${site} was given.`,
          ),
        );
      }
    }
    return ok({ value: 0, shimsMm: shims });
  }
  return ok({ value });
}

/** A part that is used turned over, read back without the face that is up: the reading does not say the side that it cuts to. */
export function faceNotRead(kit: Kit, said: SaidSetting, side: Side): readonly Finding[] {
  const guide = kit.guides.find((g) => g.id === said.guide);
  const link = guide?.links.find((l) => l.id === said.link);
  if (!guide || link?.kind !== 'ring' || !link.faces || said.face !== undefined) return [];
  return [
    doubt(
      'face-not-read',
      `${guide.says}: ${link.says} was read back without the face that is up. Which word can be read? It must be ${link.faces[side]}.`,
    ),
  ];
}

/** Pins in a row that does not belong to the seat the block hangs on, as the guides are set. */
export function rowsOfOtherSeats(kit: Kit, set: GuideSettings): readonly Finding[] {
  return kit.guides.flatMap((guide) => {
    const seat = set[guide.id]?.[seatLink(guide)?.id ?? '']?.seat;
    return guide.links.flatMap((link): readonly Finding[] => {
      const row = link.kind === 'pin' && link.rows.find((r) => r.id === set[guide.id]?.[link.id]?.row);
      if (!row || seat === undefined || row.forSeat === undefined || row.forSeat === seat) return [];
      return [
        fault(
          'wrong-row',
          `${guide.says}: ${link.says} in row ${row.says ?? row.id}, which belongs to another seat than ${seat}, on which the block hangs. Choose the row again.`,
        ),
      ];
    });
  });
}

function checkSeat(link: SeatLink, said: SaidSetting, side: Side, where: string): Result<Setting, Refusal> {
  const taken = link.seats.find((s) => s.id === said.seat);
  const own = seatsFor(link, side);
  const list = own.map((s) => s.id).join(', ');
  if (!taken) {
    return err(
      refusal(
        'unknown-seat',
        `${where} has no seat ${said.seat ?? '(none was named)'}; on this knee it takes ${list}.`,
      ),
    );
  }
  if (!own.includes(taken)) {
    return err(
      refusal(
        'wrong-side',
        `${where}: seat ${taken.says} is for the ${taken.forSide!.toUpperCase()} knee; this is a ${side.toUpperCase()} knee, which takes ${list}.`,
      ),
    );
  }
  return ok({ value: seatLateralMm(taken, side), seat: taken.id });
}

function checkRow(link: PinLink, said: SaidSetting, seat: string | undefined, where: string): Result<Setting, Refusal> {
  const own = rowsFor(link, seat);
  const row =
    said.row === undefined ? own.find((r) => r.offsetMm === said.value) : link.rows.find((r) => r.id === said.row);
  const list = own.map((r) => `${r.id} (${r.offsetMm} mm)`).join(', ');
  if (!row)
    return err(refusal('unknown-row', `${where} has no row ${said.row ?? `at ${said.value} mm`}; it has ${list}.`));
  if (!own.includes(row)) {
    return err(
      refusal(
        'wrong-row',
        `${where}: row ${row.id} belongs to seat ${row.forSeat}, and the block hangs on ${seat}; that seat has ${list}.`,
      ),
    );
  }
  if (row.offsetMm !== said.value) {
    return err(
      refusal('off-detent', `${where}: row ${row.id} lies at ${row.offsetMm} mm; ${said.value} mm was given.`),
    );
  }
  return ok({ value: row.offsetMm, row: row.id });
}
