import {
  compose,
  cross,
  dot,
  type Finding,
  invert,
  liftedFrom,
  type Mesh,
  moved,
  planeAt,
  point,
  type Result,
  rotated,
  type Surface,
  scaled,
  section,
  sectionPlane,
  subtract,
  type Transform,
  transform,
  unit,
  unitSquareTo,
  type Vec3,
} from '@kerfline/geometry';
import {
  type BoneFrame,
  type LegFromBones,
  type LegMeshes,
  marksOfView,
  meshIntoBone,
  type Q,
  quantities,
  type Refusal,
  refusal,
  type Side,
} from '@kerfline/knee';
import { has, meanOf, meanVectorOf } from '@kerfline/uncertainty';

/** What moves as one piece when the knee bends: the tibia takes the fibula along, the kneecap turns as the tibia does. */
export type LimbBone = 'femur' | 'tibia' | 'patella';

/** A place on the limb, mm, in the limb's frame. */
export interface LimbSite {
  readonly on: LimbBone;
  readonly at: Vec3;
}

/** A closed surface of the limb, in the limb's frame. */
export interface LimbSurface {
  readonly name: 'femur' | 'tibia' | 'fibula' | 'patella';
  readonly on: LimbBone;
  readonly mesh: Mesh<'limb'>;
}

/**
 * A limb as it was scanned, measured once and posed often. Its frame is side-free: origin at the femoral knee centre, P up the
 * femur's mechanical axis, L lateral along the posterior condyle line made square to P, A forward; mm.
 */
export interface FilmLimb {
  readonly side: Side;
  /** By the names of the mark catalogue. */
  readonly sites: Readonly<Record<string, LimbSite>>;
  readonly headRadiusMm: number | undefined;
  /** Points of the kneecap that can lie on its outline, from any direction. */
  readonly kneecapOutline: readonly Vec3[];
  /** Long axis of the kneecap, upwards, in the pose of the scan. */
  readonly kneecapUp: Vec3 | undefined;
  /** Line about which the knee bends: through the side points, toward lateral. */
  readonly bendLine: { readonly through: Vec3; readonly toward: Vec3 };
  /** Mechanical axis of the tibia, upwards, in the pose of the scan. */
  readonly tibiaUp: Vec3;
  /** From a bone's own frame (that of a `Leg`) to the limb's, in the pose of the scan. */
  readonly limbFrom: Readonly<Partial<Record<LimbBone, Transform<'limb', LimbBone>>>>;
  readonly surfaces: readonly LimbSurface[];
  /** The leg's own quantities: the truth of every film of it. */
  readonly quantities: Readonly<Record<string, Q>>;
  readonly findings: readonly Finding[];
}

/** @numerical Directions in which a kneecap's farthest points are sought: with 600 an outline is met to 0.02 mm. */
const outlineDirections = 600;

const vertices = (mesh: Surface): readonly Vec3[] =>
  Array.from({ length: mesh.positions.length / 3 }, (_, i) => [
    mesh.positions[3 * i]!,
    mesh.positions[3 * i + 1]!,
    mesh.positions[3 * i + 2]!,
  ]);

function farthest(points: readonly Vec3[], d: Vec3): Vec3 {
  let best = points[0]!;
  let most = -Infinity;
  for (const p of points) {
    const reach = dot(p, d);
    if (reach > most) [most, best] = [reach, p];
  }
  return best;
}

/** The points of a body that lie farthest in directions spread evenly over the sphere (golden-angle spiral). */
function outlinePoints(points: readonly Vec3[]): readonly Vec3[] {
  const golden = Math.PI * (3 - Math.sqrt(5));
  const found = new Set<Vec3>();
  for (let i = 0; i < outlineDirections; i += 1) {
    const z = 1 - (2 * (i + 0.5)) / outlineDirections;
    const r = Math.sqrt(1 - z * z);
    found.add(farthest(points, [r * Math.cos(golden * i), r * Math.sin(golden * i), z]));
  }
  return [...found];
}

/** Both ends, along one axis, of the section of a bone at a height of its own frame. */
function sectionEnds<F extends string>(mesh: Mesh<F>, height: number, axis: 0 | 1, outerOnly: boolean) {
  const axes = sectionPlane(planeAt(point(mesh.frame, [0, 0, height]), [0, 0, 1]), [1, 0, 0]);
  const loops = section(mesh, axes);
  const points = (outerOnly ? loops.slice(0, 1) : loops).flatMap((loop) =>
    loop.polygon.map((p) => liftedFrom(axes, p).xyz),
  );
  if (points.length === 0) return undefined;
  const toward: Vec3 = axis === 0 ? [1, 0, 0] : [0, 1, 0];
  return [farthest(points, scaled(toward, -1)), farthest(points, toward)] as const;
}

/** Sections at which the width of each bone is taken, as `femurWidth` and `tibiaWidth` are (mm above, below). */
const femurSectionMm = 9;
const tibiaSectionMm = 10;

/**
 * A limb ready to be posed for films. Edge marks are the ends of the sections of `femurWidth`, `tibiaWidth` and `tibiaDepth`;
 * those of the kneecap are its farthest points along its own axes.
 *
 * @returns the limb, or why no film can be made: bones of two scans have no pose to each other
 */
