import { legFromBones, quantities } from '@kerfline/knee';
import { expect, it } from 'vitest';
import { measuredPhantom } from './phantom-knees.fixture.ts';

/**
 * Without a fibula the middle of the malleoli may be 1.5 mm to either side (docs/methods.md). By hand: seen from a knee centre
 * `tibiaLength` above it that is 1.5 / length radians of limb to the malleoli, and none of the limb to the ankle centre, which is
 * read from the joint surface.
 */
it('a leg without a fibula is less sure of its limb to the malleoli, and as sure as before of its limb to the ankle centre', () => {
  const { knee, bones, measured } = measuredPhantom(3);
  const { femur, tibia } = bones;
  const without = legFromBones({ femur, tibia }, { side: knee.side });
  if (!without.ok) throw new Error(without.error.map((e) => e.message).join(' '));
  const [full, bare] = [quantities(measured.leg), quantities(without.value.leg)];
  const unseen = ((1.5 / bare.tibiaLength!.value!) * 180) / Math.PI;
  expect(bare.HKA!.sd!).toBeGreaterThan(unseen);
  expect(bare.HKA!.sd!).toBeLessThan(Math.hypot(unseen, full.HKA!.sd!) + 0.05);
  expect(Math.abs(bare.clinicalHKA!.sd! - full.clinicalHKA!.sd!)).toBeLessThan(0.1);
});
