import {
  add,
  convexHull,
  cross,
  dot,
  fitSphereRobust,
  length,
  noRotation,
  product,
  type Rotation,
  refineSphere,
  rotationToAxes,
  type Sphere,
  type SphereFit,
  scaled,
  subtract,
  unit,
  unitSquareTo,
  type Vec3,
} from '@kerfline/geometry';
import type { Random } from '@kerfline/uncertainty';
import { cortexHeightsMm } from '../sites.ts';
import {
  type BoneSurface,
  between,
  extent,
  faces,
  placedBack,
  seenFrom,
  surfaceMoments,
  turnedBack,
} from './bone-surface.ts';
import { canalPasses, canalSections, type Effort, standstill } from './effort.ts';
import { shaftAxis } from './shaft-axis.ts';
import { contact, crossings, outline, sagittalCut, span, transverseCut } from './surface-features.ts';

/** Height of the place where a front feeler rests, mm above the distal-most level. Working default, no source. */
export const feelerHeightMm = 45;

/** Landmarks of one femur in its own L-A-P frame, mm (docs/methods.md, "Femur from its surface"). */
export interface FemurLandmarks {
  readonly hipCentre: Vec3;
  readonly headRadius: number;
  readonly femoralKneeCentre: Vec3;
  readonly distalMedial: Vec3;
  readonly distalLateral: Vec3;
  readonly posteriorMedial: Vec3;
  readonly posteriorLateral: Vec3;
  readonly epicondyleMedial: Vec3;
  readonly epicondyleLateral: Vec3;
  readonly trochlearGroove: Vec3;
  readonly anteriorCortex: Vec3;
  /** Foremost A over the canal at each of `cortexHeightsMm`. */
  readonly cortexA: readonly number[];
  /** Two points of the canal's centre line, 100 mm apart about its middle. */
  readonly canalLow: Vec3;
  readonly canalHigh: Vec3;
  readonly canalBowRms: number;
  readonly widthAt9: number;
  readonly depthAt9: number;
}

/** A femur cut up for measuring: three overlapping parts of its surface, all in one near-anatomical frame. */
export interface FemurParts {
  readonly head: BoneSurface;
  readonly shaft: BoneSurface;
  readonly distal: BoneSurface;
  readonly lengthTotal: number;
}

const medialSide: readonly [number, number] = [-60, -8];
const lateralSide: readonly [number, number] = [8, 60];

/** Surface within this distance of the sphere, mm, and with normals this near to radial, belongs to the head. */
export const headToleranceMm = 1;
export const headNormalLimit = Math.cos((20 * Math.PI) / 180);

/** Faces farther from the sphere at first than this, mm, are looked at again only if it moves as far. */
const headRoomMm = 5;

/** Least-squares sphere on the faces that belong to the head, repeated until it moves by less than `stillMm`. */
function headSphere(part: BoneSurface, start: Sphere, stillMm: number): SphereFit {
  const { centres, normals, areas } = faces(part);
  const facesNear = (sphere: Sphere): readonly { readonly at: Vec3; readonly face: number }[] => {
    const near: { readonly at: Vec3; readonly face: number }[] = [];
    for (let f = 0, i = 0; f < areas.length; f += 1, i += 3) {
      const at: Vec3 = [centres[i]!, centres[i + 1]!, centres[i + 2]!];
      if (Math.abs(length(subtract(at, sphere.centre)) - sphere.radius) <= headRoomMm) near.push({ at, face: f });
    }
    return near;
  };
  let fit: SphereFit = { ...start, rms: 0, used: 0 };
  let looked: Sphere = start;
  let near = facesNear(looked);
  for (let round = 0; round < 60; round += 1) {
    const points: Vec3[] = [];
    const weights: number[] = [];
    const [cx, cy, cz] = fit.centre;
    for (const { at, face } of near) {
      const dx = at[0] - cx;
      const dy = at[1] - cy;
      const dz = at[2] - cz;
      const distance = Math.sqrt(dx * dx + dy * dy + dz * dz);
      const off = Math.abs(distance - fit.radius);
      if (!(off <= headToleranceMm)) continue;
      const i = 3 * face;
      if (!(dx * normals[i]! + dy * normals[i + 1]! + dz * normals[i + 2]! >= headNormalLimit * distance)) continue;
      points.push(at);
      // The weight fades to nothing at the tolerance, so that no single face can tip the result.
      weights.push(areas[face]! * (1 - (off / headToleranceMm) ** 4));
    }
    if (points.length < 20) break;
    const next = refineSphere(points, weights, fit);
    const moved = length(subtract(next.centre, fit.centre)) + Math.abs(next.radius - fit.radius);
    fit = next;
    if (moved < stillMm) break;
    const away = length(subtract(fit.centre, looked.centre)) + Math.abs(fit.radius - looked.radius);
    if (away > headRoomMm - headToleranceMm) {
      looked = fit;
      near = facesNear(looked);
    }
  }
  return fit;
}

