import {
  add,
  convexHull,
  cross,
  dot,
  fitPlane,
  length,
  midpoint,
  noRotation,
  type Polygon,
  polygonCentroid,
  polygonSecondMoments,
  product,
  type Rotation,
  rotated,
  rotationToAxes,
  scaled,
  subtract,
  unit,
  unitSquareTo,
  type Vec3,
} from '@kerfline/geometry';
import { ankleOffset } from '../population.ts';
import {
  type BoneSurface,
  between,
  extent,
  type Faces,
  faces,
  placedBack,
  seenFrom,
  surfaceMoments,
  turnedBack,
} from './bone-surface.ts';
import { canalPasses, canalSections, type Effort, standstill } from './effort.ts';
import { shaftAxis } from './shaft-axis.ts';
import { contact, outline, sagittalCut, span, transverseCut } from './surface-features.ts';

/** Landmarks of one tibia, with its fibula if there is one, in the tibia's own L-A-P frame, mm (docs/methods.md). */
export interface TibiaLandmarks {
  readonly tibialKneeCentre: Vec3;
  readonly plateauMedial: Vec3;
  readonly plateauLateral: Vec3;
  /** Outward unit normals of the two plateau discs. */
  readonly plateauMedialNormal: Vec3;
  readonly plateauLateralNormal: Vec3;
  /** Front and rear rim of the medial plateau on the sagittal cut through `plateauMedial`, as (A, P) at its L. */
  readonly medialRimFront: Vec3;
  readonly medialRimRear: Vec3;
  readonly tubercle: Vec3;
  readonly malleolusMedial: Vec3;
  /** Only with a fibula. */
  readonly malleolusLateral: Vec3 | undefined;
  /** Middle of the malleoli, or what stands for it without a fibula. */
  readonly ankleCentre: Vec3;
  readonly plafondCentre: Vec3;
  readonly fibulaHead: Vec3 | undefined;
  readonly canalLow: Vec3;
  readonly canalHigh: Vec3;
  readonly canalBowRms: number;
  /** Foremost points of the shaft a quarter and three fifths of the way down: the crest that faces a rod outside. */
  readonly crestUpper: Vec3;
  readonly crestLower: Vec3;
  readonly widthAt10: number;
  readonly depthAt10: number;
}

export interface TibiaParts {
  readonly proximal: BoneSurface;
  readonly shaft: BoneSurface;
  readonly distal: BoneSurface;
  readonly fibulaProximal: BoneSurface | undefined;
  readonly fibulaDistal: BoneSurface | undefined;
  readonly lengthTotal: number;
}

interface TibiaPose {
  /** Rows are L, A, P in the parts' frame. */
  readonly axes: Rotation;
  /** Tibial knee centre in the parts' frame. */
  readonly origin: Vec3;
}

/** Section that gives width, depth and the L axis, below the mean plateau height, mm. */
const sectionBelowPlateauMm = 10;
/** Plateau points lie this share of the section's width to either side of its centre. */
const plateauShare = 0.28;
const discRadiusMm = 8;
/** The disc's weight fades over this much at its edge, so that no single face can tip the result, mm. */
const discFadeMm = 1;
const upwardLimit = Math.cos((37 * Math.PI) / 180);
/** The angular limit fades over this much of the cosine on either side. */
const upwardFade = 0.03;

const fade = (value: number, edge: number, width: number): number =>
  Math.min(1, Math.max(0, 0.5 + (value - edge) / (2 * width)));

interface PlateauDisc {
  readonly point: Vec3;
  readonly normal: Vec3;
}

/** The faces that look up towards the femur, with room for the angular limit's fade. */
function upwardFaces(proximal: BoneSurface): Faces {
  const all = faces(proximal);
  const up: number[] = [];
  for (let f = 0; f < all.areas.length; f += 1) {
    if (all.normals[3 * f + 2]! > upwardLimit - 2 * upwardFade) up.push(f);
  }
  const centres = new Float64Array(3 * up.length);
  const normals = new Float64Array(3 * up.length);
  const areas = new Float64Array(up.length);
  up.forEach((f, k) => {
    centres.set(all.centres.subarray(3 * f, 3 * f + 3), 3 * k);
    normals.set(all.normals.subarray(3 * f, 3 * f + 3), 3 * k);
    areas[k] = all.areas[f]!;
  });
  return { centres, normals, areas };
}

