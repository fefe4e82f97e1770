import { readFileSync } from 'node:fs';
import { expectOk, type Mesh, polygonArea, section, sectionPlane, volume, volumeBeyond } from '@kerfline/geometry';
import {
  boneUnderCut,
  boneVolumeUnderCut,
  type CutPlane,
  calledOf,
  checkKit,
  clinicalTibiaFrame,
  contactsOf,
  cutDirection,
  meshIntoBone,
  type PhilosophyName,
  philosophy,
  planLeg,
  proveLeg,
  resection,
  viewAtMean,
  withStated,
} from '@kerfline/knee';
import { describe, expect, it } from 'vitest';
import { measuredPhantom } from './phantom-knees.fixture.ts';

const kit = expectOk(
  checkKit(JSON.parse(readFileSync(new URL('../kits/demo/kit.json', import.meta.url), 'utf8'))),
  'demo kit',
);
const knees = [1, 2, 3, 4, 5, 6].map((seed) => {
  const { bones, measured } = measuredPhantom(seed);
  return { seed, bones, measured, leg: withStated(measured.leg, []) };
});
const cases = knees.flatMap((knee) =>
  (['mechanical', 'kinematic', 'anatomic'] as const satisfies readonly PhilosophyName[]).map((name) => ({
    ...knee,
    name,
  })),
);

/** The cuts that a plan will make, with the bones in their clinical frames. */
function cutsOf({
  measured,
  bones,
  leg,
  name,
}: (typeof cases)[number]): readonly { readonly plane: CutPlane; readonly bone: Mesh<string> }[] {
  const { femurFrame, tibiaFrame, patellaFrame } = measured;
  const proof = proveLeg(leg, kit, calledOf(planLeg(leg, kit, philosophy(name))));
  const femur = meshIntoBone(femurFrame, bones.femur) as Mesh<string>;
  const tibia = meshIntoBone(clinicalTibiaFrame(leg, tibiaFrame), bones.tibia) as Mesh<string>;
  const patella = meshIntoBone(patellaFrame!, bones.patella) as Mesh<string>;
  return Object.values(proof.cuts).map(({ plane }) => ({
    plane,
    bone: plane.cut === 'tibia' ? tibia : plane.cut === 'kneecap' ? patella : femur,
  }));
}

/** Design 8: from sites by formula and from bones by section, pieces agree within 0.3 mm on smooth virtual bones. */
describe.each(cases)('on the bones of seed $seed, cut for $name', (c) => {
  const cuts = cutsOf(c);

  it.each(['tibia', 'distalFemur', 'posteriorFemur'] as const)(
    'the bone that the %s cut takes off, told from sites and read on a section, agrees within 0.3 mm on both sides',
    (cut) => {
      const { plane, bone } = cuts.find((made) => made.plane.cut === cut)!;
      const view = viewAtMean(c.leg, cut === 'tibia' ? 'tibia' : 'femur');
      for (const site of contactsOf(cut)!) {
        const fromSites = resection(plane, view.site(site));
        const bySection = boneUnderCut(bone, plane, view.site(site));
        expect(
          Math.abs(bySection! - fromSites),
          `${site}: ${fromSites} from sites, ${bySection} by section`,
        ).toBeLessThan(0.3);
      }
    },
  );

  /** Conservation: what is taken, what the saw turns to dust (its sections added up) and what is left are the whole bone. */
  it.each(['tibia', 'distalFemur'] as const)(
    'piece, kerf and what is left of the %s cut are the whole bone to 0.1 %',
    (cut) => {
      const { plane, bone } = cuts.find((made) => made.plane.cut === cut)!;
      const out = -cutDirection(cut).into;
      const outward = [out * plane.normal[0], out * plane.normal[1], out * plane.normal[2]] as const;
      const at = (beyond: number) => ({ frame: bone.frame, normal: outward, offset: out * plane.offset + beyond });
      const area = (beyond: number): number =>
        section(bone, sectionPlane(at(beyond), [1, 0, 0])).reduce((sum, loop) => sum + polygonArea(loop.polygon), 0);
      const steps = 40;
      let dust = 0;
      for (let k = 0; k < steps; k += 1) dust += (area(((k + 0.5) * plane.kerf) / steps) * plane.kerf) / steps;
      const piece = volumeBeyond(bone, at(plane.kerf));
      const left = volumeBeyond(bone, {
        frame: bone.frame,
        normal: [-outward[0], -outward[1], -outward[2]],
        offset: -at(0).offset,
      });
      expect(piece + dust + left).toBeGreaterThan(0.999 * volume(bone));
      expect(piece + dust + left).toBeLessThan(1.001 * volume(bone));
      expect(boneVolumeUnderCut(bone, plane)).toBeCloseTo(volume(bone) - left, 3);
      expect(piece).toBeGreaterThan(0);
    },
  );
});
