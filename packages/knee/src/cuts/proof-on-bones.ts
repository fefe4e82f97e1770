import type { Mesh } from '@kerfline/geometry';
import type { CutName } from '../guides/guide.ts';
import { viewAtMean } from '../guides/leg-view.ts';
import { contactsOf } from '../guides/outputs.ts';
import { clinicalTibiaFrame, meshIntoBone } from '../leg/bone-frame.ts';
import type { Leg } from '../leg/leg.ts';
import type { LegFromBones, LegMeshes } from '../leg/leg-from-bones.ts';
import type { ContactSite } from '../leg/sites.ts';
import { boneUnderCut, boneVolumeUnderCut } from './bone-under-cut.ts';
import { type CutPlane, resection } from './cut-plane.ts';
import type { Proof } from './proof.ts';

/** Bone, without its cartilage, that a cut takes off at a contact, kerf and all, mm: in two ways that should agree. */
export interface BoneOnSide {
  readonly fromSitesMm: number;
  /** Absent where the cut takes no bone. */
  readonly bySectionMm?: number;
}

export interface BoneUnderCut {
  readonly medial: BoneOnSide;
  readonly lateral: BoneOnSide;
  /** Only of cuts across the end of a bone, mm3. */
  readonly volumeMm3?: number;
}

/** What the planes of a proof take off the measured bones themselves. */
export function proofOnBones(
  leg: Leg,
  proof: Proof,
  { femurFrame, tibiaFrame }: LegFromBones,
  meshes: LegMeshes,
): Readonly<Partial<Record<CutName, BoneUnderCut>>> {
  const femur: Mesh<string> = meshIntoBone(femurFrame, meshes.femur) as Mesh<string>;
  const tibia: Mesh<string> = meshIntoBone(clinicalTibiaFrame(leg, tibiaFrame), meshes.tibia) as Mesh<string>;
  const under = (plane: CutPlane, [medial, lateral]: readonly [ContactSite, ContactSite]): BoneUnderCut => {
    const bone = plane.cut === 'tibia' ? tibia : femur;
    const view = viewAtMean(leg, plane.cut === 'tibia' ? 'tibia' : 'femur');
    const side = (site: ContactSite): BoneOnSide => {
      const bySectionMm = boneUnderCut(bone, plane, view.site(site));
      return {
        fromSitesMm: resection(plane, view.site(site)),
        ...(bySectionMm === undefined ? {} : { bySectionMm }),
      };
    };
    const across = plane.cut === 'tibia' || plane.cut === 'distalFemur';
    return {
      medial: side(medial),
      lateral: side(lateral),
      ...(across ? { volumeMm3: boneVolumeUnderCut(bone, plane) } : {}),
    };
  };
  return Object.fromEntries(
    Object.values(proof.cuts).flatMap(({ plane }) => {
      const contacts = contactsOf(plane.cut);
      return contacts ? [[plane.cut, under(plane, contacts)]] : [];
    }),
  );
}
