import type { Bone, CutName } from '@kerfline/knee';
import type { Draw } from './draw.fixture.ts';

/**
 * Kits put together by chance: every kind of link in the orders that a maker might choose, with all its fields. What comes out is
 * raw, as a file would hold it; whether it is a kit is for `checkKit` to say.
 */

type Fields = Readonly<Record<string, unknown>>;

/** A link as a file holds it. */
interface RawLink extends Fields {
  readonly kind: string;
  readonly id: string;
}

export interface RawGuide extends Fields {
  readonly id: string;
  readonly bone: Bone;
  readonly links: readonly RawLink[];
  readonly outputs: readonly { readonly cut: CutName; readonly link: string }[];
}

export interface RawKit extends Fields {
  readonly guides: readonly RawGuide[];
}

const rounded = (value: number, step: number): number => Number((Math.round(value / step) * step).toFixed(6));

/** A sorted list of different numbers. */
const marks = (draw: Draw, count: number, low: number, high: number, step: number): readonly number[] =>
  [...new Set(Array.from({ length: count }, () => rounded(draw.within(low, high), step)))].sort((a, b) => a - b);

const maybe = (draw: Draw, share: number, fields: Fields): Fields => (draw.chance(share) ? fields : {});

const settableKinds = ['feeler', 'slide', 'thread', 'swing', 'ring', 'dial', 'peg', 'seat', 'sized'];

/** Kinds that have no engraving, so that nothing can be measured against one. */
const unengraved = ['frame', 'mast', 'core', 'sized', 'drill', 'sight'];

/** The links of one guide while it is put together: each new one hangs on the last, unless it is a branch. */
class Assembly {
  readonly #links: RawLink[] = [];
  readonly #draw: Draw;
  #last: string | undefined;

  constructor(draw: Draw) {
    this.#draw = draw;
  }

  get links(): readonly RawLink[] {
    return this.#links;
  }
  get last(): string | undefined {
    return this.#last;
  }

  /** Hangs a link on the last one, or on another, and goes on from it. */
  hang(kind: string, fields: Fields, on = this.#last): string {
    this.#last = this.branch(kind, fields, on);
    return this.#last;
  }

  /** Hangs a link on the last one, or on another; the next hangs there too. */
  branch(kind: string, fields: Fields, on = this.#last): string {
    const draw = this.#draw;
    const id = `${kind}${this.#links.length}`;
    this.#links.push({
      kind,
      id,
      ...(on === undefined ? {} : { on }),
      says: `Part ${this.#links.length} ${kind}`,
      sd: draw.chance(0.2) ? 0 : rounded(draw.within(0, 1.5), 0.01),
      ...(unengraved.includes(kind) ? {} : maybe(draw, 0.5, { bias: rounded(draw.within(-0.8, 0.8), 0.01) })),
      ...maybe(draw, 0.3, { backlash: rounded(draw.within(0, 0.6), 0.01) }),
      ...maybe(draw, 0.3, {
        lockJump: { mm: rounded(draw.within(0, 0.5), 0.1), deg: rounded(draw.within(0, 0.5), 0.1) },
      }),
      ...maybe(draw, 0.5, { reads: 'eye square over the mark' }),
      ...maybe(draw, 0.5, { who: draw.pick(['surgeon', 'scrub']) }),
      ...maybe(draw, 0.2, { control: { viewedFrom: 'foot', right: draw.pick(['clockwise', 'anticlockwise']) } }),
      ...maybe(draw, 0.2, { fixedIn: draw.pick(['bone', 'metal']) }),
      ...(settableKinds.includes(kind) ? maybe(draw, 0.4, { settable: draw.pick([0.25, 0.5, 1]) }) : {}),
      ...fields,
    });
    return id;
  }
}

const rounding = (draw: Draw): Fields => maybe(draw, 0.6, { rounds: draw.pick(['nearest', 'shallower', 'thicker']) });

