import { along, cross, dot, scaled, unitSquareTo, unreachable } from '@kerfline/geometry';
import { type CutPlane, cutDirection } from '../cuts/cut-plane.ts';
import type { ComponentFamily } from '../kits/kit.ts';
import type { CutName, Guide, Link } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { placeCore } from './links/core.ts';
import { placeDial } from './links/dial.ts';
import { placeFeeler } from './links/feeler.ts';
import { placeFrame } from './links/frame.ts';
import { placeMast } from './links/mast.ts';
import { placePin } from './links/pin.ts';
import { placeRest } from './links/rest.ts';
import { placeRing } from './links/ring.ts';
import { placeSeat } from './links/seat.ts';
import { placeSlide } from './links/slide.ts';
import { cutThrough } from './links/slit.ts';
import { placeSwing } from './links/swing.ts';
import { actual, type Bore, type Made, type Placement, slid, type Walk } from './placement.ts';
import { type Errors, noErrors, type Settings } from './setting.ts';

/** A guide in place on a leg. */
export interface GuideInPlace {
  readonly cuts: readonly CutPlane[];
  /** Planes through the holes that fix the direction of a later cut; where that cut will lie is not theirs to say. */
  readonly aligned: readonly CutPlane[];
  readonly placed: ReadonlyMap<string, Placement>;
  readonly bores: readonly Bore[];
  /** What the guide shows: by feeler the distance it reads (mm); by rest which contact it stops at and what stands over it. */
  readonly reads: ReadonlyMap<string, number>;
}

const nothingHeld: ReadonlyMap<string, number> = new Map();

const onBone: Placement = {
  origin: [0, 0, 0],
  axes: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  rolls: false,
};

function cutOf(guide: Guide, made: Made, cut: CutName): CutPlane {
  const plane = made.cuts.get(cut);
  if (!plane) throw new Error(`${guide.id} mounts on the ${cut} cut, which is not made`);
  return plane;
}

/** On pins a guide stands as the one before stood that drove them; pressed flush it slides along them onto the cut. */
function onPins(guide: Guide, made: Made, pinsOf: string, flushOn: CutName | undefined): Placement {
  const pins = made.pins.get(pinsOf);
  if (!pins) throw new Error(`${guide.id} mounts on the pins of ${pinsOf}, which are not in`);
  if (flushOn === undefined) return pins;
  const plane = cutOf(guide, made, flushOn);
  const p = pins.axes[2];
  const by = (plane.offset - dot(plane.normal, pins.origin)) / dot(plane.normal, p);
  return { ...pins, origin: along(pins.origin, p, by) };
}

/**
 * A guide that is mounted on a cut starts with one axis along the cut's normal: P across the end of a bone, A on a cut that
 * faces front or back. The others lie as near the bone's own as they can.
 */
function start(guide: Guide, made: Made): Placement {
  if (typeof guide.mountsOn === 'string') return onBone;
  if ('pinsOf' in guide.mountsOn) return onPins(guide, made, guide.mountsOn.pinsOf, guide.mountsOn.flushOn);
  const plane = cutOf(guide, made, guide.mountsOn.cut);
  const n = plane.normal;
  const origin = scaled(n, plane.offset);
  if (cutDirection(plane.cut).axis === 1) {
    const l = unitSquareTo([1, 0, 0], n);
    return { origin, axes: [l, n, cross(l, n)], rolls: false };
  }
  const a = unitSquareTo([0, 1, 0], n);
  return { origin, axes: [cross(a, n), a, n], rolls: false };
}

function place(link: Link, at: Placement, walk: Walk): Placement {
  switch (link.kind) {
    case 'frame':
      return placeFrame(link, walk);
    case 'mast':
      return placeMast(link, at, walk);
    case 'core':
      return placeCore(link, walk);
    case 'rest':
      return placeRest(link, at, walk);
    case 'feeler':
      return placeFeeler(link, at, walk);
    case 'slide':
      return placeSlide(link, at, walk);
    case 'swing':
      return placeSwing(link, at, walk);
    case 'thread':
      return slid(at, link.toward, actual(walk, link));
    case 'peg':
      return slid(at, link.toward, actual(walk, link));
    case 'ring':
      return placeRing(link, at, walk);
    case 'dial':
      return placeDial(link, at, walk);
    case 'pin':
      return placePin(link, at, walk);
    case 'seat':
      return placeSeat(link, at, walk);
    case 'drill':
      walk.bores.push({ link: link.id, makes: link.makes, at });
      return at;
    case 'sized':
    case 'sight':
    case 'slit':
    case 'openFace':
      return at;
    default:
      return unreachable(link);
  }
}

/**
 * Sets a guide on a leg: every link from its parent, loops and contacts closed where they occur, and the planes its slits cut.
 *
 * @param made what earlier guides have left on this bone
 * @param held rests that stay on one contact, so that small changes can be followed without a jump from one to another
 */
export function walk(
  guide: Guide,
  leg: LegView,
  settings: Settings,
  components: ComponentFamily,
  made: Made,
  errors: Errors = noErrors,
  held: ReadonlyMap<string, number> = nothingHeld,
): GuideInPlace {
  const state: Walk = {
    guide,
    leg,
    settings,
    errors,
    components,
    made,
    held,
    placed: new Map(),
    reads: new Map(),
    bores: [],
  };
  const begin = start(guide, made);
  const visit = (link: Link): Placement => {
    const known = state.placed.get(link.id);
    if (known) return known;
    let parent = begin;
    if (link.on !== undefined) {
      const held = guide.links.find((l) => l.id === link.on);
      if (!held) throw new Error(`${guide.id}: ${link.id} is held by ${link.on}, which is no link`);
      parent = visit(held);
    }
    const at = place(link, parent, state);
    state.placed.set(link.id, at);
    return at;
  };
  for (const link of guide.links) visit(link);
  const cuts = guide.outputs.map((output) => {
    const link = guide.links.find((l) => l.id === output.link);
    if (!link || (link.kind !== 'slit' && link.kind !== 'openFace')) {
      throw new Error(`${guide.id}: the ${output.cut} cut comes from ${output.link}, which is no slit`);
    }
    return cutThrough(link, output.cut, visit(link), state);
  });
  const aligned = (guide.aligns ?? []).map(({ cut, link }): CutPlane => {
    const at = state.placed.get(link);
    if (!at) throw new Error(`${guide.id}: the ${cut} cut is fixed by ${link}, which is no link`);
    const normal = at.axes[cutDirection(cut).axis];
    return { cut, normal, offset: dot(normal, at.origin), kerf: 0 };
  });
  return { cuts, aligned, placed: state.placed, reads: state.reads, bores: state.bores };
}

/** What is on the bone once a guide has been used. */
export function madeBy(guide: Guide, inPlace: GuideInPlace, before: Made): Made {
  const pins = guide.links.findLast((link) => link.kind === 'pin');
  return {
    cuts:
      inPlace.cuts.length === 0
        ? before.cuts
        : new Map([...before.cuts, ...inPlace.cuts.map((c) => [c.cut, c] as const)]),
    pins: pins ? new Map([...before.pins, [guide.id, inPlace.placed.get(pins.id)!]]) : before.pins,
  };
}
