import { detents, type Link, linkUnit, opposite, type Sense, type Side, senseSeen, senseWord } from '@kerfline/knee';
import { type Mark, text } from './drawing.ts';
import {
  type Engraved,
  fanFigure,
  holesFigure,
  type Ruler,
  ringsFigure,
  rodFigure,
  rulerFigure,
  shimsFigure,
  slitFigure,
} from './kit-figures.ts';
import { type Figure, moved, sizes, trimmed, wrapped } from './kit-page.ts';

const directionOf = (sense: Sense, side: Side | undefined): string => {
  const seen = side && senseSeen(sense, side);
  return seen ? `${senseWord(sense)}, ${seen}` : senseWord(sense);
};

const endWords = (toward: Sense, side: Side | undefined, twoWay: boolean): readonly [string, string] => [
  twoWay ? directionOf(opposite(toward), side) : '',
  directionOf(toward, side),
];

const isSideways = (sense: Sense): boolean => sense === 'medial' || sense === 'lateral';
export const isAcross = (sense: Sense): boolean => isSideways(sense) || sense === 'external' || sense === 'internal';

/** As the reader faces the patient, lateral of a left leg is to the right, of a right leg to the left. */
const runsLeft = (toward: Sense, side: Side | undefined): boolean =>
  side !== undefined && isSideways(toward) && (toward === 'lateral') !== (side === 'left');

const turnedRound = (ruler: Ruler): Ruler => ({
  range: [-ruler.range[1], -ruler.range[0]],
  ticks: ruler.ticks.map((at) => -at),
  engraved: ruler.engraved.map((e) => ({ at: -e.at, says: e.says })),
  ends: [ruler.ends[1], ruler.ends[0]],
});

/** A slide set as a difference has no scale: only the two marks between which it is read. */
const gaugeNote = ({ lowerMm, upperMm }: { readonly lowerMm: number; readonly upperMm: number }): string =>
  `no scale: set by how much farther the mast stands from the shin ${trimmed(lowerMm)} mm above the ankle than ${trimmed(upperMm)} mm above it`;

function slideFigure(
  link: Link & { readonly kind: 'slide' },
  sizesOfKit: readonly number[],
  side: Side | undefined,
): Figure {
  const [low, high] = link.range;
  const every = link.marks?.everyMm ?? link.step ?? 1;
  const places = (step: number): readonly number[] => detents({ range: link.range, zero: link.zero, step });
  const ticks = places(every < 4 ? every : every / 2);
  const numbered = every < 4 && !link.sizes ? places(every * 5) : places(every);
  const engraved = numbered.map((at) => ({
    at,
    says: trimmed(link.sizes ? at : Math.abs(at - link.zero) / every),
  }));
  const ruler: Ruler = {
    range: link.range,
    ticks,
    engraved: link.sizes ? engraved.filter((e) => sizesOfKit.includes(e.at)) : engraved,
    ends: link.sizes ? ['', 'larger sizes'] : endWords(link.toward, side, low < link.zero && high > link.zero),
  };
  return rulerFigure(runsLeft(link.toward, side) ? turnedRound(ruler) : ruler);
}

/** Seats as the reader faces the patient, whose right hand is then to the left. */
const seatPlaces = (link: Link & { readonly kind: 'seat' }): readonly Engraved[] =>
  link.seats.map((seat) => ({ at: -seat.toPatientRightMm, says: seat.says }));

/** Turns of a screw along its travel. */
function threadFigure(link: Link & { readonly kind: 'thread' }, side: Side | undefined): Figure {
  const turns = detents({ range: link.range, zero: 0, step: link.pitchMm });
  return rulerFigure({
    range: link.range,
    ticks: turns,
    engraved: turns.map((at) => ({ at, says: trimmed(Math.abs(at / link.pitchMm)) })),
    ends: endWords(link.toward, side, link.range[0] < 0),
  });
}

/** Scales of a hinge with stops: two where two are printed, else one. */
function swingFigures(link: Link & { readonly kind: 'swing' }, side: Side | undefined): readonly Figure[] {
  if (link.step === null || (link.setBy ?? 'plan') !== 'plan') return [];
  const angles = detents({ range: link.range, zero: link.zero, step: link.step }).map((at) => ({
    at,
    says: trimmed(Math.abs(at)),
  }));
  const drawn = (which: Side, words: string): Figure =>
    fanFigure(angles, senseSeen(link.turn, which)?.startsWith('clockwise') ? -1 : 1, words);
  // A scale whose every stop is below zero turns the other way than its word.
  const turn = angles.every(({ at }) => at <= 0) ? opposite(link.turn) : link.turn;
  const seen = (which: Side): string => {
    const words = senseSeen(turn, which);
    return words ? `, ${words}` : '';
  };
  if (link.hand === 'printedPair') {
    const both: readonly Side[] = side ? [side] : ['right', 'left'];
    return both.map((which) => drawn(which, `scale marked ${which.toUpperCase()}: ${senseWord(turn)}${seen(which)}`));
  }
  return [
    drawn(
      side ?? 'right',
      `${senseWord(turn)}${isAcross(turn) ? `${seen(side ?? 'right')}, ${side ?? 'right'} knee` : ''}`,
    ),
  ];
}

