import {
  add,
  along,
  dot,
  type Field,
  fitLine,
  length,
  refineSphere,
  subtract,
  unit,
  type Vec3,
} from '@kerfline/geometry';
import { STEEPNESS } from './body.ts';
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
  type Region,
  type Sampling,
  sectionMoments,
  type View,
  zeroBetween,
} from './surface-probe.ts';
import { entry } from './surface-ray.ts';

/** What a femur measures, every place in the frame it is drawn in, mm. */
export interface FemurTruth {
  readonly axes: Axes;
  readonly hipCentre: Vec3;
  readonly headRadiusMm: number;
  readonly kneeCentre: Vec3;
  readonly distalMedial: Vec3;
  readonly distalLateral: Vec3;
  readonly posteriorMedial: Vec3;
  readonly posteriorLateral: Vec3;
  readonly epicondyleMedial: Vec3;
  readonly epicondyleLateral: Vec3;
  readonly anteriorCortex: Vec3;
  readonly canal: { readonly through: Vec3; readonly direction: Vec3 };
  readonly widthMm: number;
  readonly depthMm: number;
}

/** Movement between two rounds, 100 mm from the origin, at which the axes stand still, mm. */
const STILL_MM = 1e-3;
const MOST_ROUNDS = 30;

/** Height of the flat top of the notch's outline that is halved, mm (METHODS: knee centre). */
const FLAT_TOP_MM = 0.15;

const CANAL_SECTIONS = 25;
const CANAL_PASSES = 4;

/**
 * Landmarks of a femur by the definitions of the reference bones, on its implicit surface.
 *
 * Axes and contacts depend on each other; all are found again until none moves. Left open by the definitions and settled
 * here: side contacts are sought on either side of the knee centre; the canal's sections stand where the axis passes the
 * levels at 20 to 50 % of the total extent along P above the lowest point.
 *
 * @param headNear a place inside the head
 */
export function femurTruth(field: Field, headNear: Vec3, sampling: Sampling): FemurTruth {
  const head = headSphere(field, headNear, sampling);
  let axes = axesFrom([0, 0, 0], head.centre, [1, 0, 0]);
  let before: (Contacts & { readonly kneeCentre: Vec3 }) | undefined;
  for (let round = 0; round < MOST_ROUNDS; round += 1) {
    const contacts = condyleContacts(field, axes, sampling.stepMm, before);
    const kneeCentre: Vec3 = notchTop(field, axes, contacts, sampling.stepMm, before?.kneeCentre);
    before = { ...contacts, kneeCentre };
    const next = axesFrom(
      kneeCentre,
      subtract(head.centre, kneeCentre),
      subtract(contacts.posteriorLateral, contacts.posteriorMedial),
    );
    const reach = 100;
    const moved =
      length(subtract(next.origin, axes.origin)) +
      reach * length(subtract(next.l, axes.l)) +
      reach * length(subtract(next.p, axes.p));
    axes = next;
    if (moved < STILL_MM) return { ...finished(field, axes, head, sampling), kneeCentre };
  }
  throw new Error('the axes of the femur do not come to rest');
}

/**
 * The sphere of the head: points evenly spread over it, those within 1 mm of the sphere and with a normal within 20 degrees
 * of radial kept, area-weighted least squares, repeated until the sphere stands still.
 */