/** Plane of the upward faces in a disc about a place of the plateau, half way front to back at its L, read at that place. */
function plateauDisc(upward: Faces, atL: number, spanA: readonly [number, number]): PlateauDisc {
  const { centres, normals, areas } = upward;
  let front = -Infinity;
  let rear = Infinity;
  for (let f = 0, i = 0; f < areas.length; f += 1, i += 3) {
    if (Math.abs(centres[i]! - atL) > 1 || normals[i + 2]! < upwardLimit) continue;
    const a = centres[i + 1]!;
    if (a < spanA[0] || a > spanA[1]) continue;
    if (a > front) front = a;
    if (a < rear) rear = a;
  }
  const atA = (front + rear) / 2;
  const reach = discRadiusMm + 2 * discFadeMm;
  const points: Vec3[] = [];
  const weights: number[] = [];
  for (let f = 0, i = 0; f < areas.length; f += 1, i += 3) {
    const dl = centres[i]! - atL;
    const da = centres[i + 1]! - atA;
    if (dl > reach || dl < -reach || da > reach || da < -reach) continue;
    const w =
      areas[f]! *
      fade(-Math.sqrt(dl * dl + da * da), -discRadiusMm, discFadeMm) *
      fade(normals[i + 2]!, upwardLimit, upwardFade);
    if (!(w > 0)) continue;
    points.push([centres[i]!, centres[i + 1]!, centres[i + 2]!]);
    weights.push(w);
  }
  if (points.length < 6) throw new Error('no plateau where it should be');
  const { centroid, normal: raw } = fitPlane(points, weights);
  const normal = raw[2] < 0 ? scaled(raw, -1) : raw;
  const height = centroid[2] - (normal[0] * (atL - centroid[0]) + normal[1] * (atA - centroid[1])) / normal[2];
  return { point: [atL, atA, height], normal };
}

/** Tips of the two spines: highest points of sagittal cuts in the middle third. */
const spineStepMm = 0.5;
const spinesApartMm = 5;
/** A second tip stands out when the outline falls this far between it and the first, and it is not this much lower, mm. */
const spineProminenceMm = 0.12;
const spineDropMm = 6;

/** Middle of the spine tips, as seen from the front and along the cut: (L, A, P). */
function spinesMiddle(proximal: BoneSurface, centre: readonly [number, number], width: number): Vec3 {
  const low = centre[0] - width / 6;
  const upper = outline(proximal, low, centre[0] + width / 6, spineStepMm, 'upper');
  // Smoothed over two millimetres to choose the tips, so that roughness makes none.
  const h = upper.heights.map((_, k, raw) => {
    const at = (j: number): number => raw[Math.min(raw.length - 1, Math.max(0, j))]!;
    return (at(k - 2) + 2 * at(k - 1) + 3 * at(k) + 2 * at(k + 1) + at(k + 2)) / 9;
  });
  let first = 0;
  for (let k = 1; k < h.length; k += 1) if (h[k]! > h[first]!) first = k;
  let second: number | undefined;
  const apart = Math.round(spinesApartMm / spineStepMm);
  for (let k = 1; k < h.length - 1; k += 1) {
    if (Math.abs(k - first) < apart || h[k]! < h[k - 1]! || h[k]! < h[k + 1]!) continue;
    let valley = Infinity;
    for (let j = Math.min(k, first); j <= Math.max(k, first); j += 1) valley = Math.min(valley, h[j]!);
    if (h[k]! - valley < spineProminenceMm || h[first]! - h[k]! > spineDropMm) continue;
    if (second === undefined || h[k]! > h[second]!) second = k;
  }
  const tipAt = (k: number): Vec3 => {
    const near = (v: number, w: number): number => (Number.isFinite(v) ? v : w);
    const [a, b, c] = [near(h[k - 1]!, h[k]! - 1), h[k]!, near(h[k + 1]!, h[k]! - 1)];
    const curve = a - 2 * b + c;
    const shift = curve < 0 ? Math.max(-1, Math.min(1, (a - c) / (2 * curve))) : 0;
    const l = upper.first + (k + shift) * upper.step;
    return highestOfCut(proximal, l);
  };
  return second === undefined ? tipAt(first) : midpoint(tipAt(first), tipAt(second));
}

