import {
  detents,
  type Guide,
  type Kit,
  type Link,
  linkUnit,
  opposite,
  type Sense,
  type Side,
  senseSeen,
  senseWord,
} from '@kerfline/knee';
import { caution } from './caution.ts';
import { checkBar } from './check-bar.ts';
import { box, type Drawing, line, type Mark, type Point, text } from './drawing.ts';

/** One page of a kit's drawings, A4 upright in true millimetres. */
export interface KitSheet {
  /** Guide and page, such as `shin-mast` or `shin-mast-2`: a name for its file. */
  readonly name: string;
  readonly drawing: Drawing;
}

const page = { width: 210, height: 297, margin: 15, top: 34, bottom: 278 } as const;
const room = page.width - 2 * page.margin;
const sizes = { title: 6.5, name: 4.2, numeral: 3, words: 3 } as const;

/** Marks with their own top left corner at 0, 0. */
interface Figure {
  readonly height: number;
  readonly marks: readonly Mark[];
}

/** About how wide words are, mm. */
const widthOf = (words: string, size: number): number => words.length * size * 0.52;

function wrapped(words: string, size: number, across: number = room): readonly string[] {
  const lines: string[] = [];
  for (const word of words.split(' ').filter((w) => w !== '')) {
    const last = lines.at(-1);
    if (last !== undefined && widthOf(`${last} ${word}`, size) <= across) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

const moved = (move: Point, marks: readonly Mark[]): Mark => ({ kind: 'group', move, marks });
const trimmed = (value: number): string => String(Number(value.toFixed(2)));

/** A place on the metal and what is engraved there. */
interface Engraved {
  readonly at: number;
  readonly says: string;
}

/** Places for words side by side: each as near its own place as its neighbours let it be, in the same order. */
function spread(wanted: readonly number[], apart: (i: number) => number): readonly number[] {
  const order = wanted.map((_, i) => i).sort((a, b) => wanted[a]! - wanted[b]!);
  // Neighbours that touch move together, about the middle of what they want.
  let groups: { members: number[]; first: number }[] = [];
  const offsets = (members: readonly number[]): readonly number[] => {
    const out: number[] = [];
    members.forEach((i, k) => {
      out.push(k === 0 ? 0 : out[k - 1]! + (apart(members[k - 1]!) + apart(i)) / 2);
    });
    return out;
  };
  const placed = (members: number[]): { members: number[]; first: number } => {
    const from = offsets(members);
    return { members, first: members.reduce((sum, i, k) => sum + wanted[i]! - from[k]!, 0) / members.length };
  };
  for (const i of order) {
    groups.push(placed([i]));
    for (let n = groups.length; n > 1; n = groups.length) {
      const [before, last] = [groups[n - 2]!, groups[n - 1]!];
      const end = before.first + offsets(before.members).at(-1)!;
      if (end + (apart(before.members.at(-1)!) + apart(last.members[0]!)) / 2 <= last.first + 1e-9) break;
      groups = [...groups.slice(0, -2), placed([...before.members, ...last.members])];
    }
  }
  const at: number[] = [];
  for (const { members, first } of groups) {
    offsets(members).forEach((offset, k) => {
      at[members[k]!] = first + offset;
    });
  }
  return at;
}

/** Engraved words under their places, each on a leader of its own. */
function engravedUnder(items: readonly { readonly x: number; readonly says: string }[], from: number): Figure {
  const places = spread(
    items.map((item) => item.x),
    (i) => widthOf(items[i]!.says, sizes.numeral) + 1.2,
  );
  const aside = items.some((item, i) => Math.abs(item.x - places[i]!) > 0.2);
  const base = from + (aside ? 7 : 3.2);
  return {
    height: base + 1.4,
    marks: items.flatMap(({ x, says }, i): readonly Mark[] => [
      ...(aside
        ? [
            line(
              [
                [x, from],
                [places[i]!, base - sizes.numeral + 0.2],
              ],
              { tone: 'line', weight: 'hair' },
            ),
          ]
        : []),
      text([places[i]!, base], says, sizes.numeral, 'metal', { anchor: 'middle' }),
    ]),
  };
}

const endsText = ([before, after]: readonly [string, string]): string =>
  [before === '' ? '' : `\u2190 ${before}`, after === '' ? '' : `${after} \u2192`]
    .filter((words) => words !== '')
    .join(' | ');

interface Ruler {
  readonly range: readonly [number, number];
  readonly ticks: readonly number[];
  readonly engraved: readonly Engraved[];
  readonly ends: readonly [string, string];
}

/** A ruler at life size; one that is longer than the page goes on below. */
function rulerFigure(ruler: Ruler): Figure {
  const pad = 10;
  const [low, high] = ruler.range;
  const stretch = room - 2 * pad;
  const marks: Mark[] = [];
  let top = 0;
  for (let from = low; from < high || from === low; from += stretch) {
    const to = Math.min(high, from + stretch);
    const inside = (at: number): boolean => at >= from - 1e-9 && at <= to + 1e-9;
    const x = (at: number): number => pad + at - from;
    const under = engravedUnder(
      ruler.engraved.filter((e) => inside(e.at)).map((e) => ({ x: x(e.at), says: e.says })),
      4.2,
    );
    const numerals = new Set(ruler.engraved.map((e) => e.at.toFixed(6)));
    marks.push(
      moved(
        [0, top],
        [
          line(
            [
              [x(from), 0.6],
              [x(to), 0.6],
            ],
            { weight: 'edge' },
          ),
          ...ruler.ticks.filter(inside).map((at) =>
            line(
              [
                [x(at), 0.6],
                [x(at), numerals.has(at.toFixed(6)) ? 4 : 2.4],
              ],
              { weight: 'outline' },
            ),
          ),
          ...under.marks,
        ],
      ),
    );
    top += under.height;
    if (!(to < high)) break;
  }
  const words = endsText(ruler.ends);
  if (words !== '') {
    marks.push(text([pad, top + 3], words, sizes.words, 'caption'));
    top += 5;
  }
  return { height: top, marks };
}

/** Holes of a row at their true distances, stepped sideways so that each can be seen. */
function holesFigure(places: readonly Engraved[], ends: readonly [string, string]): Figure {
  const sorted = [...places].sort((a, b) => a.at - b.at);
  const low = sorted[0]?.at ?? 0;
  const high = sorted.at(-1)?.at ?? 0;
  const pad = 8;
  const radius = 1.5;
  const lanes = 3;
  const x = (at: number): number => pad + at - low;
  const bottom = lanes * 3.6 + 1;
  const under = engravedUnder(
    sorted.map((p) => ({ x: x(p.at), says: p.says })),
    bottom,
  );
  const words = endsText(ends);
  return {
    height: under.height + (words === '' ? 0 : 5),
    marks: [
      box(0, 0, high - low + 2 * pad, bottom, { weight: 'outline' }),
      ...sorted.flatMap((p, i): readonly Mark[] => {
        const y = 2.2 + (i % lanes) * 3.6;
        return [
          { kind: 'circle', at: [x(p.at), y], radius, weight: 'outline', fill: 'paper' },
          line(
            [
              [x(p.at), y + radius],
              [x(p.at), bottom],
            ],
            { tone: 'hair', weight: 'hair' },
          ),
        ];
      }),
      ...under.marks,
      ...(words === '' ? [] : [text([0, under.height + 3], words, sizes.words, 'caption')]),
    ],
  };
}

/** Length of the lines of a fan, mm. */
const fanMm = 100;

/** Engraved angles as true angles from one corner: the metal can be laid on it. Positive turns up or down on the page. */
function fanFigure(angles: readonly Engraved[], up: 1 | -1, corner: string): Figure {
  const reach = (deg: number): Point => [
    fanMm * Math.cos((deg * Math.PI) / 180),
    -up * fanMm * Math.sin((deg * Math.PI) / 180),
  ];
  const tips = angles.map((a) => reach(a.at));
  const lowest = Math.max(0, ...tips.map(([, y]) => y));
  const highest = Math.min(0, ...tips.map(([, y]) => y));
  const labels = spread(
    tips.map(([, y]) => y),
    () => sizes.numeral + 0.4,
  );
  const shift = 3 - Math.min(highest, ...labels);
  const bottom = Math.max(lowest, ...labels) + shift;
  return {
    height: bottom + 6,
    marks: [
      ...angles.flatMap((angle, i): readonly Mark[] => {
        const [x, y] = tips[i]!;
        return [
          line(
            [
              [0, shift],
              [x, y + shift],
            ],
            { weight: angle.at === 0 ? 'edge' : 'outline' },
          ),
          line(
            [
              [x, y + shift],
              [fanMm + 9, labels[i]! + shift],
            ],
            { tone: 'line', weight: 'hair' },
          ),
          text([fanMm + 10, labels[i]! + shift + 1], angle.says, sizes.numeral, 'metal'),
        ];
      }),
      ...(angles.some((a) => a.at === 0)
        ? []
        : [
            line(
              [
                [0, shift],
                [fanMm, shift],
              ],
              { tone: 'line', weight: 'hair', dash: 'chain' },
            ),
          ]),
      text([0, bottom + 4.4], corner, sizes.words, 'caption'),
    ],
  };
}

/** Rings in a row with the face that is up on one side. */
function ringsFigure(values: readonly number[], face: string | undefined, side: Side | undefined): Figure {
  const apart = Math.min(14, room / values.length);
  const radius = Math.min(5.4, apart * 0.44);
  return {
    height: 2 * radius + 6,
    marks: [
      ...values.flatMap((value, i): readonly Mark[] => {
        const x = radius + i * apart;
        return [
          { kind: 'circle', at: [x, radius], radius, weight: 'outline', fill: 'paper' },
          { kind: 'circle', at: [x, radius], radius: radius - 0.8, tone: 'line', weight: 'hair' },
          text([x, radius + (face ? 2 : 1.2)], String(value), 3.4, 'metal', { anchor: 'middle', bold: true }),
          ...(face ? [text([x, radius - 1.6], face, 1.7, 'metal', { anchor: 'middle' })] : []),
        ];
      }),
      text(
        [0, 2 * radius + 4],
        face === undefined || side === undefined ? 'exchangeable' : `${side.toUpperCase()} knee: face ${face} up`,
        sizes.words,
        'caption',
      ),
    ],
  };
}

/** The gap of a slit between its faces, at life size; the face the saw leans on is the heavy one. */
function slitFigure(gapMm: number, retained: boolean): Figure {
  const width = 60;
  const face = (y: number, heavy: boolean): Mark =>
    line(
      [
        [0, y],
        [width, y],
      ],
      { weight: heavy ? 'cut' : 'outline' },
    );
  return {
    height: gapMm + 9,
    marks: [
      box(0, 1, width, 3, { fill: 'hatch' }),
      box(0, 4 + gapMm, width, 3, { fill: 'hatch' }),
      face(4, !retained),
      face(4 + gapMm, retained),
      text([width + 2, 3.6], 'toward the piece', sizes.words, 'caption'),
      text([width + 2, 7 + gapMm], 'toward the bone that stays', sizes.words, 'caption'),
    ],
  };
}

/** Shims at their true thickness. */
function shimsFigure(values: readonly number[]): Figure {
  const highest = Math.max(...values);
  return {
    height: highest + 6,
    marks: values.flatMap((value, i): readonly Mark[] => [
      box(i * 22, highest - value, 16, value, { weight: 'outline', fill: 'paper' }),
      text([i * 22 + 8, highest + 4], trimmed(value), sizes.numeral, 'metal', { anchor: 'middle' }),
    ]),
  };
}

const rodFigure = (diameterMm: number): Figure => ({
  height: diameterMm + 1,
  marks: [
    { kind: 'circle', at: [diameterMm / 2, diameterMm / 2], radius: diameterMm / 2, weight: 'outline', fill: 'paper' },
    text([diameterMm + 3, diameterMm / 2 + 1], `${trimmed(diameterMm)} mm`, sizes.numeral, 'metal'),
  ],
});

const directionOf = (sense: Sense, side: Side | undefined): string => {
  const seen = side && senseSeen(sense, side);
  return seen ? `${senseWord(sense)}, ${seen}` : senseWord(sense);
};

const endWords = (toward: Sense, side: Side | undefined, twoWay: boolean): readonly [string, string] => [
  twoWay ? directionOf(opposite(toward), side) : '',
  directionOf(toward, side),
];

const isSideways = (sense: Sense): boolean => sense === 'medial' || sense === 'lateral';
const isAcross = (sense: Sense): boolean => isSideways(sense) || sense === 'external' || sense === 'internal';

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

function blockOf(link: Link, sizesOfKit: readonly number[], side: Side | undefined): Figure | undefined {
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

/** Whether anything of a guide differs between the sides. */
const sideMatters = ({ links, side }: Guide): boolean =>
  side !== undefined ||
  links.some(
    (link) =>
      (link.hand !== undefined && link.hand !== 'same') ||
      ('toward' in link && isAcross(link.toward)) ||
      ('turn' in link && isAcross(link.turn)),
  );

function pageOf(
  guide: Guide,
  kit: Kit,
  sha256: string,
  side: Side | undefined,
  blocks: readonly { readonly y: number; readonly figure: Figure }[],
  number: number,
  of: number,
): Drawing {
  const bar = checkBar(50, '50 mm: measure before use');
  const knee = guide.side ?? side;
  const whose = !sideMatters(guide) ? '' : knee ? `${knee.toUpperCase()} KNEE` : 'EITHER KNEE';
  const right = page.width - page.margin;
  return {
    label: `${guide.says} of the kit ${kit.says}, version ${kit.version}, its scales in true millimetres${whose === '' ? '' : `, ${whose.toLowerCase()}`}`,
    box: [0, 0, page.width, page.height],
    marks: [
      box(0, 0, page.width, page.height, { fill: 'paper' }),
      text([page.margin, 20], `${guide.says}, ${guide.bone}`, sizes.title, 'metal', { bold: true }),
      text([right, 20], whose, sizes.name, 'metal', { anchor: 'end', bold: true }),
      text(
        [page.margin, 26],
        `${kit.says} (${kit.name}), version ${kit.version}${of > 1 ? `, page ${number} of ${of}` : ''}`,
        sizes.words,
        'caption',
      ),
      text([page.margin, 30], `SHA-256 ${sha256}`, 2.4, 'caption'),
      ...blocks.map(({ y, figure }) => moved([page.margin, y], figure.marks)),
      moved([page.margin, page.bottom + 3], bar.marks),
      ...wrapped(caution, 2.2, room - 60).map((words, k) =>
        text([page.margin + 60, page.bottom + 5 + 3 * k], words, 2.2, 'caption'),
      ),
    ],
  };
}

/**
 * The scales of every guide of a kit in true millimetres, for holding against the metal; no leg is needed.
 *
 * @param sha256 of the kit's file, printed on each page
 * @param side draws only what this side uses and says directions as they are seen on it; without it both are shown
 */
export function kitSheets(kit: Kit, sha256: string, side?: Side): readonly KitSheet[] {
  const sizesOfKit = kit.components.femur.map((femur) => femur.size);
  return kit.guides.flatMap((guide) => {
    if (side !== undefined && guide.side !== undefined && guide.side !== side) return [];
    const pages: { y: number; figure: Figure }[][] = [[]];
    let y: number = page.top;
    for (const link of guide.links) {
      const figure = blockOf(link, sizesOfKit, side);
      if (!figure) continue;
      if (y + figure.height > page.bottom && pages.at(-1)!.length > 0) {
        pages.push([]);
        y = page.top;
      }
      pages.at(-1)!.push({ y, figure });
      y += figure.height;
    }
    return pages.map((blocks, i) => ({
      name: i === 0 ? guide.id : `${guide.id}-${i + 1}`,
      drawing: pageOf(guide, kit, sha256, side, blocks, i + 1, pages.length),
    }));
  });
}