function headSphere(field: Field, near: Vec3, { rays }: Sampling): { readonly centre: Vec3; readonly radius: number } {
  const cosLimit = Math.cos((20 * Math.PI) / 180);
  // The golden spiral spreads directions evenly over the sphere.
  const count = rays * 40;
  const directions = Array.from({ length: count }, (_, i): Vec3 => {
    const z = 1 - (2 * i + 1) / count;
    const turn = i * Math.PI * (3 - Math.sqrt(5));
    const r = Math.sqrt(1 - z * z);
    return [r * Math.cos(turn), r * Math.sin(turn), z];
  });
  const outside: Field = (x, y, z) => -field(x, y, z);
  const points: Vec3[] = [];
  const normals: Vec3[] = [];
  const weights: number[] = [];
  for (const towards of directions) {
    // Rays that run down the neck find no surface near and are no part of the head.
    const r = entry(outside, near, towards, 35, STEEPNESS);
    if (r === undefined) continue;
    const at = along(near, towards, r);
    const normal = normalAt(field, at);
    points.push(at);
    normals.push(normal);
    weights.push((r * r) / Math.max(0.1, dot(normal, towards)));
  }
  let sphere = {
    centre: near,
    radius: [...weights].map((_, i) => length(subtract(points[i]!, near))).sort((a, b) => a - b)[
      Math.floor(points.length / 4)
    ]!,
  };
  for (let round = 0; round < 100; round += 1) {
    const on = points.flatMap((at, i) => {
      const d = subtract(at, sphere.centre);
      const distance = length(d);
      return Math.abs(distance - sphere.radius) <= 1 && dot(d, normals[i]!) >= cosLimit * distance ? [i] : [];
    });
    const next = refineSphere(
      on.map((i) => points[i]!),
      on.map((i) => weights[i]!),
      sphere,
    );
    const moved = length(subtract(next.centre, sphere.centre)) + Math.abs(next.radius - sphere.radius);
    sphere = next;
    if (moved < STILL_MM / 100) return sphere;
  }
  throw new Error('the sphere of the head does not come to rest');
}

interface Contacts {
  readonly distalMedial: Vec3;
  readonly distalLateral: Vec3;
  readonly posteriorMedial: Vec3;
  readonly posteriorLateral: Vec3;
}

function condyleContacts(field: Field, axes: Axes, step: number, before?: Contacts): Contacts {
  const below: View = { origin: axes.origin, u: axes.l, v: axes.a, toward: opposite(axes.p), eye: 60, end: -60 };
  const behind: View = { origin: axes.origin, u: axes.l, v: axes.p, toward: opposite(axes.a), eye: 100, end: -60 };
  const contact = (view: View, region: Region, near: Vec3 | undefined): Vec3 => {
    const found = peak((a, b) => depthSeen(field, view, a, b), narrowed(view, region, near), step);
    return placeSeen(view, found.u, found.v, found.value);
  };
  return {
    distalMedial: contact(below, { u: [-55, 0], v: [-60, 45] }, before?.distalMedial),
    distalLateral: contact(below, { u: [0, 55], v: [-60, 45] }, before?.distalLateral),
    posteriorMedial: contact(behind, { u: [-55, 0], v: [-20, 45] }, before?.posteriorMedial),
    posteriorLateral: contact(behind, { u: [0, 55], v: [-20, 45] }, before?.posteriorLateral),
  };
}

/**
 * The middle of the flat top of the notch seen from the front: every sagittal cut between the distal contacts gives its
 * lowest point; where these lie within 0.15 mm of the highest of them is the flat top, and the centre is the lowest point
 * of the cut in its middle.
 */
function notchTop(field: Field, axes: Axes, contacts: Contacts, step: number, before: Vec3 | undefined): Vec3 {
  const below: View = { origin: axes.origin, u: axes.l, v: axes.a, toward: opposite(axes.p), eye: 60, end: -60 };
  const { v } = narrowed(below, { u: [-55, 55], v: [-55, 40] }, before);
  const lowest = (l: number) => peakAlong((a) => depthSeen(field, below, l, a), v[0], v[1], step);
  const medial = coordinates(axes, contacts.distalMedial)[0];
  const lateral = coordinates(axes, contacts.distalLateral)[0];
  const top = peakAlong((l) => -lowest(l).value, medial, lateral, step);
  const above = (l: number): number => -lowest(l).value - (top.value - FLAT_TOP_MM);
  const edge = (towards: number): number => {
    let inside = top.at;
    for (let l = top.at; ; l += towards) {
      if (above(l) < 0) return zeroBetween(above, inside, l);
      inside = l;
    }
  };
  const middle = (edge(-0.5) + edge(0.5)) / 2;
  const cut = lowest(middle);
  return placeSeen(below, middle, cut.at, cut.value);
}

