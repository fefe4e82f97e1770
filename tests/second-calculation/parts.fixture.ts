import type { Bone, ComponentFamily, CutName, Errors, Guide, LegView, Link, Setting, Settings } from '@kerfline/knee';
import {
  along,
  assembled,
  asTheBone,
  type Body,
  between,
  cross,
  halved,
  inner,
  isSquare,
  liesOn,
  mark,
  meets,
  type Point,
  reachMm,
  unit,
} from './mechanism.fixture.ts';

/**
 * What holds each part of a guide to the one before, as conditions on marks that must meet. Written from docs/guides.md alone;
 * where the page leaves something open, "taken as" says what was read into it.
 */

type Of<K extends Link['kind']> = Extract<Link, { readonly kind: K }>;
type Word = Of<'peg'>['toward'];
type Turn = Of<'ring'>['turn'];

const origin: Point = [0, 0, 0];
/** Way of a word, on the marks of a body. */
const ways: Readonly<Record<Word, Point>> = {
  lateral: [1, 0, 0],
  medial: [-1, 0, 0],
  anterior: [0, 1, 0],
  posterior: [0, -1, 0],
  proximal: [0, 0, 1],
  distal: [0, 0, -1],
};
const { lateral: wayL, anterior: wayA, proximal: wayP } = ways;
const reach = (way: Point, by = reachMm): Point => [way[0] * by, way[1] * by, way[2] * by];

const into: Readonly<Record<Bone, Word>> = { femur: 'proximal', tibia: 'distal', patella: 'anterior' };

/** From where a turn starts and toward what it goes; a varus or valgus of a kneecap is taken as that of a tibia. */
function protractor(turn: Turn, bone: Bone): readonly [Point, Point] {
  switch (turn) {
    case 'valgus':
      return [wayP, bone === 'femur' ? ways.medial : wayL];
    case 'varus':
      return [wayP, bone === 'femur' ? wayL : ways.medial];
    case 'flex':
    case 'anteriorSlope':
      return [wayP, wayA];
    case 'extend':
    case 'posteriorSlope':
      return [wayP, ways.posterior];
    case 'external':
      return [wayA, wayL];
    case 'internal':
      return [wayA, ways.medial];
  }
}

const radians = (degrees: number): number => (degrees * Math.PI) / 180;

/** A carriage on a rail of the part that holds it: two keys in the rail, no roll, its line at the mark. */
const onRail = (holder: Body, way: Point, byMm: number): Body => {
  const [from, to] = [mark(holder, origin), mark(holder, reach(way))];
  const aside = way[0] === 0 ? wayL : wayA;
  const across = cross(way, aside);
  return assembled(holder, (body) => [
    ...liesOn(mark(body, origin), from, to),
    ...liesOn(mark(body, reach(way)), from, to),
    isSquare(between(mark(body, origin), mark(body, reach(aside))), between(from, mark(holder, reach(across)))),
    inner(between(from, mark(body, origin)), unit(between(from, to))) - byMm,
  ]);
};

/** A plate on a hinge of the part that holds it: two ends of the pin meet, and its pointer stands at the angle. */
function onHinge(holder: Body, turn: Turn, bone: Bone, degrees: number, pivot: Point = origin): Body {
  const [zero, quarter] = protractor(turn, bone);
  const pin = cross(zero, quarter);
  const [cos, sin] = [Math.cos(radians(degrees)) * reachMm, Math.sin(radians(degrees)) * reachMm];
  const pointed = along(along(pivot, zero, cos), quarter, sin);
  return assembled(holder, (body) => [
    ...meets(mark(body, pivot), mark(holder, pivot)),
    ...meets(mark(body, along(pivot, pin, reachMm)), mark(holder, along(pivot, pin, reachMm))),
    ...meets(mark(body, along(pivot, zero, reachMm)), mark(holder, pointed)),
  ]);
}

/** Three marks of a plane, on the bone. */
export type Marks = readonly [Point, Point, Point];

/** A surface that is left on the bone, as three marks of the blade and the kerf. */
export interface Sawn {
  readonly cut: CutName;
  readonly marks: Marks;
  readonly kerfMm: number;
}