/** A range around a zero that need not be 0, in steps or continuous. */
function travel(draw: Draw, reach: number, steps: readonly (number | null)[]): Fields {
  const zero = draw.chance(0.5) ? 0 : rounded(draw.within(-reach / 2, reach / 2), 0.5);
  return {
    range: [zero - rounded(draw.within(reach / 3, reach), 1), zero + rounded(draw.within(reach / 3, reach), 1)],
    zero,
    step: draw.pick(steps),
  };
}

type Add = (made: Assembly) => void;

const ring = (draw: Draw, turns: readonly string[], most = 7): Add => {
  const flips = draw.chance(0.4);
  return (made) =>
    made.hang('ring', {
      turn: draw.pick(turns),
      values: marks(draw, draw.whole(1, 4), -most, most, 0.5),
      ...(flips ? { faces: { left: 'LEFT', right: 'RIGHT' }, hand: 'flips' } : {}),
      ...rounding(draw),
    });
};

const swing = (draw: Draw, turns: readonly string[], more: Fields = {}): Add => {
  const step = draw.chance(0.5);
  return (made) =>
    made.hang('swing', {
      turn: draw.pick(turns),
      ...travel(draw, step ? 4 : 15, step ? [1, 2] : [null]),
      ...maybe(draw, 0.4, { hand: 'printedPair' }),
      ...rounding(draw),
      ...more,
    });
};

/** A turn about the long way of the leg, by eye or by the plan. */
const bearing =
  (draw: Draw): Add =>
  (made) =>
    made.hang('swing', {
      turn: draw.pick(['external', 'internal']),
      ...travel(draw, 25, [null, 5]),
      setBy: draw.chance(0.8) ? 'sight' : 'plan',
    });

const slide =
  (draw: Draw, ways: readonly string[], reach = 12): Add =>
  (made) =>
    made.hang('slide', {
      toward: draw.pick(ways),
      ...travel(draw, reach, [null, 2]),
      ...maybe(draw, 0.5, {
        marks: {
          everyMm: draw.pick([1, 2, 7]),
          says: '1 deg',
          ...maybe(draw, 0.5, { trueFor: { spanMm: draw.pick([350, 400]) } }),
        },
      }),
      ...maybe(draw, 0.5, { zeroSeen: draw.chance(0.5) }),
      ...rounding(draw),
    });

const peg =
  (draw: Draw, ways: readonly string[]): Add =>
  (made) =>
    made.hang('peg', { toward: draw.pick(ways), values: marks(draw, draw.whole(1, 4), -4, 6, 1), ...rounding(draw) });

const thread =
  (draw: Draw, ways: readonly string[]): Add =>
  (made) =>
    made.hang('thread', {
      toward: draw.pick(ways),
      pitchMm: draw.pick([1, 1.25, 1.5]),
      range: [-rounded(draw.within(2, 8), 1), rounded(draw.within(2, 8), 1)],
      ...rounding(draw),
    });

const seat =
  (draw: Draw): Add =>
  (made) => {
    const beside = rounded(draw.within(8, 20), 1);
    made.hang('seat', {
      seats: [
        ...(draw.chance(0.7)
          ? [{ id: 'middle', says: 'MIDDLE', toPatientRightMm: rounded(draw.within(-3, 3), 1) }]
          : []),
        { id: 'left', says: 'LEFT', toPatientRightMm: beside, forSide: 'left' },
        { id: 'right', says: 'RIGHT', toPatientRightMm: -beside + draw.pick([0, 2]), forSide: 'right' },
      ],
      hand: 'separatePart',
      fixedIn: 'metal',
    });
  };

/** Rows of holes for whatever seats there are. */
const pin =
  (draw: Draw, holes: string | undefined): Add =>
  (made) => {
    const seats = made.links.flatMap((link) =>
      link.kind === 'seat' ? (link.seats as readonly { readonly id: string }[]).map((s) => s.id) : [],
    );
    const rowsOf = (name: string, forSeat?: string): readonly Fields[] =>
      marks(draw, draw.whole(1, 3), -2, 4, 1).map((offsetMm, k) => ({
        id: `${name}${k}`,
        ...maybe(draw, 0.5, { says: `${name} ${k}` }),
        offsetMm,
        ...(forSeat ? { forSeat } : {}),
      }));
    const rows = seats.length > 0 && draw.chance(0.6) ? seats.flatMap((s) => rowsOf(`row-${s}`, s)) : rowsOf('row');
    made.hang('pin', {
      rows,
      ...(holes ? { holes } : {}),
      ...maybe(draw, 0.7, { lockJump: { mm: 0.3, deg: 0.3 } }),
      ...rounding(draw),
    });
  };

