import type { Side } from '../side.ts';
import { type Link, linkUnit } from './guide.ts';
import { planDefaults } from './plan-defaults.ts';
import { opposite, type Sense, senseSeen, senseWord } from './sense.ts';
import type { Setting } from './setting.ts';

/** A setting as it is said: never a sign, always a word. */
export interface Spoken {
  /** Magnitude in the link's unit. */
  readonly amount: number;
  readonly sense: Sense | undefined;
}

/** Numbers nearer than this to zero are zero when they are said, mm or degrees. */
const silent = 5e-10;

/** The direction a link's positive setting goes. */
export const linkSense = (link: Link): Sense | undefined =>
  link.kind === 'seat'
    ? 'lateral'
    : link.kind === 'slide' || link.kind === 'thread' || link.kind === 'peg'
      ? link.toward
      : link.kind === 'swing' || link.kind === 'ring'
        ? link.turn
        : undefined;

/** Turns a signed setting into an amount with a word. A slide that sets a size is said as the size. */
export function spoken(link: Link, value: number): Spoken {
  const sense = linkSense(link);
  if (sense === undefined || (link.kind === 'slide' && link.sizes)) return { amount: value, sense: undefined };
  const from = link.kind === 'slide' ? value - link.zero : value;
  if (Math.abs(from) < silent) return { amount: 0, sense };
  return from < 0 ? { amount: -from, sense: opposite(sense) } : { amount: from, sense };
}

/** The way back: a signed setting from an amount and a word; `undefined` when the word is neither the link's nor its opposite. */
export function unspoken(link: Link, amount: number, sense: Sense | undefined): number | undefined {
  const own = linkSense(link);
  if (own === undefined || (link.kind === 'slide' && link.sizes)) return sense === undefined ? amount : undefined;
  const zero = link.kind === 'slide' ? link.zero : 0;
  // A ring's numbers are engraved without a word; a slide's are not.
  if (sense === undefined)
    return link.kind === 'ring' || link.kind === 'peg' || link.kind === 'seat' || amount === 0
      ? zero + amount
      : undefined;
  if (sense === own) return zero + amount;
  return sense === opposite(own) ? zero - amount : undefined;
}

const trimmed = (value: number, digits: number): string => String(Number(value.toFixed(digits)));

const siteWords: Readonly<Record<string, string>> = {
  plateauLateral: 'the lateral plateau',
  plateauMedial: 'the medial plateau',
  distalMedial: 'the medial condyle',
  distalLateral: 'the lateral condyle',
  posteriorMedial: 'the medial condyle',
  posteriorLateral: 'the lateral condyle',
  anteriorCortex: 'the front cortex',
  patellaAnterior: 'the front of the kneecap',
  patellaFacetMedial: 'the medial facet',
  patellaFacetLateral: 'the lateral facet',
};

/** A site as a word in a sentence. */
export const siteWord = (site: string): string => siteWords[site] ?? site;

const withSeen = (sense: Sense | undefined, side: Side): string => {
  const seen = sense && senseSeen(sense, side);
  return seen ? `, ${seen}` : '';
};

/** How the control itself turns for a setting, where the kit says so: as seen on this side, for this direction. */
function controlWords(link: Link, sense: Sense | undefined, side: Side): string {
  if (!link.control || sense === undefined) return '';
  const forward = link.control.right === 'clockwise';
  const turnsOver = (side === 'left') !== (sense !== linkSense(link));
  return `, the control ${forward !== turnsOver ? 'clockwise' : 'anticlockwise'} seen from the foot`;
}

const sideWord = (side: Side): string => side.toUpperCase();

/** A call in three pieces: what is set, the mark to set (underlined in red where there is red), and the rest. */
export interface CallParts {
  readonly says: string;
  readonly set: string;
  readonly more: string;
}

const turnsOf = (amount: number, pitchMm: number): string => {
  const turns = amount / pitchMm;
  return `${trimmed(turns, 2)} ${turns === 1 ? 'turn' : 'turns'}`;
};