/** Which way of a slit or block its cut is square to, and which way the kept bone lies. */
function kept(cut: CutName): { readonly square: Point; readonly way: 1 | -1 } {
  switch (cut) {
    case 'tibia':
      return { square: wayP, way: -1 };
    case 'distalFemur':
      return { square: wayP, way: 1 };
    case 'posteriorFemur':
    case 'posteriorChamfer':
    case 'kneecap':
      return { square: wayA, way: 1 };
    case 'anteriorFemur':
    case 'anteriorChamfer':
      return { square: wayA, way: -1 };
  }
}

/** Unit normal of three marks, P-ward for cuts across the end of a tibia or femur, else A-ward. */
export function normalOf({ cut, marks: [a, b, c] }: Pick<Sawn, 'cut' | 'marks'>): Point {
  const normal = unit(cross(between(a, b), between(a, c)));
  return inner(normal, kept(cut).square) < 0 ? reach(normal, -1) : normal;
}

/** What earlier guides have left on a bone. */
export interface Left {
  readonly cuts: ReadonlyMap<CutName, Sawn>;
  readonly pins: ReadonlyMap<string, Body>;
}

/** A guide put together on a bone. */
export interface Assembly {
  readonly bodies: ReadonlyMap<string, Body>;
  readonly cuts: readonly Sawn[];
  readonly aligned: readonly Sawn[];
  /** What the guide shows, mm: see `reads` of `GuideInPlace`. */
  readonly reads: ReadonlyMap<string, number>;
  readonly bores: readonly { readonly link: string; readonly makes: Of<'drill'>['makes']; readonly at: Body }[];
  readonly left: Left;
}

interface Bench {
  readonly guide: Guide;
  readonly leg: LegView;
  readonly settings: Settings;
  readonly components: ComponentFamily;
  readonly errors: Errors;
  readonly left: Left;
}

/** Distances that a part is slid over to find where it stops, mm. */
const farMm = 2000;
/** Farther than the foot of a mast goes before or behind the shin, mm; from farther still a rod could be met upside down. */
const footMm = 500;

/** Puts a guide together: every part by its conditions, in the order in which parts hold each other. */
export function assemble(bench: Bench): Assembly {
  const parts = partsOf(bench);
  const { guide, left } = bench;
  for (const link of guide.links) parts.body(link.id);
  const cuts = guide.outputs.map(({ cut, link }) => parts.sawn(cut, link));
  const aligned = (guide.aligns ?? []).map(({ cut, link }) => parts.square(cut, link));
  const lastPin = guide.links.filter((link) => link.kind === 'pin').at(-1);
  return {
    bodies: parts.bodies,
    cuts,
    aligned,
    reads: parts.reads,
    bores: guide.links
      .filter((link) => link.kind === 'drill')
      .map(({ id, makes }) => ({ link: id, makes, at: parts.body(id) })),
    left: {
      cuts: new Map([...left.cuts, ...cuts.map((sawn) => [sawn.cut, sawn] as const)]),
      pins: lastPin ? new Map([...left.pins, [guide.id, parts.body(lastPin.id)]]) : left.pins,
    },
  };
}

/** Where a guide begins. */
function mounted({ guide: { mountsOn }, left }: Bench): Body {
  if (mountsOn === 'bone') return asTheBone;
  if ('cut' in mountsOn) {
    const sawn = left.cuts.get(mountsOn.cut)!;
    const [a, b, c] = sawn.marks;
    const normal = normalOf(sawn);
    const [up, held] = mountsOn.cut === 'kneecap' ? [wayA, wayL] : [wayP, wayA];
    const third = cross(up, held);
    const start: Body = asTheBone;
    return assembled(start, (body) => {
      const o = mark(body, origin);
      const arm = (way: Point): Point => between(o, mark(body, reach(way)));
      return [
        // Its foot lies on the cut straight under the bone's origin, its post stands square on the cut.
        inner(between(a, o), normal),
        ...liesOn(o, origin, normal),
        isSquare(arm(up), between(a, b)),
        isSquare(arm(up), between(a, c)),
        isSquare(arm(third), held),
      ];
    });
  }
  const pins = left.pins.get(mountsOn.pinsOf)!;
  if (mountsOn.flushOn === undefined) return pins;
  const sawn = left.cuts.get(mountsOn.flushOn)!;
  const normal = normalOf(sawn);
  const above = (by: number): number => inner(between(sawn.marks[0], mark(pins, reach(wayP, by))), normal);
  const rises = above(1) > above(0) ? 1 : -1;
  return onRail(
    pins,
    wayP,
    halved((by) => rises * above(by), -farMm, farMm),
  );
}

