import { along, dot, type Field, fitPlane, length, midpoint, subtract, unit, type Vec3 } from '@kerfline/geometry';
import {
  type Axes,
  axesFrom,
  coordinates,
  deepest,
  depthSeen,
  narrowed,
  normalAt,
  opposite,
  peak,
  peakAlong,
  place,
  placeSeen,
  type Sampling,
  sectionMoments,
  type View,
  zeroBetween,
} from './surface-probe.ts';

/** What a tibia with its fibula measures, every place in the frame the tibia is drawn in, mm. */
export interface TibiaTruth {
  readonly axes: Axes;
  readonly kneeCentre: Vec3;
  readonly spineTips: readonly Vec3[];
  readonly plateauMedial: Vec3;
  readonly plateauLateral: Vec3;
  readonly tubercle: Vec3;
  readonly malleolusMedial: Vec3;
  readonly malleolusLateral: Vec3;
  readonly malleolarMidpoint: Vec3;
  readonly plafondCentre: Vec3;
  readonly widthMm: number;
  readonly depthMm: number;
  /** Fall of the medial rim toward the back, radians. */
  readonly slope: number;
}

const STILL_MM = 1e-3;
const MOST_ROUNDS = 40;

/** Faces within 37 degrees of P face upward. */
const UPWARD = Math.cos((37 * Math.PI) / 180);
const DISC_RADIUS_MM = 8;
/** Places looked at on each ring of the disc. */
const RING_PLACES = 36;
/** Of the section's width, from its centroid to a plateau point. */
const PLATEAU_SHARE = 0.28;
const SECTION_BELOW_MM = 10;
const LEAST_SPINE_DISTANCE_MM = 5;

/**
 * Landmarks of a tibia by the definitions of the reference bones, on its implicit surface.
 *
 * Left open by the definitions and settled here: the line of the two malleolar tips is taken square to P; the middle of a
 * plateau from front to back is that of the cut's upward faces, followed from the section's centroid to where they end; the disc is round in plan,
 * and its plane is read at its middle; the plafond is what is seen from below, faces along -P (0.85 and more) and lies 6 to
 * 25 mm above the tibial tip.
 */
export function tibiaTruth(field: Field, fibula: Field, drawnLengthMm: number, sampling: Sampling): TibiaTruth {
  const step = sampling.stepMm;
  let axes = axesFrom([0, 0, 0], [0, 0, 1], [1, 0, 0]);
  let ankle: Vec3 = [0, 0, -drawnLengthMm];
  let plateau = -8;
  let before: Malleoli | undefined;
  let tips: readonly Vec3[] = [];
  for (let round = 0; round < MOST_ROUNDS; round += 1) {
    const malleoli: Malleoli = prominences(field, fibula, axes, ankle, step, before);
    before = malleoli;
    const section = kneeSection(field, axes, plateau - SECTION_BELOW_MM, sampling);
    const square = axesFrom(axes.origin, axes.p, section.lateral);
    const { medial, lateral } = plateauPoints(field, square, section, sampling);
    tips = round === 0 ? spineTips(field, square, section, plateau, step) : movedTips(field, square, tips, step);
    const kneeCentre = tips.length === 2 ? midpoint(tips[0]!, tips[1]!) : tips[0]!;
    ankle = midpoint(malleoli.medial, malleoli.lateral);
    const next = axesFrom(kneeCentre, subtract(kneeCentre, ankle), section.lateral);
    const height = (coordinates(next, medial)[2] + coordinates(next, lateral)[2]) / 2;
    const reach = 100;
    const moved =
      Math.abs(height - plateau) +
      length(subtract(next.origin, axes.origin)) +
      reach * length(subtract(next.l, axes.l)) +
      reach * length(subtract(next.p, axes.p));
    axes = next;
    plateau = height;
    if (!(moved < STILL_MM)) continue;
    const front: View = { origin: axes.origin, u: axes.l, v: axes.p, toward: axes.a, eye: 100, end: -40 };
    const foremost = peak(
      (l, p) => depthSeen(field, front, l, p),
      { u: [-40, 40], v: [plateau - 60, plateau - 20] },
      step,
    );
    return {
      axes,
      kneeCentre,
      spineTips: tips,
      plateauMedial: medial,
      plateauLateral: lateral,
      tubercle: placeSeen(front, foremost.u, foremost.v, foremost.value),
      malleolusMedial: malleoli.medial,
      malleolusLateral: malleoli.lateral,
      malleolarMidpoint: ankle,
      plafondCentre: plafond(field, axes, ankle, malleoli.tip, sampling),
      widthMm: section.to - section.from,
      depthMm: section.front - section.back,
      slope: rimSlope(field, axes, coordinates(axes, medial), step),
    };
  }
  throw new Error('the axes of the tibia do not come to rest');
}

interface Malleoli {
  readonly medial: Vec3;
  readonly lateral: Vec3;
  /** Lowest points of tibia and fibula. */
  readonly tip: Vec3;
  readonly fibularTip: Vec3;
}

