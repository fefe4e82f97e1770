import { add, along, type Rotation, scaled, type Vec3 } from '@kerfline/geometry';
import type { CutPlane } from '../cuts/cut-plane.ts';
import type { ComponentFamily } from '../kits/kit.ts';
import type { CutName, DrillLink, Guide } from './guide.ts';
import type { LegView } from './leg-view.ts';
import { type SlideSense, slideAxis, type TurnSense, turnAxes } from './sense.ts';
import type { Errors, Setting, Settings } from './setting.ts';

/** Where a link sits: its origin and axes (rows L, A, P of the link) in the bone's clinical frame. */
export interface Placement {
  readonly origin: Vec3;
  readonly axes: Rotation;
  /** The link may still roll about its P axis: the next turn about it is sighted along the bone. */
  readonly rolls: boolean;
}

/** A guide whose ends lie where its parts cannot reach round. */
export class OpenLoop extends Error {
  override readonly name = 'OpenLoop';
}

/** What earlier guides have left on a bone. */
export interface Made {
  readonly cuts: ReadonlyMap<CutName, CutPlane>;
  /** Where the pins or pegs of each guide went in, by guide. */
  readonly pins: ReadonlyMap<string, Placement>;
}
export const nothingMade: Made = { cuts: new Map(), pins: new Map() };

/** A hole that a drill or punch leaves in the bone. */
export interface Bore {
  readonly link: string;
  readonly makes: DrillLink['makes'];
  readonly at: Placement;
}

/** All that a link may look at while it is being placed. */
export interface Walk {
  readonly guide: Guide;
  readonly leg: LegView;
  readonly settings: Settings;
  readonly errors: Errors;
  readonly components: ComponentFamily;
  readonly made: Made;
  readonly placed: Map<string, Placement>;
  /** Rests that stay on one contact, by its place among their sites, even where another would be met first. */
  readonly held: ReadonlyMap<string, number>;
  /** Numbers that the guide shows once it is in place, such as the size a feeler reads, mm. */
  readonly reads: Map<string, number>;
  readonly bores: Bore[];
}

export const settingOf = (walk: Walk, link: string): Setting => {
  const setting = walk.settings[link];
  if (!setting) throw new Error(`${walk.guide.id}: ${link} has no setting`);
  return setting;
};

/** What a link is really at: its setting, its bias and the error of this draw. */
export const actual = (walk: Walk, link: { readonly id: string; readonly bias?: number | undefined }): number =>
  settingOf(walk, link.id).value + (link.bias ?? 0) + (walk.errors[link.id] ?? 0);

const degrees = Math.PI / 180;

/** Moved along one of the link's own axes. */
export function slid(at: Placement, toward: SlideSense, by: number): Placement {
  const { axis, sign } = slideAxis(toward);
  return { origin: along(at.origin, at.axes[axis], sign * by), axes: at.axes, rolls: at.rolls };
}

/** Turned about one of the link's own axes, through its origin; `by` in degrees. */
export function turned(at: Placement, walk: Walk, turn: TurnSense, by: number): Placement {
  const { from, to, sign } = turnAxes(turn, walk.leg.bone);
  const c = Math.cos(by * degrees);
  const s = sign * Math.sin(by * degrees);
  const axes: [Vec3, Vec3, Vec3] = [at.axes[0], at.axes[1], at.axes[2]];
  axes[from] = add(scaled(at.axes[from], c), scaled(at.axes[to], s));
  axes[to] = add(scaled(at.axes[to], c), scaled(at.axes[from], -s));
  return { origin: at.origin, axes, rolls: at.rolls };
}