interface Parts {
  readonly bodies: ReadonlyMap<string, Body>;
  readonly reads: ReadonlyMap<string, number>;
  body(id: string): Body;
  sawn(cut: CutName, link: string): Sawn;
  square(cut: CutName, link: string): Sawn;
}

/**
 * The parts of a guide, each put in place when it is first asked for.
 *
 * @param tried travels (mm) of slides that are tried out, in place of their settings
 */
function partsOf(bench: Bench, tried: ReadonlyMap<string, number> = new Map()): Parts {
  const { guide, leg, settings, components, errors } = bench;
  const { bone } = guide;
  const bodies = new Map<string, Body>();
  const reads = new Map<string, number>();
  const linkOf = (id: string): Link => guide.links.find((l) => l.id === id)!;
  const error = (key: string): number => errors[key] ?? 0;
  const setting = (link: Link): Setting => settings[link.id]!;
  /** `setting + bias + error`. */
  const standsAt = (link: Link): number => setting(link).value + (link.bias ?? 0) + error(link.id);
  const length = (value: Of<'mast'>['spanMm']): number =>
    typeof value === 'number' ? value : leg.number(value.leg) * (value.times ?? 1);
  const mount = mounted(bench);
  const holder = (link: Link): Body => (link.on === undefined ? mount : body(link.on));

  function body(id: string): Body {
    const known = bodies.get(id);
    if (known) return known;
    const made = put(linkOf(id));
    bodies.set(id, made);
    return made;
  }

  function put(link: Link): Body {
    switch (link.kind) {
      case 'frame':
        return framed(link);
      case 'mast':
        return mast(link);
      case 'core':
        return core(link);
      case 'rest':
        return link.mode === 'first' ? stopped(link) : straddled(link);
      case 'feeler':
        return felt(link);
      case 'slide':
        return slid(link);
      case 'thread':
      case 'peg':
        return onRail(holder(link), ways[link.toward], standsAt(link));
      case 'dial':
        return onRail(holder(link), ways[into[bone]], standsAt(link));
      case 'swing':
        return swung(link);
      case 'ring': {
        const over = setting(link).flipped ? -1 : 1;
        return onHinge(holder(link), link.turn, bone, over * standsAt(link));
      }
      case 'seat': {
        const seat = link.seats.find((s) => s.id === setting(link).seat)!;
        const lateral = (leg.side === 'right' ? 1 : -1) * (seat.toPatientRightMm + (link.bias ?? 0));
        return onRail(holder(link), wayL, lateral + error(link.id));
      }
      case 'pin':
        return driven(link);
      default:
        return holder(link);
    }
  }

  /** A body at a point, square as the bone. */
  const asBoneAt = (at: Point): Body =>
    assembled(asTheBone, (made) =>
      [origin, reach(wayL), reach(wayA), reach(wayP)].flatMap((m) => meets(mark(made, m), along(at, m, 1))),
    );

  function framed(link: Of<'frame'>): Body {
    const { lateral = 0, anterior = 0 } = link.offMm ?? {};
    const [l, a, p] = leg.site(link.at);
    return asBoneAt([l + lateral + error(`${link.id}.lateral`), a + anterior + error(`${link.id}.anterior`), p]);
  }

  function mast(link: Of<'mast'>): Body {
    const foot = mark(holder(link), origin);
    const from = mark(body(link.from), origin);
    const { lateral = 0, anterior = 0 } = link.topOffMm ?? {};
    const [l, a] = leg.site(link.to);
    const top: Point = [
      l + lateral + error(`${link.id}.lateral`),
      a + anterior + error(`${link.id}.anterior`),
      from[2] + length(link.spanMm),
    ];
    // How much of the rod lies between top and foot is found, not told.
    return assembled(
      asBoneAt(top),
      (rod, [long]) => [
        ...meets(mark(rod, origin), top),
        ...meets(mark(rod, [0, 0, -long!]), foot),
        isSquare(between(mark(rod, origin), mark(rod, reach(wayL))), wayA),
      ],
      [length(link.spanMm)],
    );
  }

  function core(link: Of<'core'>): Body {
    const [low, high] = [leg.site(`${link.canal}Low`), leg.site(`${link.canal}High`)];
    // Where along the canal the hole should be is left open; taken as its site at the knee's end.
    const [near, far] = bone === 'femur' ? [low, high] : [high, low];
    const hole: Point = [
      near[0] + error(`${link.id}.entryLateral`),
      near[1] + error(`${link.id}.entryAnterior`),
      near[2],
    ];
    // The deep end is where it would be with the hole on the line.
    const deep = along(near, unit(between(near, far)), link.engagedMm);
    const down = bone === 'femur' ? 1 : -1;
    const straight = assembled(
      asBoneAt(hole),
      (rod, [long]) => [
        ...meets(mark(rod, origin), hole),
        ...meets(mark(rod, [0, 0, down * long!]), deep),
        isSquare(between(mark(rod, origin), mark(rod, reach(wayL))), wayA),
      ],
      [link.engagedMm],
    );
    const leant = onHinge(straight, 'valgus', bone, error(`${link.id}.coronal`));
    return onHinge(leant, 'flex', bone, error(`${link.id}.sagittal`));
  }

  /** Which way of a plate the sites it lies on face. */
  const facing = (site: string): Point => {
    switch (site) {
      case 'distalMedial':
      case 'distalLateral':
        return ways.distal;
      case 'plateauMedial':
      case 'plateauLateral':
        return wayP;
      case 'patellaAnterior':
        return wayA;
      default:
        return ways.posterior;
    }
  };

  /** How far a plate stands clear of a surface that lies `outMm` out of a site, square to the plate, mm. */
  const clearance = (plate: Point, outward: Point, site: Point, outMm: number): number =>
    inner(between(site, plate), outward) - outMm;

  const outward = (held: Body, way: Point): Point => unit(between(mark(held, origin), mark(held, reach(way))));

  /** What lies between a site and the plate over it, mm. */
  const over = (link: Of<'rest'>, site: string): number =>
    leg.layers(site).nowOut + (setting(link).shimsMm?.[site] ?? 0);

  function stopped(link: Of<'rest'>): Body {
    const held = holder(link);
    const way = facing(link.sites[0]!);
    const out = outward(held, way);
    const free = (travel: number): readonly number[] =>
      link.sites.map((site) => clearance(mark(held, reach(way, -travel)), out, leg.site(site), over(link, site)));
    const stop = halved((travel) => -Math.min(...free(travel)), -farMm, farMm);
    const gaps = free(stop);
    const touched = gaps.indexOf(Math.min(...gaps));
    reads.set(`${link.id}.touches`, touched);
    reads.set(`${link.id}.over`, -Math.min(...gaps.filter((_, k) => k !== touched)));
    // A rest's own bias and error are taken as mm farther into the bone.
    return onRail(held, reach(way, -1), stop + (link.bias ?? 0) + error(link.id));
  }

  function straddled(link: Of<'rest'>): Body {
    const held = holder(link);
    const [medial, lateral] = contactsOf(link, held);
    const middle = along(medial, between(medial, lateral), 0.5);
    const upright = outward(held, wayP);
    const placed = assembled(held, (plate) => {
      const o = mark(plate, origin);
      const arm = (way: Point): Point => between(o, mark(plate, reach(way)));
      // Square to P on the side of A: the arm along A sees both contacts at the same distance.
      return [...meets(o, middle), ...meets(arm(wayP), reach(upright)), isSquare(arm(wayA), between(medial, lateral))];
    });
    reads.set('halfContacts', inner(between(medial, lateral), outward(placed, wayL)) / 2);
    // Its bias and error are taken as mm along its own A, whichever way its sites face.
    return onRail(placed, wayA, (link.bias ?? 0) + error(link.id));
  }

  /** Where the two contacts of a rest stand: off their sites along the way they face, on the part that holds the rest. */
  const contactsOf = (link: Of<'rest'>, held: Body): readonly [Point, Point] => {
    const out = outward(held, facing(link.sites[0]!));
    const [first, second] = link.sites.map((site) => along(leg.site(site), out, over(link, site)));
    return [first!, second!];
  };

  function felt(link: Of<'feeler'>): Body {
    const held = holder(link);
    const site = setting(link).site ?? link.touches[0]!;
    if (site === 'anteriorCortex') {
      const out = outward(held, wayA);
      const tip = leg.site(site);
      const read = halved((by) => inner(between(tip, mark(held, reach(wayA, by))), out), -farMm, farMm);
      // What the feeler stands at is taken to count too.
      reads.set(link.id, read + standsAt(link));
      return held;
    }
    const way = facing(site);
    const out = outward(held, way);
    const touch = halved(
      (travel) => -clearance(mark(held, reach(way, -travel)), out, leg.site(site), leg.layers(site).nowOut),
      -farMm,
      farMm,
    );
    return onRail(held, reach(way, -1), touch + standsAt(link));
  }

  function slid(link: Of<'slide'>): Body {
    const held = holder(link);
    const trial = tried.get(link.id);
    if (trial !== undefined) return onRail(held, wayA, trial);
    if (link.sizes) {
      if (setting(link).keeps !== 'front') return held;
      body(link.sizes.front);
      return onRail(held, wayA, reads.get(link.sizes.front)! - standsAt(link));
    }
    if (link.gauge) return onRail(held, wayA, gauged(link, link.gauge, standsAt(link)));
    return onRail(held, ways[link.toward], standsAt(link) - link.zero);
  }

  /** Travel of the foot of a mast at which it stands that much farther from the crest at the lower mark than at the upper. */
  function gauged(link: Of<'slide'>, marks: { readonly lowerMm: number; readonly upperMm: number }, wanted: number) {
    const rod = guide.links.find((l): l is Of<'mast'> => l.kind === 'mast' && isHeldBy(l, link.id))!;
    const [lower, upper] = [leg.site('crestLower'), leg.site('crestUpper')];
    const difference = (travel: number): number => {
      const trial = partsOf(bench, new Map([...tried, [link.id, travel]]));
      const [top, down] = [mark(trial.body(rod.id), origin), mark(trial.body(rod.id), reach(wayP, -reachMm))];
      const from = mark(trial.body(rod.from), origin)[2];
      const standOff = (heightMm: number): number => {
        const level = (a: Point, b: Point): Point => along(a, between(a, b), (from + heightMm - a[2]) / (b[2] - a[2]));
        return level(down, top)[1] - level(lower, upper)[1];
      };
      return standOff(marks.lowerMm) - standOff(marks.upperMm);
    };
    return halved((travel) => difference(travel) - wanted, -footMm, footMm);
  }

  const isHeldBy = (link: Link, id: string): boolean =>
    link.on !== undefined && (link.on === id || isHeldBy(linkOf(link.on), id));

  /**
   * Whether a part may still roll about the rod that holds it: until it has been sighted, put against bone, or tilted by a ring
   * or a hinge.
   */
  function mayRoll(id: string | undefined): boolean {
    const link = id === undefined ? undefined : linkOf(id);
    switch (link?.kind) {
      case 'mast':
      case 'core':
        return true;
      case undefined:
      case 'frame':
      case 'rest':
      case 'ring':
      case 'swing':
        return false;
      case 'feeler':
        return (
          (setting(link as Link).site ?? (link as Of<'feeler'>).touches[0]) === 'anteriorCortex' && mayRoll(link?.on)
        );
      default:
        return mayRoll(link?.on);
    }
  }
  const turnsAboutP = (link: Of<'swing'>): boolean => link.turn === 'external' || link.turn === 'internal';

  function swung(link: Of<'swing'>): Body {
    const held = holder(link);
    const degrees = standsAt(link);
    if (turnsAboutP(link) && mayRoll(link.on)) {
      const bearing = radians(link.turn === 'external' ? degrees : -degrees);
      return assembled(held, (head) => [
        ...meets(mark(head, origin), mark(held, origin)),
        ...meets(mark(head, reach(wayP)), mark(held, reach(wayP))),
        isSquare(between(mark(head, origin), mark(head, reach(wayL))), [Math.sin(bearing), Math.cos(bearing), 0]),
      ]);
    }
    const pivot = setting(link).pivot ?? link.pivots?.[0] ?? 'middle';
    const rest = guide.links.find((l): l is Of<'rest'> => l.kind === 'rest' && l.mode === 'both');
    if (pivot === 'middle' || !rest) return onHinge(held, link.turn, bone, degrees);
    body(rest.id);
    const half = reads.get('halfContacts')!;
    const contact: Point = [pivot === 'medial' ? -half : half, 0, 0];
    return onHinge(held, link.turn, bone, degrees, contact);
  }

  function driven(link: Of<'pin'>): Body {
    const row = link.rows.find((r) => r.id === setting(link).row)!;
    const depth = row.offsetMm + (link.bias ?? 0) + error(link.id);
    const nailed = onRail(holder(link), ways[into[bone]], depth + error(`${link.id}.mm`));
    const fore = onRail(nailed, wayA, error(`${link.id}.front`));
    const leant = onHinge(fore, 'valgus', bone, error(`${link.id}.coronal`));
    const bent = onHinge(leant, 'flex', bone, error(`${link.id}.sagittal`));
    return onHinge(bent, 'external', bone, error(`${link.id}.axial`));
  }

  /** The size of the femoral component that the guide stands at. */
  function femurSize(): ComponentFamily['femur'][number] {
    const sizing = guide.links.find(
      (l) => (l.kind === 'slide' && l.sizes !== undefined) || (l.kind === 'sized' && l.component === 'femur'),
    )!;
    return components.femur.find((f) => f.size === setting(sizing).value)!;
  }

  /** A point of the slit, and two ways in it: across, and the way the blade goes in; all on the marks of its part. */
  function gap(link: Of<'slit' | 'openFace'>, cut: CutName): { readonly at: Point; readonly blade: Point } {
    if (!link.face) {
      if (kept(cut).square === wayP) return { at: origin, blade: wayA };
      return { at: origin, blade: wayP };
    }
    const size = femurSize();
    const { rearChamfer, frontChamfer } = size;
    const leaning = (deg: number, way: Point): Point => [0, way[1] * Math.cos(radians(deg)), Math.sin(radians(deg))];
    switch (link.face) {
      case 'rear':
        return { at: [0, size.rearMm, 0], blade: wayP };
      case 'front':
        return { at: [0, size.size, 0], blade: wayP };
      case 'rearChamfer':
        return {
          at: [0, size.rearMm + rearChamfer!.cornerMm, 0],
          blade: leaning(rearChamfer!.deg, ways.posterior),
        };
      case 'frontChamfer':
        return { at: [0, size.size - frontChamfer!.cornerMm, 0], blade: leaning(frontChamfer!.deg, wayA) };
    }
  }

  function sawn(cut: CutName, id: string): Sawn {
    const link = linkOf(id) as Of<'slit' | 'openFace'>;
    const { at, blade } = gap(link, cut);
    const kerfMm = link.kerfMm + error('kerf');
    const deeper = (link.referenceFace === 'piece' ? kerfMm : 0) + (link.bias ?? 0) + error(id);
    const across = cross(wayL, blade);
    const normal = inner(across, kept(cut).square) < 0 ? reach(across, -1) : across;
    const [c, s] = [radians(error(`${id}.coronal`)), radians(error(`${id}.sagittal`))];
    const part = body(id);
    const inSlit: Marks = [
      mark(part, at),
      mark(part, along(along(at, wayL, reachMm), normal, reachMm * c)),
      mark(part, along(along(at, blade, reachMm), normal, -reachMm * s)),
    ];
    // How much deeper is taken as square to the surface that the saw leaves.
    const down = reach(normalOf({ cut, marks: inSlit }), kept(cut).way * deeper);
    const [p, q, r] = inSlit;
    return { cut, marks: [along(p, down, 1), along(q, down, 1), along(r, down, 1)], kerfMm };
  }

  /** A plane through a part's origin, square to its own way. */
  function square(cut: CutName, id: string): Sawn {
    const part = body(id);
    const other = kept(cut).square === wayP ? wayA : wayP;
    return { cut, marks: [mark(part, origin), mark(part, reach(wayL)), mark(part, reach(other))], kerfMm: 0 };
  }

  return { bodies, reads, body, sawn, square };
}
