import {
  cross,
  dot,
  flattenedOn,
  type Mesh,
  type Plane,
  planeAt,
  point,
  section,
  sectionPlane,
  unitSquareTo,
  type Vec3,
  volumeBeyond,
} from '@kerfline/geometry';
import { type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';
import { type CutPlane, cutDirection } from './cut-plane.ts';

/** Half the width of a caliper's flat jaw. */
export const halfJaw: ScalarDefault = {
  name: 'What a proof says: half a caliper jaw',
  value: 4,
  unit: 'mm',
  usedFor: 'how far from a contact bone counts when a piece is read on the bones',
  source: workingDefault,
};

/**
 * Thickness of the bone that a cut takes off at a caliper point, kerf and all, read on a flat section through the bone, mm.
 * The section goes through the point, square to the cut and along the bone's L axis; the caliper's flat jaw finds what stands
 * highest under it. It knows nothing of sites, and so checks the same thickness told from them.
 *
 * @param bone surface in the bone's clinical frame
 * @param at the caliper point, L-A-P, mm
 * @returns `undefined` where the cut takes no bone there
 */
export function boneUnderCut<F extends string>(bone: Mesh<F>, plane: CutPlane, at: Vec3): number | undefined {
  const out = -cutDirection(plane.cut).into;
  const outward: Vec3 = [out * plane.normal[0], out * plane.normal[1], out * plane.normal[2]];
  // Along the cut and square to it: heights over the cut are then read along the section's second axis.
  const along = unitSquareTo([1, 0, 0], outward);
  const across = sectionPlane(planeAt(point(bone.frame, at), cross(along, outward)), along);
  const level = out * plane.offset - dot(outward, across.origin);
  const [x0] = flattenedOn(across, point(bone.frame, at));
  let most = 0;
  for (const { polygon } of section(bone, across)) {
    for (const [x, v] of polygon) if (Math.abs(x - x0) <= halfJaw.value) most = Math.max(most, v - level);
  }
  return most > 0 ? most : undefined;
}

/** Volume of the bone that a cut across the end of a bone takes off, kerf and all, mm3. */
export function boneVolumeUnderCut<F extends string>(bone: Mesh<F>, { cut, normal, offset }: CutPlane): number {
  const out = -cutDirection(cut).into;
  const beyond: Plane<F> = {
    frame: bone.frame,
    normal: [out * normal[0], out * normal[1], out * normal[2]],
    offset: out * offset,
  };
  return volumeBeyond(bone, beyond);
}