export function filmLimb(found: LegFromBones, meshes: LegMeshes): Result<FilmLimb, readonly Refusal[]> {
  const { leg, femurFrame, tibiaFrame, patellaFrame } = found;
  const apart = leg.findings.find(({ code }) => code === 'two-scans');
  if (apart) {
    return {
      ok: false,
      error: [refusal('two-scans', `No film can be made of bones from two scans. ${apart.message}`)],
    };
  }
  const at = (name: string): Vec3 => meanVectorOf(leg.belief, name);
  const knee = at('femoralKneeCentre');
  const up = unit(subtract(at('hipCentre'), knee));
  const lateral = unitSquareTo(subtract(at('posteriorLateral'), at('posteriorMedial')), up);
  const axes = [lateral, cross(up, lateral), up] as const;
  const fromFemur = transform('limb', 'femur', axes, scaled(rotated(axes, knee), -1));
  const fromRight = compose(fromFemur, femurFrame.boneFromRight);
  const placed = <F extends LimbBone>(frame: BoneFrame<F>): Transform<'limb', F> =>
    compose(fromRight, invert(frame.boneFromRight));
  const fromTibia = placed(tibiaFrame);
  const fromPatella = patellaFrame && placed(patellaFrame);
  const into = <F extends LimbBone>(limbFromBone: Transform<'limb', F>, p: Vec3): LimbSite => {
    const turned = rotated(limbFromBone.rotation, p);
    const [x, y, z] = limbFromBone.translation;
    return { on: limbFromBone.from, at: [turned[0] + x, turned[1] + y, turned[2] + z] };
  };

  const sites: Record<string, LimbSite> = {};
  for (const view of ['long-leg', 'knee-front', 'knee-lateral', 'skyline'] as const) {
    for (const { name, on } of marksOfView(view)) {
      if (!has(leg.belief, name)) continue;
      if (on === 'femur') sites[name] = into(fromFemur, at(name));
      if (on === 'tibia') sites[name] = into(fromTibia, at(name));
    }
  }
  const ownFemur = meshIntoBone(femurFrame, meshes.femur);
  const ownTibia = meshIntoBone(tibiaFrame, meshes.tibia);
  const lowest = Math.min(at('distalMedial')[2], at('distalLateral')[2]);
  const plateau = (at('plateauMedial')[2] + at('plateauLateral')[2]) / 2;
  const ends = {
    femurEdge: sectionEnds(ownFemur, lowest + femurSectionMm, 0, false),
    tibiaEdge: sectionEnds(ownTibia, plateau - tibiaSectionMm, 0, true),
    tibiaDepth: sectionEnds(ownTibia, plateau - tibiaSectionMm, 1, true),
  };
  if (ends.femurEdge) {
    sites.femurEdgeMedial = into(fromFemur, ends.femurEdge[0]);
    sites.femurEdgeLateral = into(fromFemur, ends.femurEdge[1]);
  }
  if (ends.tibiaEdge) {
    sites.tibiaEdgeMedial = into(fromTibia, ends.tibiaEdge[0]);
    sites.tibiaEdgeLateral = into(fromTibia, ends.tibiaEdge[1]);
  }
  if (ends.tibiaDepth) {
    sites.tibiaEdgeRear = into(fromTibia, ends.tibiaDepth[0]);
    sites.tibiaEdgeFront = into(fromTibia, ends.tibiaDepth[1]);
  }
  let kneecapOutline: readonly Vec3[] = [];
  if (meshes.patella && patellaFrame && fromPatella) {
    const points = vertices(meshIntoBone(patellaFrame, meshes.patella));
    sites.patellaFront = into(fromPatella, farthest(points, [0, 1, 0]));
    sites.patellaRear = into(fromPatella, farthest(points, [0, -1, 0]));
    sites.patellaEdgeMedial = into(fromPatella, farthest(points, [-1, 0, 0]));
    sites.patellaEdgeLateral = into(fromPatella, farthest(points, [1, 0, 0]));
    kneecapOutline = outlinePoints(points).map((p) => into(fromPatella, p).at);
  }

  const intoLimb = (mesh: Mesh<'scan'>): Mesh<'limb'> => moved(fromFemur, meshIntoBone(femurFrame, mesh));
  const surface = (name: LimbSurface['name'], on: LimbBone, mesh: Mesh<'scan'> | undefined): readonly LimbSurface[] =>
    mesh ? [{ name, on, mesh: intoLimb(mesh) }] : [];
  const medialSide = into(fromFemur, at('epicondyleMedial')).at;
  const lateralSide = into(fromFemur, at('epicondyleLateral')).at;
  return {
    ok: true,
    value: {
      side: leg.side,
      sites,
      headRadiusMm: has(leg.belief, 'headRadius') ? meanOf(leg.belief, 'headRadius') : undefined,
      kneecapOutline,
      kneecapUp: fromPatella && rotated(fromPatella.rotation, [0, 0, 1]),
      bendLine: { through: medialSide, toward: unit(subtract(lateralSide, medialSide)) },
      tibiaUp: unit(rotated(fromTibia.rotation, subtract(at('tibialKneeCentre'), at('malleolarMidpoint')))),
      limbFrom: {
        femur: fromFemur as Transform<'limb', LimbBone>,
        tibia: fromTibia as Transform<'limb', LimbBone>,
        ...(fromPatella ? { patella: fromPatella as Transform<'limb', LimbBone> } : {}),
      },
      surfaces: [
        ...surface('femur', 'femur', meshes.femur),
        ...surface('tibia', 'tibia', meshes.tibia),
        ...surface(
          'fibula',
          'tibia',
          leg.findings.some(({ code }) => code === 'fibula-elsewhere') ? undefined : meshes.fibula,
        ),
        ...surface('patella', 'patella', patellaFrame ? meshes.patella : undefined),
      ],
      quantities: quantities(leg),
      findings: leg.findings,
    },
  };
}