/** Highest point of a sagittal cut; its place along the cut is a mean of what lies within a fraction of a millimetre. */
function highestOfCut(surface: BoneSurface, atL: number): Vec3 {
  let high = -Infinity;
  const loops = sagittalCut(surface, atL);
  for (const loop of loops) for (const [, p] of loop) high = Math.max(high, p);
  let [sum, weight] = [0, 0];
  for (const loop of loops)
    for (let i = 0; i < loop.length; i += 1) {
      const [a0, p0] = loop[i]!;
      const [a1, p1] = loop[(i + 1) % loop.length]!;
      const w = Math.hypot(a1 - a0, p1 - p0) * Math.exp(((p0 + p1) / 2 - high) / 0.15);
      sum += (w * (a0 + a1)) / 2;
      weight += w;
    }
  return [atL, sum / weight, high];
}

interface Ankle {
  readonly medial: Vec3;
  readonly lateral: Vec3 | undefined;
  readonly plafond: Vec3;
  readonly centre: Vec3;
}

/** Prominences are sought within these distances of the tips, mm. */
const medialProminenceMm = 35;
const lateralProminenceMm = 40;
/** Where no fibula is given the lateral malleolus is not seen; the direction of the malleoli is then this far external of L. */
const usualMalleolarTwist = (24 * Math.PI) / 180;

/** The joint surface at the ankle faces within this of straight down, and lies this far above the tip of the malleolus, mm. */
const plafondLimit = 0.85;
const plafondHeightMm = [6, 25] as const;

/** Middle of the joint surface that faces the talus, without the inner face and the tip of the malleolus. */
function plafondCentre(distal: BoneSurface, tip: Vec3): Vec3 {
  const { centres, normals, areas } = faces(distal);
  let [l, a, p, w] = [0, 0, 0, 0];
  for (let f = 0; f < areas.length; f += 1) {
    const height = centres[3 * f + 2]! - tip[2];
    if (-normals[3 * f + 2]! < plafondLimit || height < plafondHeightMm[0] || height > plafondHeightMm[1]) continue;
    l += areas[f]! * centres[3 * f]!;
    a += areas[f]! * centres[3 * f + 1]!;
    p += areas[f]! * centres[3 * f + 2]!;
    w += areas[f]!;
  }
  if (!(w > 0)) throw new Error('no joint surface at the ankle');
  return [l / w, a / w, p / w];
}

function ankle(distal: BoneSurface, fibulaDistal: BoneSurface | undefined): Ankle {
  const tip = contact(distal, [0, 0, -1], {});
  if (!tip) throw new Error('no distal end');
  const plafond = plafondCentre(distal, tip);
  if (!fibulaDistal) {
    const across: Vec3 = [-Math.cos(usualMalleolarTwist), Math.sin(usualMalleolarTwist), 0];
    const medial = contact(distal, across, { p: [tip[2], tip[2] + medialProminenceMm] });
    if (!medial) throw new Error('no medial malleolus');
    return { medial, lateral: undefined, plafond, centre: add(plafond, [ankleOffset.mean, 0, 0]) };
  }
  const fibulaTip = contact(fibulaDistal, [0, 0, -1], {});
  if (!fibulaTip) throw new Error('no distal end of the fibula');
  const line = subtract(fibulaTip, tip);
  const across = unit([line[0], line[1], 0]);
  const medial = contact(distal, scaled(across, -1), { p: [tip[2], tip[2] + medialProminenceMm] });
  const lateral = contact(fibulaDistal, across, {
    p: [fibulaTip[2], fibulaTip[2] + lateralProminenceMm],
  });
  if (!medial || !lateral) throw new Error('no malleoli');
  return { medial, lateral, plafond, centre: midpoint(medial, lateral) };
}