const sight = (draw: Draw, made: Assembly, spans: readonly string[]): void => {
  made.branch('sight', {
    shows: 'where a rod square to the slit passes',
    ...maybe(draw, 0.5, {
      spanMm:
        spans.length > 0 && draw.chance(0.5) ? { leg: draw.pick(spans), ...maybe(draw, 0.5, { times: 0.9 }) } : 350,
    }),
  });
};

const slit = (draw: Draw, made: Assembly, more: Fields = {}): string => {
  const bladeMm = draw.pick([1, 1.2, 1.3]);
  return made.branch(draw.chance(0.8) ? 'slit' : 'openFace', {
    gapMm: bladeMm + draw.pick([0, 0.2, 0.3]),
    bladeMm,
    ...maybe(draw, 0.8, { bladeLengthMm: draw.pick([60, 90, 100]) }),
    ...maybe(draw, 0.8, { standOffMm: draw.pick([0, 12, 20]) }),
    kerfMm: draw.pick([1.2, 1.3, 1.4, 1.5]),
    kerfSdMm: draw.pick([0.1, 0.2]),
    referenceFace: draw.pick(['retained', 'piece']),
    saw: { coronalDeg: 0.6, sagittalDeg: 1.3 },
    ...more,
  });
};

/** Hangs each of several parts, in an order of chance. */
const inAnyOrder = (draw: Draw, made: Assembly, adds: readonly Add[]): void => {
  for (const add of draw.shuffled(adds)) add(made);
};

const rest = (draw: Draw, made: Assembly, mode: 'first' | 'both', sites: readonly string[]): string =>
  made.hang('rest', { mode, sites, ...maybe(draw, 0.6, { shimsMm: draw.pick([[0, 1, 2], [2], [0, 1, 2, 3]]) }) });

const feeler = (draw: Draw, made: Assembly, sites: readonly string[], low: number, high: number): string =>
  made.hang('feeler', {
    touches: draw.shuffled(sites).slice(0, draw.whole(1, sites.length)),
    values: marks(draw, draw.whole(1, 4), low, high, 1),
    ...rounding(draw),
  });

interface Standing {
  readonly id: string;
  readonly bone: Bone;
  readonly mountsOn: unknown;
  readonly side?: string;
  readonly insteadOf?: string;
}

const finished = (
  draw: Draw,
  { id, bone, mountsOn, side, insteadOf }: Standing,
  made: Assembly,
  outputs: RawGuide['outputs'],
  aligns: RawGuide['outputs'] = [],
): RawGuide => ({
  id,
  says: `Guide ${id}`,
  bone,
  mountsOn,
  ...(side ? { side } : {}),
  ...(insteadOf ? { insteadOf } : {}),
  // A tree may be written down in any order, as long as what is read stands before what uses it.
  links:
    made.links.some((l) => 'sizes' in l || l.kind === 'seat') || draw.chance(0.8)
      ? made.links
      : draw.shuffled(made.links),
  outputs,
  ...(aligns.length > 0 ? { aligns } : {}),
  prepare: {
    ...maybe(draw, 0.8, { who: 'scrub hands over; surgeon holds' }),
    parts: ['block', 'screws'],
    order: ['on the bone', 'then pin'],
    openAtHandOver: ['depth screw'],
    closedAtHandOver: [],
    ...maybe(draw, 0.5, { pins: '2 parallel' }),
    ...maybe(draw, 0.5, { blade: 'the blade of the kerf test' }),
    ...maybe(draw, 0.5, { next: 'the next guide' }),
  },
});