function prominences(
  field: Field,
  fibula: Field,
  axes: Axes,
  ankle: Vec3,
  step: number,
  before: Malleoli | undefined,
): Malleoli {
  const below: View = { origin: ankle, u: axes.l, v: axes.a, toward: opposite(axes.p), eye: 60, end: -60 };
  const tipOf = (bone: Field, near: Vec3 | undefined): Vec3 => {
    const region = narrowed(below, { u: [-60, 60], v: [-60, 60] }, near);
    const found = peak((l, a) => depthSeen(bone, below, l, a), region, step);
    return placeSeen(below, found.u, found.v, found.value);
  };
  const tibial = tipOf(field, before?.tip);
  const fibular = tipOf(fibula, before?.fibularTip);
  const between = subtract(fibular, tibial);
  const line = unit(along(between, axes.p, -dot(between, axes.p)));
  const square = axesFrom(ankle, axes.p, line);
  const prominence = (bone: Field, tip: Vec3, toward: Vec3, within: number, near: Vec3 | undefined): Vec3 => {
    const view: View = { origin: ankle, u: square.a, v: square.p, toward, eye: 80, end: -20 };
    const low = coordinates(square, tip)[2];
    const region = narrowed(view, { u: [-40, 40], v: [low, low + within] }, near);
    const found = peak((a, p) => depthSeen(bone, view, a, p), region, step);
    return placeSeen(view, found.u, found.v, found.value);
  };
  return {
    medial: prominence(field, tibial, opposite(square.l), 35, before?.medial),
    lateral: prominence(fibula, fibular, square.l, 40, before?.lateral),
    tip: tibial,
    fibularTip: fibular,
  };
}

interface KneeSection {
  readonly level: number;
  /** Long axis of the second moments, toward the fibula. */
  readonly lateral: Vec3;
  readonly centre: Vec3;
  /** Extent along L and A of the axes with that L, mm from the axes' origin. */
  readonly from: number;
  readonly to: number;
  readonly back: number;
  readonly front: number;
}

function kneeSection(field: Field, axes: Axes, level: number, { rays, stepMm }: Sampling): KneeSection {
  const inside = deepest(field, place(axes, [0, 5, level]), axes.l, axes.a, 15);
  // Rays in directions that do not turn with the axes, so that their number cannot keep these from coming to rest.
  const fixed = axesFrom(axes.origin, axes.p, [1, 0, 0]);
  const { centre, long } = sectionMoments(field, inside, fixed.l, fixed.a, 4 * rays);
  const lateral = dot(long, axes.l) > 0 ? long : opposite(long);
  const square = axesFrom(axes.origin, axes.p, lateral);
  const reach = (toward: Vec3, across: Vec3): number =>
    peakAlong(
      (t) => depthSeen(field, { origin: axes.origin, u: across, v: axes.p, toward, eye: 100, end: -60 }, t, level),
      -60,
      60,
      stepMm,
    ).value;
  return {
    level,
    lateral,
    centre,
    from: -reach(opposite(square.l), square.a),
    to: reach(square.l, square.a),
    back: -reach(opposite(square.a), square.l),
    front: reach(square.a, square.l),
  };
}

function plateauPoints(
  field: Field,
  axes: Axes,
  section: KneeSection,
  sampling: Sampling,
): { readonly medial: Vec3; readonly lateral: Vec3 } {
  const above: View = { origin: axes.origin, u: axes.l, v: axes.a, toward: axes.p, eye: 30, end: section.level };
  const middle = coordinates(axes, section.centre);
  const upward = (l: number, a: number): number => {
    const depth = depthSeen(field, above, l, a);
    return depth === undefined ? -1 : dot(normalAt(field, placeSeen(above, l, a, depth)), axes.p) - UPWARD;
  };
  const onPlateau = (l: number): Vec3 => {
    const edge = (step: number): number => {
      for (let a = middle[1]; ; a += step) if (upward(l, a) < 0) return zeroBetween((t) => upward(l, t), a - step, a);
    };
    const a = (edge(-sampling.stepMm / 4) + edge(sampling.stepMm / 4)) / 2;
    // Rings of equal area over the disc, each looked at in even directions.
    const rings = Math.round(24 / sampling.stepMm) + 8;
    const points: Vec3[] = [];
    const weights: number[] = [];
    for (let i = 0; i < rings; i += 1) {
      const r = DISC_RADIUS_MM * Math.sqrt((i + 0.5) / rings);
      for (let k = 0; k < RING_PLACES; k += 1) {
        const turn = (2 * Math.PI * (k + (i % 2) / 2)) / RING_PLACES;
        const [u, v] = [l + r * Math.cos(turn), a + r * Math.sin(turn)];
        const depth = depthSeen(field, above, u, v);
        if (depth === undefined) continue;
        const up = dot(normalAt(field, placeSeen(above, u, v, depth)), axes.p);
        if (up < UPWARD) continue;
        points.push([u, v, depth]);
        weights.push(1 / up);
      }
    }
    const { centroid, normal } = fitPlane(points, weights);
    const height = centroid[2] - (normal[0] * (l - centroid[0]) + normal[1] * (a - centroid[1])) / normal[2];
    return place(axes, [l, a, height]);
  };
  const width = section.to - section.from;
  return {
    medial: onPlateau(middle[0] - PLATEAU_SHARE * width),
    lateral: onPlateau(middle[0] + PLATEAU_SHARE * width),
  };
}

