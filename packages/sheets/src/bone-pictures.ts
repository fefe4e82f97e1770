import {
  type Polygon,
  planeAt,
  point,
  type Surface,
  section,
  sectionPlane,
  silhouette,
  simplified,
  type Vec3,
} from '@kerfline/geometry';
import {
  type CutName,
  clinicalTibiaFrame,
  contactsOf,
  type Leg,
  type LegFromBones,
  type LegMeshes,
  meshIntoBone,
  viewAtMean,
} from '@kerfline/knee';
import { meanVectorOf } from '@kerfline/uncertainty';
import type { Point } from './drawing.ts';
import type { BoneOutline } from './leg-drawing.ts';

/** A flat section of a bone in its clinical frame, and where its plane lies. */
export interface BoneSection {
  /** First and second axis of the section, each 0 L, 1 A or 2 P. */
  readonly axes: readonly [0 | 1 | 2, 0 | 1 | 2];
  /** The third coordinate, which is the same all over the section, mm. */
  readonly level: number;
  readonly loops: readonly Polygon[];
  /** Where it only stands for another bone: its own contacts in its two axes, medial first. */
  readonly standsOn?: readonly [Point, Point] | undefined;
}

/** Pictures of a leg's bones, side-free: the first coordinate is lateral. Data only, made once for a leg. */
export interface BonePictures {
  /** From the front, in the femur's frame: lateral and up, mm. */
  readonly front: {
    readonly femur: BoneOutline;
    readonly tibia: BoneOutline;
    readonly fibula: BoneOutline | undefined;
    readonly patella: BoneOutline | undefined;
    /** Where a point of the tibia's frame is seen: columns for L, A, P and the origin. */
    readonly fromTibia: readonly [Point, Point, Point, Point];
  };
  readonly distal: BoneSection;
  readonly rear: BoneSection;
  readonly plateau: BoneSection;
}

const outlinePixelMm = 0.6;
/** Sections are drawn to a tenth of a millimetre. */
const sectionToleranceMm = 0.06;
/** How far a section is drawn from the joint, mm. */
const reachMm = 75;

/** Seen from the front; the picture's right is medial, so the first coordinate is turned over. */
function fromFront(surface: Surface): BoneOutline {
  const seen = silhouette(surface, [0, 1, 0], [0, 0, 1], outlinePixelMm);
  const turned = (polygon: Polygon): Polygon => polygon.map(([x, y]) => [-x, y] as const);
  return { outline: seen.outline.map(turned), folds: seen.folds.map(turned) };
}

function cutAt(
  surface: Surface,
  axes: BoneSection['axes'],
  level: number,
  near: (p: readonly [number, number]) => boolean,
): BoneSection {
  const third = ([0, 1, 2] as const).find((k) => !axes.includes(k))!;
  const unit = (k: 0 | 1 | 2): Vec3 => [k === 0 ? 1 : 0, k === 1 ? 1 : 0, k === 2 ? 1 : 0];
  const normal = unit(third);
  const through: Vec3 = [normal[0] * level, normal[1] * level, normal[2] * level];
  const plane = sectionPlane(planeAt(point('bone', through), normal), unit(axes[0]));
  // The plane's own second axis is normal x first, which may be the opposite of ours.
  const sign = plane.second[axes[1]] > 0 ? 1 : -1;
  const loops = section({ frame: 'bone', positions: surface.positions, triangles: surface.triangles }, plane)
    .map((loop) => loop.polygon.map(([a, b]) => [a, sign * b] as const))
    .map((loop) => (sign > 0 ? loop : [...loop].reverse()))
    .filter((loop) => loop.length > 8 && loop.some(near))
    .map((loop) => simplified(loop, sectionToleranceMm));
  return { axes, level, loops };
}