const tilts = ['valgus', 'varus', 'flex', 'extend', 'posteriorSlope', 'anteriorSlope'] as const;
const along = ['proximal', 'distal'] as const;
const level = ['medial', 'lateral', 'anterior', 'posterior'] as const;

/** Where an end cut gets its direction from: a rod in the canal, a mast, a yoke alone, or nothing but the bone. */
function directed(draw: Draw, made: Assembly, bone: 'femur' | 'tibia'): void {
  const root = draw.pick(['core', 'core', 'mast', 'mast', 'frame', 'none']);
  if (root === 'core') {
    made.hang('core', {
      canal: bone === 'femur' ? 'femoralCanal' : 'tibialCanal',
      rodMm: draw.pick([8, 9]),
      engagedMm: rounded(draw.within(150, 260), 10),
      ...maybe(draw, 0.7, { entrySdMm: 1.5 }),
    });
  }
  const off = maybe(draw, 0.4, {
    offMm: { lateral: rounded(draw.within(-4, 4), 0.5), anterior: rounded(draw.within(-4, 10), 0.5) },
  });
  if (root === 'frame') made.hang('frame', { at: bone === 'femur' ? 'femoralKneeCentre' : 'tibialKneeCentre', ...off });
  if (root === 'mast') {
    const yoke = made.hang('frame', { at: bone === 'femur' ? 'femoralKneeCentre' : 'malleolarMidpoint', ...off });
    const gauged = bone === 'tibia' && draw.chance(0.35);
    inAnyOrder(draw, made, [
      ...draw.some([bearing(draw), slide(draw, ['medial', 'lateral'], 15)], 0.6),
      ...(gauged ? [] : draw.some([slide(draw, ['anterior', 'posterior'], 20)], 0.7)),
    ]);
    const starts = made.links.filter((l) => l.kind === 'swing' || l.kind === 'slide').map((l) => l.id);
    // A slide that is set as a difference is the foot of its mast itself, engraved forward from 0.
    if (gauged) {
      made.hang('slide', {
        toward: 'anterior',
        range: [-10, 10],
        zero: 0,
        step: null,
        gauge: { lowerMm: rounded(draw.within(60, 110), 5), upperMm: rounded(draw.within(180, 240), 5) },
        zeroSeen: false,
      });
    }
    made.hang('mast', {
      from: gauged || draw.chance(0.7) ? yoke : draw.pick([yoke, ...starts]),
      to: bone === 'femur' ? 'hipCentre' : 'tibialKneeCentre',
      spanMm:
        bone === 'tibia' && draw.chance(0.6)
          ? { leg: 'tibiaSpan', ...maybe(draw, 0.3, { times: 0.97 }) }
          : rounded(draw.within(320, 400), 5),
      ...maybe(draw, 0.4, {
        topOffMm: { lateral: rounded(draw.within(-3, 3), 0.5), anterior: rounded(draw.within(0, 30), 1) },
      }),
    });
  }
}