/** Column step of the outline that finds the knee centre, and the height that counts as its flat top, mm. */
const outlineStepMm = 0.25;
const flatTopMm = 0.15;

/** Middle of the flat top of the lower outline between the condyles, as seen from the front. */
function notchMiddle(distal: BoneSurface, medialL: number, lateralL: number): number {
  const lower = outline(distal, medialL, lateralL, outlineStepMm, 'lower', { p: [-40, 60] });
  let top = 0;
  for (let k = 1; k < lower.heights.length; k += 1) if (lower.heights[k]! > lower.heights[top]!) top = k;
  const level = lower.heights[top]! - flatTopMm;
  const edge = (step: 1 | -1): number => {
    let k = top;
    while (lower.heights[k + step]! >= level) k += step;
    const here = lower.heights[k]!;
    const beyond = lower.heights[k + step]!;
    const share = Number.isFinite(beyond) && here > beyond ? (here - level) / (here - beyond) : 0;
    return lower.first + lower.step * (k + step * share);
  };
  return (edge(-1) + edge(1)) / 2;
}

/** Lowest point of the sagittal cut at `atL`: the groove at the front edge of the notch. */
function grooveLowest(distal: BoneSurface, atL: number): Vec3 {
  let low = Infinity;
  const loops = sagittalCut(distal, atL);
  for (const loop of loops) for (const [, p] of loop) if (p < low) low = p;
  let [sum, weight] = [0, 0];
  for (const loop of loops)
    for (let i = 0; i < loop.length; i += 1) {
      const [a0, p0] = loop[i]!;
      const [a1, p1] = loop[(i + 1) % loop.length]!;
      const w = Math.hypot(a1 - a0, p1 - p0) * Math.exp((low - (p0 + p1) / 2) / flatTopMm);
      sum += (w * (a0 + a1)) / 2;
      weight += w;
    }
  return [atL, sum / weight, low];
}

/** A pose being sought: rows are L, A, P in the parts' frame; `origin` is the knee centre there. */
interface FemurPose {
  readonly axes: Rotation;
  readonly origin: Vec3;
  readonly head: SphereFit;
}

/** Turns the axes and moves the origin until the definitions of the frame stand still. */
function settled(parts: FemurParts, start: FemurPose, effort: Effort): FemurPose {
  const head = headSphere(parts.head, start.head, standstill(effort));
  let axes = start.axes;
  let origin = start.origin;
  for (let round = 0; round < 30; round += 1) {
    const distal = seenFrom(parts.distal, axes, origin);
    const seat = { p: [-25, 55] as const };
    const medial = contact(distal, [0, -1, 0], { l: medialSide, ...seat });
    const lateral = contact(distal, [0, -1, 0], { l: lateralSide, ...seat });
    const distalM = contact(distal, [0, 0, -1], { l: medialSide });
    const distalL = contact(distal, [0, 0, -1], { l: lateralSide });
    if (!medial || !lateral || !distalM || !distalL) throw new Error('no condyles where the knee should be');
    const knee = grooveLowest(distal, notchMiddle(distal, distalM[0], distalL[0]));
    const nextOrigin = placedBack(knee, axes, origin);
    const p = unit(subtract(head.centre, nextOrigin));
    const lineOfCondyles = turnedBack(subtract(lateral, medial), axes);
    const l = unitSquareTo(lineOfCondyles, p);
    const next = rotationToAxes(p, cross(p, l));
    const moved =
      length(subtract(nextOrigin, origin)) +
      100 * (length(subtract(next[0], axes[0])) + length(subtract(next[2], axes[2])));
    axes = next;
    origin = nextOrigin;
    if (moved < standstill(effort)) break;
  }
  return { axes, origin, head };
}

/** Height above the distal-most level at which the groove's deepest line is taken, mm. Working default, no source. */
const grooveHeightMm = 22;