/** What is drawn of one part: by its kind where the kind has a shape of its own, else by the numbers engraved on it. */
function figuresOf(link: Link, sizesOfKit: readonly number[], side: Side | undefined): readonly Figure[] {
  switch (link.kind) {
    case 'slide':
      return link.gauge ? [] : [slideFigure(link, sizesOfKit, side)];
    case 'thread':
      return [threadFigure(link, side)];
    case 'swing':
      return swingFigures(link, side);
    case 'ring': {
      const { faces } = link;
      const sides: readonly (Side | undefined)[] = faces ? (side ? [side] : ['left', 'right']) : [undefined];
      return [
        ...sides.map((which) => ringsFigure(link.values, which && faces?.[which], which)),
        fanFigure(
          link.values.map((at) => ({ at, says: String(at) })),
          1,
          `true angles: lay the part on its line. Larger numbers: ${senseWord(link.turn)}`,
        ),
      ];
    }
    case 'peg':
      return [
        holesFigure(
          link.values.map((at) => ({ at, says: String(at) })),
          endWords(link.toward, side, true),
        ),
      ];
    case 'pin': {
      const groups = [...new Set(link.rows.map((row) => row.forSeat))];
      if (link.rows.length < 2) return [];
      return groups.map((seat) =>
        holesFigure(
          link.rows
            .filter((row) => row.forSeat === seat)
            .map((row) => ({ at: row.offsetMm, says: row.says ?? row.id })),
          ['', `deeper${seat === undefined ? '' : `; seat ${seat}`}`],
        ),
      );
    }
    case 'seat':
      return [holesFigure(seatPlaces(link), ['right hand of the patient', 'left hand of the patient'])];
    case 'slit':
    case 'openFace':
      return [slitFigure(link.gapMm, link.referenceFace === 'retained')];
    case 'rest':
      return link.shimsMm?.some((mm) => mm > 0) ? [shimsFigure(link.shimsMm.filter((mm) => mm > 0))] : [];
    case 'core':
      return [rodFigure(link.rodMm)];
    default:
      return 'values' in link && link.values.length > 1 && linkUnit(link) === 'mm'
        ? [
            rulerFigure({
              range: [Math.min(...link.values), Math.max(...link.values)],
              ticks: link.values,
              engraved: link.values.map((at) => ({ at, says: String(at) })),
              ends: ['', ''],
            }),
          ]
        : [];
  }
}

const handWords = {
  same: 'the same for both knees',
  printedPair: 'two scales are printed, one for each side',
  flips: 'one part, turned over for the other side',
  separatePart: 'another part for the other side',
} as const;

/** Everything that is said of a part in words. */
function notesOf(link: Link): readonly string[] {
  const notes = [
    link.setBy === 'sight' ? 'set by eye' : link.setBy === 'read' ? 'read on the bone' : undefined,
    link.reads,
    link.who && `set by: ${link.who}`,
    link.hand && handWords[link.hand],
    link.kind === 'slide' && link.marks
      ? `marks every ${trimmed(link.marks.everyMm)} mm, engraved "${link.marks.says}"${link.marks.trueFor ? `, true for ${link.marks.trueFor.spanMm} mm` : ''}`
      : undefined,
    link.kind === 'slide' && link.gauge ? gaugeNote(link.gauge) : undefined,
    link.kind === 'thread' ? `${trimmed(link.pitchMm)} mm a turn` : undefined,
    link.kind === 'slit' || link.kind === 'openFace'
      ? `gap ${trimmed(link.gapMm)}, blade ${trimmed(link.bladeMm)}, kerf ${trimmed(link.kerfMm)} mm; the heavy face is the one the saw leans on`
      : undefined,
    link.bias ? `measured ${trimmed(link.bias)} ${linkUnit(link)} beyond its engraving` : undefined,
  ];
  return notes.filter((note): note is string => typeof note === 'string' && note !== '');
}

export function blockOf(link: Link, sizesOfKit: readonly number[], side: Side | undefined): Figure | undefined {
  const figures = figuresOf(link, sizesOfKit, side);
  const notes = wrapped(notesOf(link).join('; '), sizes.words);
  if (figures.length === 0 && notes.length === 0) return undefined;
  const marks: Mark[] = [text([0, sizes.name], link.says, sizes.name, 'metal', { bold: true })];
  let y = sizes.name + 1;
  for (const note of notes) {
    y += 4;
    marks.push(text([0, y], note, sizes.words, 'caption'));
  }
  y += 3;
  for (const figure of figures) {
    marks.push(moved([0, y], figure.marks));
    y += figure.height + 1;
  }
  return { height: y + 4, marks };
}
