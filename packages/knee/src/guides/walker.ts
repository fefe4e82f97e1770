import { unreachable, type Vec3 } from '@kerfline/geometry';
import type { CutPlane } from '../cuts/cut-plane.ts';
import type { ComponentFamily } from '../kits/kit.ts';
import type { Guide, Link } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { placeCore } from './links/core.ts';
import { placeFeeler } from './links/feeler.ts';
import { placeFrame } from './links/frame.ts';
import { placeMast } from './links/mast.ts';
import { placeRest } from './links/rest.ts';
import { placeSlide } from './links/slide.ts';
import { cutThrough } from './links/slit.ts';
import { placeSwing } from './links/swing.ts';
import { actual, type Placement, slid, turned, type Walk } from './placement.ts';
import { type Errors, noErrors, type Settings } from './setting.ts';

/** A guide in place on a leg. */
export interface GuideInPlace {
  readonly cuts: readonly CutPlane[];
  readonly placed: ReadonlyMap<string, Placement>;
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

/** A guide that is mounted on a cut starts with its P axis along the cut's normal, front as near the bone's as can be. */
function start(guide: Guide, made: ReadonlyMap<string, CutPlane>): Placement {
  if (typeof guide.mountsOn === 'string' || !('cut' in guide.mountsOn)) return onBone;
  const plane = made.get(guide.mountsOn.cut);
  if (!plane) throw new Error(`${guide.id} mounts on the ${guide.mountsOn.cut} cut, which is not made`);
  const p = plane.normal;
  const size = Math.hypot(p[1], p[2]);
  // A = the bone's A made square to P; L = A x P.
  const a: Vec3 = [(-p[0] * p[1]) / size, size, (-p[1] * p[2]) / size];
  const scale = Math.hypot(...a);
  const front: Vec3 = [a[0] / scale, a[1] / scale, a[2] / scale];
  return {
    origin: [p[0] * plane.offset, p[1] * plane.offset, p[2] * plane.offset],
    axes: [
      [front[1] * p[2] - front[2] * p[1], front[2] * p[0] - front[0] * p[2], front[0] * p[1] - front[1] * p[0]],
      front,
      p,
    ],
    rolls: false,
  };
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
      return { ...turned(at, walk, link.turn, actual(walk, link)), rolls: false };
    case 'dial':
      return slid(at, walk.leg.bone === 'femur' ? 'proximal' : 'distal', actual(walk, link));
    case 'pin':
      return pinned(link.id, at, walk);
    case 'sight':
    case 'slit':
    case 'openFace':
      return at;
    default:
      return unreachable(link);
  }
}

/** Driving a pin home jumps the block a little: along its P axis (mm) and about its two others (degrees). */
function pinned(id: string, at: Placement, walk: Walk): Placement {
  const jump = (name: string): number => walk.errors[`${id}.${name}`] ?? 0;
  if (jump('mm') === 0 && jump('coronal') === 0 && jump('sagittal') === 0) return at;
  const moved = slid(at, 'proximal', jump('mm'));
  return turned(turned(moved, walk, 'valgus', jump('coronal')), walk, 'flex', jump('sagittal'));
}

/**
 * Sets a guide on a leg: every link from its parent, loops and contacts closed where they occur, and the planes its slits cut.
 *
 * @param made cuts that are already on this bone, by name
 * @param held rests that stay on one contact, so that small changes can be followed without a jump from one to another
 */
export function walk(
  guide: Guide,
  leg: LegView,
  settings: Settings,
  components: ComponentFamily,
  made: ReadonlyMap<string, CutPlane>,
  errors: Errors = noErrors,
  held: ReadonlyMap<string, number> = nothingHeld,
): GuideInPlace {
  const state: Walk = { guide, leg, settings, errors, components, made, held, placed: new Map(), reads: new Map() };
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
  return { cuts, placed: state.placed, reads: state.reads };
}