/** Everything of the knee end that depends on the pose; heights are those of the frame given. */
function kneeEnd(
  proximal: BoneSurface,
  effort: Effort,
): {
  readonly lateral: readonly [number, number];
  readonly centre: readonly [number, number];
  readonly width: number;
  readonly depth: number;
  readonly medialDisc: PlateauDisc;
  readonly lateralDisc: PlateauDisc;
} {
  const upward = upwardFaces(proximal);
  const top = extent(proximal, 2)[1];
  let level = top - 9;
  let result: ReturnType<typeof kneeEnd> | undefined;
  for (let round = 0; round < 20; round += 1) {
    const loops = transverseCut(proximal, level - sectionBelowPlateauMm);
    const outer = loops[0];
    if (!outer) throw new Error('no section below the plateau');
    const m = polygonSecondMoments(outer);
    const turn = Math.atan2(2 * m.xy, m.xx - m.yy) / 2;
    const lateral: readonly [number, number] =
      Math.cos(turn) >= 0 ? [Math.cos(turn), Math.sin(turn)] : [-Math.cos(turn), -Math.sin(turn)];
    const centre = polygonCentroid(outer);
    const [low, high] = span([outer], 0);
    const spanA = span([outer], 1);
    const width = high - low;
    const medialDisc = plateauDisc(upward, centre[0] - plateauShare * width, spanA);
    const lateralDisc = plateauDisc(upward, centre[0] + plateauShare * width, spanA);
    const next = (medialDisc.point[2] + lateralDisc.point[2]) / 2;
    result = { lateral, centre, width, depth: spanA[1] - spanA[0], medialDisc, lateralDisc };
    const moved = Math.abs(next - level);
    level = next;
    if (moved < standstill(effort)) break;
  }
  return result!;
}

/** Turns the axes and moves the origin until the definitions of the frame stand still. */
function settled(parts: TibiaParts, start: TibiaPose, effort: Effort): TibiaPose {
  let { axes, origin } = start;
  for (let round = 0; round < 30; round += 1) {
    const proximal = seenFrom(parts.proximal, axes, origin);
    const end = kneeEnd(proximal, effort);
    const knee = spinesMiddle(proximal, end.centre, end.width);
    const foot = ankle(
      seenFrom(parts.distal, axes, origin),
      parts.fibulaDistal && seenFrom(parts.fibulaDistal, axes, origin),
    );
    const nextOrigin = placedBack(knee, axes, origin);
    const p = unit(subtract(nextOrigin, placedBack(foot.centre, axes, origin)));
    const l = unitSquareTo(turnedBack([end.lateral[0], end.lateral[1], 0], axes), p);
    const next = rotationToAxes(p, cross(p, l));
    const moved =
      length(subtract(nextOrigin, origin)) +
      100 * (length(subtract(next[0], axes[0])) + length(subtract(next[2], axes[2])));
    axes = next;
    origin = nextOrigin;
    if (moved < standstill(effort)) break;
  }
  return { axes, origin };
}

/** Front and rear rim on a sagittal cut: ends of the edge of the upper hull that bridges the dish at `atA`. */
function rims(proximal: BoneSurface, disc: PlateauDisc): readonly [Vec3, Vec3] {
  const atL = disc.point[0];
  const top = sagittalCut(proximal, atL)
    .flat()
    .filter(([, p]) => p > disc.point[2] - 15);
  const hull = convexHull(top);
  let best: readonly [readonly [number, number], readonly [number, number]] | undefined;
  for (let i = 0; i < hull.length; i += 1) {
    const front = hull[i]!;
    const rear = hull[(i + 1) % hull.length]!;
    // Counter-clockwise, the upper side runs from front to rear.
    if (front[0] - rear[0] <= Math.abs(front[1] - rear[1])) continue;
    if (!best || front[0] - rear[0] > best[0][0] - best[1][0]) best = [front, rear];
  }
  if (!best) throw new Error('no rim of the medial plateau');
  return [
    [atL, best[0][0], best[0][1]],
    [atL, best[1][0], best[1][1]],
  ];
}