/** Deepest point of the groove at the front, between its two ridges, on a section square to P. */
function deepestGroove(distal: BoneSurface, atP: number): Vec3 {
  const loop = transverseCut(distal, atP)[0];
  if (!loop) throw new Error('no section through the groove');
  // The hull bridges the groove with one edge at the front; the deepest point is the farthest from that edge.
  const hull = convexHull(loop);
  let bridge: readonly [readonly [number, number], readonly [number, number]] | undefined;
  for (let i = 0; i < hull.length; i += 1) {
    const a = hull[i]!;
    const b = hull[(i + 1) % hull.length]!;
    const facesForward = a[0] - b[0] > 2 * Math.abs(a[1] - b[1]) && a[1] > 0;
    const wide = (e: readonly [readonly [number, number], readonly [number, number]]): number => e[0][0] - e[1][0];
    if (facesForward && (!bridge || wide([a, b]) > wide(bridge))) bridge = [a, b];
  }
  if (!bridge) return [0, span([loop], 1)[1], atP];
  const [lateral, medial] = bridge;
  const along: readonly [number, number] = [medial[0] - lateral[0], medial[1] - lateral[1]];
  const size = Math.hypot(...along);
  const depth = (q: readonly [number, number]): number =>
    (along[0] * (q[1] - lateral[1]) - along[1] * (q[0] - lateral[0])) / size;
  const front = loop.filter((q) => q[0] < lateral[0] && q[0] > medial[0] && q[1] > 0 && depth(q) >= 0);
  let [sl, sa, sw] = [0, 0, 0];
  const deepest = Math.max(...front.map(depth), 0);
  for (const q of front) {
    const w = Math.exp((depth(q) - deepest) / contactSoftnessMm);
    sl += w * q[0];
    sa += w * q[1];
    sw += w;
  }
  return sw > 0 ? [sl / sw, sa / sw, atP] : [(lateral[0] + medial[0]) / 2, (lateral[1] + medial[1]) / 2, atP];
}
const contactSoftnessMm = 0.3;

/** Foremost A of the surface in the sagittal plane `atL`, at height `atP`. */
function frontAt(distal: BoneSurface, atL: number, atP: number): number {
  return crossings(transverseCut(distal, atP), 0, atL).at(-1) ?? Number.NaN;
}

/**
 * Landmarks and frame of a femur that has been roughly placed.
 *
 * @param window heights of the first and last canal section above the distal end, mm
 * @returns the pose of the frame in the parts' frame, and landmarks in the femur's own frame
 */
export function femurLandmarks(
  parts: FemurParts,
  start: FemurPose,
  window: readonly [number, number],
  effort: Effort,
): { readonly pose: FemurPose; readonly landmarks: FemurLandmarks } {
  const pose = settled(parts, start, effort);
  const { axes, origin } = pose;
  const distal = seenFrom(parts.distal, axes, origin);
  const must = (p: Vec3 | undefined, what: string): Vec3 => {
    if (!p) throw new Error(`no surface where the ${what} should be`);
    return p;
  };
  const seat = { p: [-25, 55] as const };
  const distalMedial = must(contact(distal, [0, 0, -1], { l: medialSide }), 'medial distal condyle');
  const distalLateral = must(contact(distal, [0, 0, -1], { l: lateralSide }), 'lateral distal condyle');
  const lowest = Math.min(distalMedial[2], distalLateral[2]);
  const flanks = { p: [lowest + 8, lowest + 60] as const };
  const shaft = seenFrom(parts.shaft, axes, origin);
  const canal = shaftAxis(shaft, lowest + window[0], lowest + window[1], canalPasses(effort), canalSections(effort));
  const canalAt = (p: number): Vec3 =>
    add(canal.point, scaled(canal.direction, (p - canal.point[2]) / canal.direction[2]));
  const at9 = transverseCut(distal, lowest + 9);
  const l9 = span(at9, 0);
  const a9 = span(at9, 1);
  const feelerP = lowest + feelerHeightMm;
  const feelerL = canalAt(feelerP)[0];
  return {
    pose,
    landmarks: {
      hipCentre: [0, 0, length(subtract(pose.head.centre, origin))],
      headRadius: pose.head.radius,
      femoralKneeCentre: [0, 0, 0],
      distalMedial,
      distalLateral,
      posteriorMedial: must(contact(distal, [0, -1, 0], { l: medialSide, ...seat }), 'medial rear condyle'),
      posteriorLateral: must(contact(distal, [0, -1, 0], { l: lateralSide, ...seat }), 'lateral rear condyle'),
      epicondyleMedial: must(contact(distal, [-1, 0, 0], flanks), 'medial epicondyle'),
      epicondyleLateral: must(contact(distal, [1, 0, 0], flanks), 'lateral epicondyle'),
      trochlearGroove: deepestGroove(distal, lowest + grooveHeightMm),
      anteriorCortex: [feelerL, frontAt(distal, feelerL, feelerP), feelerP],
      cortexA: cortexHeightsMm.map((h) => frontAt(distal, canalAt(lowest + h)[0], lowest + h)),
      canalLow: canalAt(canal.point[2] - 50),
      canalHigh: canalAt(canal.point[2] + 50),
      canalBowRms: canal.rms,
      widthAt9: l9[1] - l9[0],
      depthAt9: a9[1] - a9[0],
    },
  };
}

/** A head is recognised long before its centre stands still, mm. */
const recognisedMm = 1;