/** A guide for the cut across the end of a femur or tibia. */
function endGuide(draw: Draw, standing: Standing & { readonly bone: 'femur' | 'tibia' }, holes: string): RawGuide {
  const { bone } = standing;
  const made = new Assembly(draw);
  directed(draw, made, bone);
  const angles: readonly Add[] = [
    ...draw.some([bearing(draw)], 0.7),
    ...draw.some(
      [ring(draw, ['valgus', 'varus'], 9), ring(draw, ['flex', 'extend', 'posteriorSlope', 'anteriorSlope'])],
      0.7,
    ),
    ...draw.some([swing(draw, tilts)], 0.3),
  ];
  inAnyOrder(draw, made, angles);
  const sites = bone === 'femur' ? ['distalMedial', 'distalLateral'] : ['plateauMedial', 'plateauLateral'];
  const arms = draw.whole(0, 4);
  if (bone === 'femur' && draw.chance(0.15)) rest(draw, made, 'both', ['posteriorMedial', 'posteriorLateral']);
  if (arms <= 1) {
    const foot = rest(draw, made, 'first', draw.shuffled(sites).slice(0, draw.whole(1, 2)));
    if (draw.chance(0.7)) {
      made.hang('dial', { sets: foot, values: marks(draw, draw.whole(1, 5), 4, 14, 1), ...rounding(draw) });
    }
  } else if (arms <= 3) {
    feeler(draw, made, sites, 0, 12);
  }
  inAnyOrder(draw, made, [
    ...draw.some([peg(draw, along), thread(draw, along), seat(draw)], 0.5),
    ...draw.some([slide(draw, [...along, ...level], 8), ring(draw, tilts, 3), peg(draw, level), bearing(draw)], 0.2),
  ]);
  if (draw.chance(0.3)) sight(draw, made, bone === 'tibia' ? ['tibiaSpan'] : []);
  pin(draw, draw.chance(0.7) ? holes : undefined)(made);
  if (draw.chance(0.2)) inAnyOrder(draw, made, [peg(draw, along), ...draw.some([ring(draw, tilts, 3)], 0.5)]);
  if (draw.chance(0.15)) pin(draw, undefined)(made);
  const cut: CutName = bone === 'femur' ? 'distalFemur' : 'tibia';
  const link = slit(draw, made);
  if (draw.chance(0.3)) sight(draw, made, []);
  return finished(draw, standing, made, [{ cut, link }]);
}

const faces = [
  ['anteriorFemur', 'front'],
  ['posteriorFemur', 'rear'],
  ['posteriorChamfer', 'rearChamfer'],
  ['anteriorChamfer', 'frontChamfer'],
] as const satisfies readonly (readonly [CutName, string])[];

/** Slits of a block of the component's size, some or all of its faces. */
const faceSlits = (draw: Draw, made: Assembly): RawGuide['outputs'] => {
  const all = draw.chance(0.6) ? faces : draw.some(faces, 0.6);
  return draw.shuffled(all).map(([cut, face]) => ({ cut, link: slit(draw, made, { face }) }));
};

/** A frame on the rear condyles: turn, size and the holes for the block. */
function heelGuide(draw: Draw, standing: Standing, sizes: readonly number[]): RawGuide {
  const made = new Assembly(draw);
  const straddles = draw.chance(0.85);
  rest(
    draw,
    made,
    straddles ? 'both' : 'first',
    straddles
      ? ['posteriorMedial', 'posteriorLateral']
      : draw.pick([['posteriorMedial'], ['posteriorMedial', 'posteriorLateral']]),
  );
  const pivots = draw.shuffled(['middle', 'medial', 'lateral']).slice(0, draw.whole(1, 3));
  inAnyOrder(draw, made, [
    ...draw.some([swing(draw, ['external', 'internal'], straddles ? maybe(draw, 0.8, { pivots }) : {})], 0.9),
    ...draw.some([ring(draw, ['external', 'internal'], 5)], 0.2),
    ...draw.some([swing(draw, ['external', 'internal'])], 0.15),
  ]);
  const front = made.hang('feeler', {
    touches: ['anteriorCortex'],
    values: [0],
    ...maybe(draw, 0.5, { reach: draw.chance(0.5) ? 45 : { leg: 'femurDepth', times: 0.6 } }),
    setBy: 'read',
  });
  made.hang('slide', {
    toward: 'anterior',
    range: [sizes[0]! - 3, sizes.at(-1)! + 3],
    zero: sizes[0],
    step: 3,
    sizes: { component: 'femur', keeps: draw.shuffled(['rear', 'front']).slice(0, draw.whole(1, 2)), front },
    zeroSeen: true,
  });
  inAnyOrder(draw, made, [
    ...draw.some([peg(draw, ['anterior', 'posterior'])], 0.7),
    ...draw.some(
      [thread(draw, ['anterior', 'posterior']), ring(draw, ['external', 'internal'], 2), slide(draw, level, 4)],
      0.15,
    ),
  ]);
  pin(draw, 'block-pegs')(made);
  const holes = made.last!;
  const outputs: RawGuide['outputs'] = draw.chance(0.25) ? faceSlits(draw, made) : [];
  const plain: RawGuide['outputs'] =
    outputs.length === 0 && draw.chance(0.15) ? [{ cut: 'posteriorFemur', link: slit(draw, made) }] : [];
  return finished(
    draw,
    standing,
    made,
    [...outputs, ...plain],
    draw.chance(0.7) ? [{ cut: 'posteriorFemur', link: holes }] : [],
  );
}