/**
 * Landmarks and frame of a tibia that has been roughly placed.
 *
 * @returns the pose of the frame in the parts' frame, and landmarks in the tibia's own frame
 */
export function tibiaLandmarks(
  parts: TibiaParts,
  start: TibiaPose,
  effort: Effort,
): { readonly pose: TibiaPose; readonly landmarks: TibiaLandmarks } {
  const pose = settled(parts, start, effort);
  const { axes, origin } = pose;
  const proximal = seenFrom(parts.proximal, axes, origin);
  const shaft = seenFrom(parts.shaft, axes, origin);
  const fibulaTop = parts.fibulaProximal && seenFrom(parts.fibulaProximal, axes, origin);
  const foot = ankle(
    seenFrom(parts.distal, axes, origin),
    parts.fibulaDistal && seenFrom(parts.fibulaDistal, axes, origin),
  );
  const end = kneeEnd(proximal, effort);
  const level = (end.medialDisc.point[2] + end.lateralDisc.point[2]) / 2;
  const [medialRimFront, medialRimRear] = rims(proximal, end.medialDisc);
  const tubercle = contact(proximal, [0, 1, 0], { p: [level - 60, level - 20] });
  if (!tubercle) throw new Error('no tubercle');
  const lengthTotal = parts.lengthTotal;
  const top = level;
  const canal = shaftAxis(
    shaft,
    top - 0.75 * lengthTotal,
    top - 0.25 * lengthTotal,
    canalPasses(effort),
    canalSections(effort),
  );
  const canalAt = (p: number): Vec3 =>
    add(canal.point, scaled(canal.direction, (p - canal.point[2]) / canal.direction[2]));
  const crestAt = (share: number): Vec3 => {
    const p = top - share * lengthTotal;
    const crest = contact(shaft, [0, 1, 0], { p: [p - 3, p + 3] });
    if (!crest) throw new Error('no shaft');
    return [crest[0], crest[1], p];
  };
  return {
    pose,
    landmarks: {
      tibialKneeCentre: [0, 0, 0],
      plateauMedial: end.medialDisc.point,
      plateauLateral: end.lateralDisc.point,
      plateauMedialNormal: end.medialDisc.normal,
      plateauLateralNormal: end.lateralDisc.normal,
      medialRimFront,
      medialRimRear,
      tubercle,
      malleolusMedial: foot.medial,
      malleolusLateral: foot.lateral,
      ankleCentre: foot.centre,
      plafondCentre: foot.plafond,
      fibulaHead: fibulaTop && contact(fibulaTop, [0, 0, 1], {}),
      canalLow: canalAt(canal.point[2] - 50),
      canalHigh: canalAt(canal.point[2] + 50),
      canalBowRms: canal.rms,
      crestUpper: crestAt(0.25),
      crestLower: crestAt(0.6),
      widthAt10: end.width,
      depthAt10: end.depth,
    },
  };
}

export interface TibiaPlacement {
  readonly parts: TibiaParts;
  readonly axes: Rotation;
  readonly origin: Vec3;
  readonly start: TibiaPose;
  /** How far the fibula lies lateral of the shaft if the declared side is right (negative if wrong), and off at the ankle. */
  readonly fibula: { readonly lateralMm: number; readonly apartMm: number } | undefined;
  /** How far the medial malleolus stands medial of the shaft if the declared side is right, mm; negative if it is wrong. */
  readonly malleolusMedialMm: number;
  /** How clearly the bone shows which way is forward, mm; near zero the placement is a guess. */
  readonly forwardMm: number;
}

/** Levels of the shaft, as shares of the length from the top, where the crest is looked for. */
const crestShares = [0.2, 0.3, 0.4];

/**
 * Cuts up a tibia and places a first frame from the bone alone; the fibula is only compared.
 *
 * @param surface the tibia as if of a right leg, in any pose
 * @param up unit vector along the bone towards the knee
 * @param centre a point inside the bone
 */