/** One setting in pieces, so that the mark to set can stand out. */
export function callParts(link: Link, setting: Setting, side: Side): CallParts {
  const { amount, sense } = spoken(link, setting.value);
  const control = amount === 0 ? '' : controlWords(link, sense, side);
  const word = sense ? ` ${senseWord(sense)}` : '';
  const parts = (set: string, more = ''): CallParts => ({ says: link.says, set, more: `${more}${control}` });
  if (link.setBy === 'sight') return parts('by eye', `: ${link.reads ?? 'at zero'}`);
  switch (link.kind) {
    case 'slide': {
      if (link.sizes)
        return parts(trimmed(setting.value, 1), setting.keeps === 'front' ? ', front kept' : ', rear kept');
      if (link.gauge) {
        const mark = `${trimmed(amount, 1)} mm`;
        return amount === 0
          ? parts('as far from the shin at both marks')
          : parts(
              mark,
              ` ${sense === 'anterior' ? 'farther from' : 'nearer to'} the shin at the lower mark than at the upper`,
            );
      }
      if (amount === 0) return parts('at its zero');
      if (!link.marks || link.marks.everyMm === 1) {
        return parts(`${trimmed(amount, 2)} mm${word}`, withSeen(sense, side));
      }
      const marks = amount / link.marks.everyMm;
      return parts(
        `${trimmed(marks, 2)} ${marks === 1 ? 'mark' : 'marks'}${word}`,
        `${withSeen(sense, side)}: ${trimmed(amount, 1)} mm on this ruler`,
      );
    }
    case 'thread':
      return amount === 0
        ? parts('at its zero')
        : parts(`${turnsOf(amount, link.pitchMm)}${word}`, `: ${trimmed(amount, 2)} mm`);
    case 'swing': {
      const scale = link.hand === 'printedPair' ? `, on the scale marked ${sideWord(side)}` : '';
      return amount === 0
        ? parts('0', scale)
        : parts(`${trimmed(amount, 1)}${word}`, `${withSeen(sense, side)}${scale}`);
    }
    case 'ring': {
      // Where both directions are engraved the number alone does not say which way.
      const bothWays = link.values.some((value) => value < 0) && amount !== 0;
      return parts(
        bothWays ? `${trimmed(amount, 1)}${word}` : trimmed(setting.value, 1),
        link.faces ? `, face ${link.faces[side]} up` : '',
      );
    }
    case 'dial':
      return parts(trimmed(setting.value, 1));
    case 'seat': {
      const seat = link.seats.find((s) => s.id === setting.seat);
      const beside =
        amount === 0
          ? ': block in line with the mast'
          : `: block ${trimmed(amount, 1)} mm${word} of the mast${withSeen(sense, side)}`;
      return parts(seat?.says ?? '', beside);
    }
    case 'pin': {
      const row = link.rows.find((r) => r.id === setting.row);
      return parts(row ? `in row ${row.says ?? row.id}` : '');
    }
    case 'sized':
      return parts(trimmed(setting.value, 1), link.follows ? ', as set before' : '');
    case 'peg':
      return parts(amount === 0 ? '0' : `${trimmed(amount, 1)}${word}`);
    case 'feeler': {
      const on = siteWord(setting.site ?? link.touches[0]!);
      return link.setBy === 'read' ? parts(`on ${on}`) : parts(trimmed(setting.value, 1), ` on ${on}`);
    }
    case 'rest': {
      const shims = Object.entries(setting.shimsMm ?? {}).filter(([, mm]) => mm > 0);
      if (shims.length === 0) return parts(link.mode === 'both' ? 'both touching' : 'without shim');
      return parts(shims.map(([site, mm]) => `shim ${trimmed(mm, 1)} mm under ${siteWord(site)}`).join(', '));
    }
    default:
      return parts('');
  }
}

/** One setting as a sentence that the hand which sets it can follow. */
export function callText(link: Link, setting: Setting, side: Side): string {
  const { says, set, more } = callParts(link, setting, side);
  return `${says} ${set}${more}`;
}

/** What is called, what was wanted, and what that leaves, for the line below a setting. */
export function leftOverText(link: Link, exact: number, called: number): string | undefined {
  const off = Math.abs(called - exact);
  const unit = linkUnit(link);
  if (off < planDefaults.leftOver.value) return undefined;
  const wanted = spoken(link, exact);
  const word =
    wanted.sense && !(link.kind === 'slide' && link.gauge) && (link.kind === 'slide' || link.kind === 'thread')
      ? ` ${senseWord(wanted.sense)}`
      : '';
  return `wanted ${trimmed(wanted.amount, 2)} ${unit}${word}; ${trimmed(off, 2)} ${unit} left over`;
}