/** A block of the component's size on the holes made before. */
function blockGuide(draw: Draw, standing: Standing, follows: Fields): RawGuide {
  const made = new Assembly(draw);
  made.hang('sized', { component: 'femur', follows });
  inAnyOrder(
    draw,
    made,
    draw.some([peg(draw, ['anterior', 'posterior']), ring(draw, ['external', 'internal'], 2)], 0.2),
  );
  if (draw.chance(0.7)) pin(draw, 'block-sides')(made);
  return finished(draw, standing, made, faceSlits(draw, made));
}

function trayGuide(draw: Draw, standing: Standing): RawGuide {
  const made = new Assembly(draw);
  made.hang('sized', { component: 'tray' });
  inAnyOrder(draw, made, [bearing(draw), ...draw.some([slide(draw, level, 4)], 0.3)]);
  pin(draw, 'tray-rim')(made);
  if (draw.chance(0.8)) made.branch('drill', { makes: 'keelHole' });
  return finished(draw, standing, made, []);
}

function keelGuide(draw: Draw, standing: Standing, follows: Fields): RawGuide {
  const made = new Assembly(draw);
  made.hang('sized', { component: 'tray', follows });
  made.branch('drill', { makes: 'keel' });
  return finished(draw, standing, made, []);
}

function jawGuide(draw: Draw, standing: Standing): RawGuide {
  const made = new Assembly(draw);
  if (draw.chance(0.85)) rest(draw, made, 'both', ['patellaFacetMedial', 'patellaFacetLateral']);
  else rest(draw, made, 'first', draw.pick([['patellaFacetMedial'], ['patellaFacetMedial', 'patellaFacetLateral']]));
  inAnyOrder(draw, made, draw.some([ring(draw, ['external', 'internal', 'flex', 'extend'], 3)], 0.3));
  if (draw.chance(0.85)) feeler(draw, made, ['patellaAnterior'], 11, 18);
  inAnyOrder(
    draw,
    made,
    draw.some([thread(draw, ['posterior', 'anterior']), peg(draw, ['posterior', 'anterior'])], 0.5),
  );
  if (draw.chance(0.3)) pin(draw, 'jaw')(made);
  return finished(draw, standing, made, [{ cut: 'kneecap', link: slit(draw, made) }]);
}

function buttonGuide(draw: Draw, standing: Standing): RawGuide {
  const made = new Assembly(draw);
  made.hang('sized', { component: 'button' });
  if (draw.chance(0.3)) pin(draw, undefined)(made);
  made.branch('drill', { makes: 'pegs' });
  return finished(draw, standing, made, []);
}

function components(draw: Draw): Fields {
  const step = draw.pick([2, 3, 4]);
  const count = draw.whole(3, 7);
  const first = draw.whole(51, 54);
  const pegs = draw.chance(0.8);
  const femur = Array.from({ length: count }, (_, k) => {
    const size = first + k * step;
    return {
      size,
      widthMm: size + draw.pick([4, 6]),
      distalMm: draw.pick([8, 9, 10]),
      rearMm: draw.pick([8, 8.5, 9, 10]),
      flangeHeightMm: 36 + k,
      rearChamfer: { cornerMm: draw.pick([6, 7, 9]), deg: draw.pick([40, 45, 50]) },
      frontChamfer: { cornerMm: draw.pick([7, 9, 11]), deg: draw.pick([40, 45, 55]) },
      ...(pegs ? { pegs: { depthMm: 14, diameterMm: 6, apartMm: 36 + 2 * k } } : {}),
    };
  });
  const tray = Array.from({ length: draw.whole(3, 7) }, (_, k) => ({
    size: 62 + 3 * k,
    depthMm: 41 + 2 * k,
    thicknessMm: 4,
    keelMm: 32 + k,
    drillMm: 12,
    wingMm: 15 + k,
  }));
  return {
    femur,
    tray,
    trayOutline: [
      [-0.5, 0],
      [-0.35, -0.45],
      [0, -0.36],
      [0.35, -0.45],
      [0.5, 0],
      [0.3, 0.45],
      [-0.3, 0.45],
    ],
    insert: Array.from({ length: draw.whole(2, 5) }, (_, k) => ({ size: 6 + k })),
    button: [29, 32, 35].map((size) => ({
      size,
      thicknessMm: 8 + (size - 29) / 3,
      ...(pegs ? { peg: { depthMm: 6, diameterMm: 5 } } : {}),
    })),
    allowedPairs: femur.flatMap((f) => tray.map((t) => ({ femur: f.size, tray: t.size }))),
  };
}