function finished(
  field: Field,
  axes: Axes,
  head: { readonly centre: Vec3; readonly radius: number },
  sampling: Sampling,
): Omit<FemurTruth, 'kneeCentre'> {
  const step = sampling.stepMm;
  const contacts = condyleContacts(field, axes, step);
  const low = Math.min(coordinates(axes, contacts.distalMedial)[2], coordinates(axes, contacts.distalLateral)[2]);
  const from = (toward: Vec3): View => ({ origin: axes.origin, u: axes.a, v: axes.p, toward, eye: 90, end: -20 });
  const extreme = (view: View): Vec3 => {
    const found = peak((a, p) => depthSeen(field, view, a, p), { u: [-60, 50], v: [low + 8, low + 60] }, step);
    return placeSeen(view, found.u, found.v, found.value);
  };
  const canal = canalAxis(field, axes, low, sampling);

  const level = low + 45;
  const onAxis = along(
    canal.through,
    canal.direction,
    (level - coordinates(axes, canal.through)[2]) / dot(canal.direction, axes.p),
  );
  const front: View = { origin: axes.origin, u: axes.l, v: axes.p, toward: axes.a, eye: 90, end: -40 };
  const cortexL = coordinates(axes, onAxis)[0];
  const cortex = depthSeen(field, front, cortexL, level);
  if (cortex === undefined) throw new Error('no anterior cortex on the canal axis');

  // The section 9 mm above the lowest point, as wide and as deep as it is seen from its four sides.
  const ninth = low + 9;
  const reach = (toward: Vec3, across: Vec3): number =>
    peakAlong(
      (t) => depthSeen(field, { origin: axes.origin, u: across, v: axes.p, toward, eye: 100, end: -60 }, t, ninth),
      -60,
      60,
      step,
    ).value;
  return {
    axes,
    hipCentre: head.centre,
    headRadiusMm: head.radius,
    ...contacts,
    epicondyleMedial: extreme(from(opposite(axes.l))),
    epicondyleLateral: extreme(from(axes.l)),
    anteriorCortex: place(axes, [cortexL, cortex, level]),
    canal,
    widthMm: reach(axes.l, axes.a) + reach(opposite(axes.l), axes.a),
    depthMm: reach(axes.a, axes.l) + reach(opposite(axes.a), axes.l),
  };
}

/** The straight line through the area centroids of 25 sections of the outer surface, square to itself (4 passes). */
function canalAxis(field: Field, axes: Axes, low: number, { rays, stepMm }: Sampling): FemurTruth['canal'] {
  const above: View = { origin: axes.origin, u: axes.l, v: axes.a, toward: axes.p, eye: 700, end: 200 };
  const top = peak((l, a) => depthSeen(field, above, l, a), { u: [-60, 110], v: [-90, 60] }, 2 * stepMm).value;
  const levels = Array.from(
    { length: CANAL_SECTIONS },
    (_, i) => low + (top - low) * (0.2 + (0.3 * i) / (CANAL_SECTIONS - 1)),
  );
  let middles = levels.map((p) => deepest(field, place(axes, [0, 0, p]), axes.l, axes.a, 60));
  let direction = axes.p;
  for (let pass = 0; pass < CANAL_PASSES; pass += 1) {
    const square = axesFrom([0, 0, 0], direction, axes.l);
    middles = middles.map((at) => sectionMoments(field, at, square.l, square.a, rays).centre);
    const line = fitLine(middles);
    direction = unit(dot(line.direction, axes.p) > 0 ? line.direction : opposite(line.direction));
    const through = line.centroid;
    if (pass === CANAL_PASSES - 1) return { through, direction };
    middles = levels.map((p) =>
      add(through, along([0, 0, 0], direction, (p - coordinates(axes, through)[2]) / dot(direction, axes.p))),
    );
  }
  throw new Error('no pass was made');
}