/** Highest points of the sagittal cuts in the middle third that stand out, at least 5 mm apart along L; highest first. */
function spineTips(field: Field, axes: Axes, section: KneeSection, plateau: number, step: number): readonly Vec3[] {
  const above: View = { origin: axes.origin, u: axes.l, v: axes.a, toward: axes.p, eye: 30, end: plateau - 20 };
  const highest = (l: number) => peakAlong((a) => depthSeen(field, above, l, a), -40, 45, step);
  const third = (section.to - section.from) / 3;
  const cuts: { readonly l: number; readonly height: number }[] = [];
  const finer = Math.min(0.5, step);
  for (let l = section.from + third; l <= section.to - third; l += finer) cuts.push({ l, height: highest(l).value });
  const tops = cuts.filter(
    ({ height }, i) => i > 0 && i + 1 < cuts.length && height > cuts[i - 1]!.height && height >= cuts[i + 1]!.height,
  );
  tops.sort((a, b) => b.height - a.height);
  const second = tops.find(({ l }) => Math.abs(l - tops[0]!.l) >= LEAST_SPINE_DISTANCE_MM);
  return [tops[0]!, ...(second ? [second] : [])].map(({ l }) => {
    const at = peakAlong((t) => highest(t).value, l - finer, l + finer, finer).at;
    const cut = highest(at);
    return placeSeen(above, at, cut.at, cut.value);
  });
}

/** The same tips for axes that have turned a little: the highest place near each. */
function movedTips(field: Field, axes: Axes, before: readonly Vec3[], step: number): readonly Vec3[] {
  const above: View = { origin: axes.origin, u: axes.l, v: axes.a, toward: axes.p, eye: 30, end: -30 };
  return before.map((tip) => {
    const [l, a] = coordinates(axes, tip);
    const found = peak((u, v) => depthSeen(field, above, u, v), { u: [l - 2, l + 2], v: [a - 4, a + 4] }, step / 2);
    return placeSeen(above, found.u, found.v, found.value);
  });
}

/**
 * Slope of the medial rim: the straight edge laid over the sagittal cut through the plateau point, touching in front of and
 * behind it, radians; + when it falls backward.
 */
function rimSlope(field: Field, axes: Axes, [l, middle, level]: Vec3, step: number): number {
  const above: View = { origin: axes.origin, u: axes.l, v: axes.a, toward: axes.p, eye: 30, end: level - 15 };
  let slope = 0;
  for (let round = 0; round < MOST_ROUNDS; round += 1) {
    const touch = (from: number, to: number): readonly [number, number] => {
      const found = peakAlong(
        (a) => {
          const depth = depthSeen(field, above, l, a);
          return depth === undefined ? undefined : depth - slope * a;
        },
        from,
        to,
        step / 2,
      );
      return [found.at, found.value + slope * found.at];
    };
    const back = touch(middle - 45, middle);
    const front = touch(middle, middle + 45);
    const next = (front[1] - back[1]) / (front[0] - back[0]);
    const moved = Math.abs(next - slope);
    slope = next;
    if (moved < 1e-9) break;
  }
  return Math.atan(slope);
}

function plafond(field: Field, axes: Axes, ankle: Vec3, tip: Vec3, { stepMm }: Sampling): Vec3 {
  const below: View = { origin: ankle, u: axes.l, v: axes.a, toward: opposite(axes.p), eye: 60, end: -60 };
  const low = coordinates({ ...axes, origin: ankle }, tip)[2];
  const sums = (step: number, u: readonly [number, number], v: readonly [number, number]) => {
    let [total, l, a, p] = [0, 0, 0, 0];
    const box = { u: [u[1], u[0]] as [number, number], v: [v[1], v[0]] as [number, number] };
    for (let atU = u[0]; atU <= u[1]; atU += step) {
      for (let atV = v[0]; atV <= v[1]; atV += step) {
        const depth = depthSeen(field, below, atU, atV);
        if (depth === undefined || -depth < low + 6 || -depth > low + 25) continue;
        const down = -dot(normalAt(field, placeSeen(below, atU, atV, depth)), axes.p);
        if (down < 0.85) continue;
        total += 1 / down;
        l += atU / down;
        a += atV / down;
        p -= depth / down;
        box.u = [Math.min(box.u[0], atU), Math.max(box.u[1], atU)];
        box.v = [Math.min(box.v[0], atV), Math.max(box.v[1], atV)];
      }
    }
    return { centre: [l / total, a / total, p / total] as const, box };
  };
  const { box } = sums(stepMm, [-40, 40], [-40, 40]);
  const { centre } = sums(stepMm / 8, [box.u[0] - stepMm, box.u[1] + stepMm], [box.v[0] - stepMm, box.v[1] + stepMm]);
  return place({ ...axes, origin: ankle }, centre);
}