export function placeTibia(
  surface: BoneSurface,
  fibula: BoneSurface | undefined,
  up: Vec3,
  centre: Vec3,
): TibiaPlacement {
  const across: Vec3 = Math.abs(up[0]) < 0.8 ? [1, 0, 0] : [0, 1, 0];
  const roughAxes = rotationToAxes(up, across);
  const rough = seenFrom(surface, roughAxes, centre);
  const [low, high] = extent(rough, 2);
  const lengthTotal = high - low;
  const shaft = shaftAxis(rough, high - 0.75 * lengthTotal, high - 0.3 * lengthTotal, 3, 9);
  const onShaft = (p: number): Vec3 =>
    add(shaft.point, scaled(shaft.direction, (p - shaft.point[2]) / shaft.direction[2]));
  // The widest direction of the plateau is side to side.
  const plateau = transverseCut(rough, high - 18)[0];
  if (!plateau) throw new Error('no section below the plateau');
  const m = polygonSecondMoments(plateau);
  const turn = Math.atan2(2 * m.xy, m.xx - m.yy) / 2;
  const wide: Vec3 = [Math.cos(turn), Math.sin(turn), 0];
  // The crest makes the shaft's section reach farthest forward, and the medial malleolus stands forward of the shaft.
  const narrow: Vec3 = [-wide[1], wide[0], 0];
  const lowEnd = between(rough, low, low + 25);
  const lowTip = contact(lowEnd, [0, 0, -1], {});
  if (!lowTip) throw new Error('no distal end');
  const ankleCut = transverseCut(rough, low + 0.12 * lengthTotal)[0];
  if (!ankleCut) throw new Error('no section above the ankle');
  const [ax, ay] = polygonCentroid(ankleCut);
  const malleolus: Vec3 = [lowTip[0] - ax, lowTip[1] - ay, 0];
  const crests = crestShares.map((share) => {
    const cut = transverseCut(rough, high - share * lengthTotal)[0];
    return cut ? farthestFromMiddle(cut) : 0;
  });
  function farthestFromMiddle(cut: Polygon): number {
    const [mx, my] = polygonCentroid(cut);
    let far: readonly [number, number] = [0, 0];
    for (const [x, y] of cut) if (Math.hypot(x - mx, y - my) > Math.hypot(...far)) far = [x - mx, y - my];
    return dot([far[0], far[1], 0], narrow);
  }
  const forward = dot(malleolus, narrow) + crests.reduce((sum, v) => sum + v, 0) / crests.length;
  const front = forward >= 0 ? narrow : scaled(narrow, -1);
  const axes = rotationToAxes(shaft.direction, front);
  const turned = product(axes, roughAxes);
  const origin = placedBack([...onShaft(high).slice(0, 2), high] as unknown as Vec3, roughAxes, centre);
  const placed = seenFrom(surface, turned, origin);
  const [bottom] = extent(placed, 2);
  const placedFibula = fibula && seenFrom(fibula, turned, origin);
  const beside = placedFibula && surfaceMoments(placedFibula).centre;
  const ankleMiddle = surfaceMoments(between(placed, bottom, bottom + 25)).centre;
  const footOfFibula =
    placedFibula &&
    surfaceMoments(between(placedFibula, extent(placedFibula, 2)[0], extent(placedFibula, 2)[0] + 25)).centre;
  return {
    parts: {
      proximal: between(placed, -75, Infinity),
      shaft: between(placed, -0.82 * lengthTotal, -0.18 * lengthTotal),
      distal: between(placed, -Infinity, bottom + 60),
      fibulaProximal: placedFibula && between(placedFibula, extent(placedFibula, 2)[1] - 60, Infinity),
      fibulaDistal: placedFibula && between(placedFibula, -Infinity, extent(placedFibula, 2)[0] + 60),
      lengthTotal,
    },
    axes: turned,
    origin,
    start: { axes: noRotation, origin: [0, 0, 0] },
    fibula:
      beside && footOfFibula
        ? { lateralMm: beside[0], apartMm: length(subtract(footOfFibula, ankleMiddle)) }
        : undefined,
    malleolusMedialMm: -dot(rotated(axes, malleolus), [1, 0, 0]),
    forwardMm: Math.abs(forward),
  };
}