/** Share of a full sphere that must be bone for it to be a femoral head; a condyle covers at most a third. */
export const leastHeadShare = 0.45;

/**
 * The roundest sphere near one end of a bone.
 *
 * @returns the fit and the share of the full sphere that is surface; `undefined` when no sphere of a head's size is there
 */
export function sphereAtEnd(
  end: BoneSurface,
  random: Random,
): { readonly fit: SphereFit; readonly share: number } | undefined {
  const { centres, normals, areas } = faces(end);
  // A few thousand faces are enough to choose; all of them take part in the final fit.
  const stride = Math.max(1, Math.floor(areas.length / 2500));
  const points: Vec3[] = [];
  const outward: Vec3[] = [];
  const weights: number[] = [];
  for (let f = 0; f < areas.length; f += stride) {
    points.push([centres[3 * f]!, centres[3 * f + 1]!, centres[3 * f + 2]!]);
    outward.push([normals[3 * f]!, normals[3 * f + 1]!, normals[3 * f + 2]!]);
    weights.push(areas[f]!);
  }
  const chosen = fitSphereRobust(points, outward, weights, {
    minRadius: 16,
    maxRadius: 32,
    tolerance: headToleranceMm,
    normalTolerance: Math.acos(headNormalLimit),
    tries: 600,
    requiredShare: 0.02,
    random: () => random.uniform(),
  });
  if (!chosen.ok) return undefined;
  const fit = headSphere(end, chosen.value, recognisedMm);
  let on = 0;
  for (let f = 0; f < areas.length; f += 1) {
    const d: Vec3 = [
      centres[3 * f]! - fit.centre[0],
      centres[3 * f + 1]! - fit.centre[1],
      centres[3 * f + 2]! - fit.centre[2],
    ];
    const distance = length(d);
    const radial = dot(d, [normals[3 * f]!, normals[3 * f + 1]!, normals[3 * f + 2]!]) / distance;
    if (Math.abs(distance - fit.radius) <= headToleranceMm && radial >= headNormalLimit) on += areas[f]!;
  }
  return { fit, share: on / (4 * Math.PI * fit.radius ** 2) };
}

/** Rough placement of a whole femur: which end is the head, where is the front, and whether the declared side fits. */
export interface FemurPlacement {
  readonly parts: FemurParts;
  /** Rows are the axes of the parts' frame, and its origin, in the frame of the surface that was placed. */
  readonly axes: Rotation;
  readonly origin: Vec3;
  readonly start: FemurPose;
  /** How far the head lies medial of the shaft's line if the declared side is right, mm; negative if it is wrong. */
  readonly headMedialMm: number;
}

/**
 * Cuts up a femur whose head has been found and places a first frame.
 *
 * @param surface the bone as if of a right leg, in any pose
 * @param up unit vector along the bone towards the head
 * @param head the head's sphere in the same frame
 */
export function placeFemur(surface: BoneSurface, up: Vec3, head: SphereFit): FemurPlacement {
  const across: Vec3 = Math.abs(up[0]) < 0.8 ? [1, 0, 0] : [0, 1, 0];
  const roughAxes = rotationToAxes(up, across);
  const rough = seenFrom(surface, roughAxes, head.centre);
  const [low, high] = extent(rough, 2);
  const lengthTotal = high - low;
  const shaft = shaftAxis(rough, low + 0.3 * lengthTotal, low + 0.6 * lengthTotal, 3, 9);
  const onShaft = (p: number): Vec3 =>
    add(shaft.point, scaled(shaft.direction, (p - shaft.point[2]) / shaft.direction[2]));
  // The condyles stand back from the line of the shaft, and the head stands medial of it.
  const condyles = surfaceMoments(between(rough, low, low + 0.07 * lengthTotal)).centre;
  const back = subtract(condyles, onShaft(condyles[2]));
  const axes = rotationToAxes(scaled(condyles, -1), scaled(back, -1));
  const headMedialMm = dot(onShaft(0), axes[0]);
  const turned = product(axes, roughAxes);
  // The knee centre lies a little above the lowest point, on the line from the head to the condyles.
  const kneeP = extent(seenFrom(rough, axes, [0, 0, 0]), 2)[0] + 8;
  const origin = placedBack([0, 0, kneeP], turned, head.centre);
  const placed = seenFrom(surface, turned, origin);
  return {
    parts: {
      head: between(placed, -kneeP - 2 * head.radius, Infinity),
      shaft: between(placed, 0.1 * lengthTotal, 0.62 * lengthTotal),
      distal: between(placed, -Infinity, 100),
      lengthTotal,
    },
    axes: turned,
    origin,
    start: { axes: noRotation, origin: [0, 0, 0], head: { ...head, centre: [0, 0, -kneeP] } },
    headMedialMm,
  };
}