/** One kit, put together by chance. */
export function randomKit(draw: Draw): RawKit {
  const family = components(draw);
  const sizes = (family.femur as readonly { readonly size: number }[]).map((f) => f.size);
  const guides: RawGuide[] = [];

  /** A guide for an end cut: one, one for each side, or one with another to be used in its place. */
  const endGuides = (bone: 'femur' | 'tibia', name: string, holes: string): void => {
    const standing = { id: name, bone, mountsOn: 'bone' } as const;
    const ways = draw.whole(0, 5);
    if (ways === 0) {
      guides.push(endGuide(draw, { ...standing, id: `${name}-left`, side: 'left' }, `${holes}-left`));
      guides.push(endGuide(draw, { ...standing, id: `${name}-right`, side: 'right' }, `${holes}-right`));
    } else {
      guides.push(endGuide(draw, standing, holes));
      if (ways === 1) guides.push(endGuide(draw, { ...standing, id: `${name}-other`, insteadOf: name }, holes));
    }
  };

  if (draw.chance(0.9)) {
    endGuides('femur', 'end-guide', 'end-pins');
    const ends = guides.map((g) => g.id);
    const heel = draw.whole(0, 9);
    const mountsOn =
      heel < 7
        ? { cut: 'distalFemur' }
        : heel === 7
          ? 'bone'
          : { pinsOf: draw.pick(ends), ...maybe(draw, 0.6, { flushOn: 'distalFemur' }) };
    const frame = heelGuide(draw, { id: 'heel-guide', bone: 'femur', mountsOn }, sizes);
    guides.push(frame);
    if (draw.chance(0.85)) {
      guides.push(
        blockGuide(
          draw,
          {
            id: 'block',
            bone: 'femur',
            mountsOn: draw.chance(0.85)
              ? { pinsOf: 'heel-guide', ...maybe(draw, 0.6, { flushOn: 'distalFemur' }) }
              : { cut: 'distalFemur' },
          },
          { guide: 'heel-guide', link: frame.links.find((l) => l.kind === 'slide' && 'sizes' in l)!.id },
        ),
      );
    }
  }
  if (draw.chance(0.9) || guides.length === 0) {
    endGuides('tibia', 'shin-guide', 'shin-pins');
    if (draw.chance(0.7)) {
      const tray = trayGuide(draw, { id: 'tray', bone: 'tibia', mountsOn: { cut: 'tibia' } });
      guides.push(tray);
      const sized = tray.links.find((l) => l.kind === 'sized')!.id;
      const mountsOn = { pinsOf: 'tray', ...maybe(draw, 0.6, { flushOn: 'tibia' }) };
      if (draw.chance(0.6)) {
        guides.push(keelGuide(draw, { id: 'keel', bone: 'tibia', mountsOn }, { guide: 'tray', link: sized }));
      }
    }
  }
  if (draw.chance(0.6)) {
    guides.push(jawGuide(draw, { id: 'jaw', bone: 'patella', mountsOn: 'bone' }));
    if (draw.chance(0.6)) {
      guides.push(buttonGuide(draw, { id: 'button', bone: 'patella', mountsOn: { cut: 'kneecap' } }));
    }
  }
  return { kit: 1, name: 'made-up', says: 'Kit made by chance', version: '1', guides, components: family };
}