/** Outlines and sections of a leg measured on bones. */
export function bonePictures(leg: Leg, measured: LegFromBones, meshes: LegMeshes): BonePictures {
  const { femurFrame, tibiaFrame } = measured;
  const inFemur = (mesh: LegMeshes['femur']) => meshIntoBone(femurFrame, mesh);
  const femur = inFemur(meshes.femur);
  const twoScans = leg.unknown.JLCA === 'femur and tibia come from two scans';
  const tibiaSeen = (mesh: LegMeshes['tibia']): Surface =>
    twoScans ? below(meshIntoBone(tibiaFrame, mesh)) : inFemur(mesh);
  const clinical = clinicalTibiaFrame(leg, tibiaFrame);
  const site = (name: string): Vec3 => meanVectorOf(leg.belief, name);
  const middle = (a: Vec3, b: Vec3, k: 0 | 1 | 2): number => (a[k] + b[k]) / 2;
  const near = ([, p]: readonly [number, number]): boolean => Math.abs(p) < reachMm;
  const clinicalTibia = meshIntoBone(clinical, meshes.tibia);
  return {
    front: {
      femur: fromFront(femur),
      tibia: fromFront(tibiaSeen(meshes.tibia)),
      fibula: meshes.fibula && fromFront(tibiaSeen(meshes.fibula)),
      patella: meshes.patella && measured.patellaFrame ? fromFront(inFemur(meshes.patella)) : undefined,
      fromTibia: twoScans ? belowMap : tibiaInFront(measured),
    },
    distal: cutAt(femur, [0, 2], middle(site('distalMedial'), site('distalLateral'), 1), near),
    rear: cutAt(femur, [0, 1], middle(site('posteriorMedial'), site('posteriorLateral'), 2), () => true),
    plateau: cutAt(clinicalTibia, [0, 2], middle(site('plateauMedial'), site('plateauLateral'), 1), near),
  };
}

/** Bones of two scans are drawn one above the other with a gap, mm. */
const apartMm = 45;
const below = (surface: Surface): Surface => {
  const positions = surface.positions.slice();
  for (let i = 2; i < positions.length; i += 3) positions[i] = positions[i]! - apartMm;
  return { positions, triangles: surface.triangles };
};
const belowMap: BonePictures['front']['fromTibia'] = [
  [1, 0],
  [0, 0],
  [0, 1],
  [0, -apartMm],
];

/** How a point of the tibia's frame lies in the femur's frontal plane. */
function tibiaInFront({ femurFrame, tibiaFrame }: LegFromBones): BonePictures['front']['fromTibia'] {
  const f = femurFrame.boneFromRight;
  const t = tibiaFrame.boneFromRight;
  // Rows of the tibia's rotation are its axes in the scan; seen along the femur's first and third axes.
  const seen = (v: Vec3): Point => [
    f.rotation[0][0] * v[0] + f.rotation[0][1] * v[1] + f.rotation[0][2] * v[2],
    f.rotation[2][0] * v[0] + f.rotation[2][1] * v[1] + f.rotation[2][2] * v[2],
  ];
  const [l, a, p] = t.rotation;
  const origin: Vec3 = [
    -(l[0] * t.translation[0] + a[0] * t.translation[1] + p[0] * t.translation[2]),
    -(l[1] * t.translation[0] + a[1] * t.translation[1] + p[1] * t.translation[2]),
    -(l[2] * t.translation[0] + a[2] * t.translation[1] + p[2] * t.translation[2]),
  ];
  const [ox, oy] = seen(origin);
  return [seen(l), seen(a), seen(p), [ox + f.translation[0], oy + f.translation[2]]];
}

/**
 * Pictures of a typical leg made to stand for another: lengths follow that leg's own, sections are laid on its contacts when
 * they are drawn. Everything is marked as a drawing that stands for a bone.
 *
 * @param owner the typical leg, whose contacts lie on the sections
 * @param femur length of the leg's femur over that of the typical one
 * @param tibia the same of the tibia
 */
export function standingFor(typical: BonePictures, owner: Leg, femur: number, tibia: number): BonePictures {
  const stretched = (bone: BoneOutline, by: number): BoneOutline => {
    const stretch = (polygon: Polygon): Polygon => polygon.map(([x, y]) => [x, y * by] as const);
    return { outline: bone.outline.map(stretch), folds: bone.folds.map(stretch) };
  };
  const standing = (section: BoneSection, cut: CutName): BoneSection => {
    const view = viewAtMean(owner, cut === 'tibia' ? 'tibia' : 'femur');
    const [medial, lateral] = contactsOf(cut)!.map((site): Point => {
      const at = view.site(site);
      return [at[section.axes[0]], at[section.axes[1]]];
    });
    return { ...section, standsOn: [medial!, lateral!] };
  };
  const { front } = typical;
  return {
    front: {
      ...front,
      femur: stretched(front.femur, femur),
      tibia: stretched(front.tibia, tibia),
      fibula: front.fibula && stretched(front.fibula, tibia),
    },
    distal: standing(typical.distal, 'distalFemur'),
    rear: standing(typical.rear, 'posteriorFemur'),
    plateau: standing(typical.plateau, 'tibia'),
  };
}
