import { readFileSync } from 'node:fs';
import { dot, type Vec3 } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CutPlane } from '../cuts/cut-plane.ts';
import { guideOf, kitFrom } from '../kits/kit.fixture.ts';
import { boneByHand } from './bone-by-hand.fixture.ts';
import { neutralSettings } from './choices.ts';
import type { CutName } from './guide.ts';
import type { Made } from './placement.ts';
import { madeBy, walk } from './walker.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const [frame, block] = [guideOf(demo, 'heel-frame'), guideOf(demo, 'slit-block')];
const femur = boneByHand('femur', {
  sites: { posteriorMedial: [-24, -30, 12], posteriorLateral: [24, -30, 12], anteriorCortex: [0, 30, 37] },
});
const flat: Made = {
  cuts: new Map([['distalFemur', { cut: 'distalFemur', normal: [0, 0, 1], offset: 1, kerf: 1.4 }]]),
  pins: new Map(),
};

function planes(
  size: number,
  turn = 0,
  distal: CutPlane = flat.cuts.get('distalFemur')!,
): ReadonlyMap<CutName, CutPlane> {
  const before: Made = { ...flat, cuts: new Map([['distalFemur', distal]]) };
  const set = {
    ...neutralSettings(frame, demo.components, 'right'),
    turn: { value: turn, pivot: 'middle' as const },
    size: { value: size, keeps: 'rear' as const },
  };
  const made = madeBy(frame, walk(frame, femur, set, demo.components, before), before);
  const settings = { ...neutralSettings(block, demo.components, 'right'), block: { value: size } };
  return new Map(walk(block, femur, settings, demo.components, made).cuts.map((c) => [c.cut, c]));
}
const heightAt = (plane: CutPlane, p: Vec3): number => dot(plane.normal, p) - plane.offset;

/** By hand from the component's data: rear contacts at A = -30, the distal cut at P = 1, size 60 with 9 mm behind. */
describe('a block on its pegs', () => {
  it('makes four cuts, each from its own slit', () => {
    expect([...planes(60).keys()]).toEqual(['anteriorFemur', 'posteriorFemur', 'posteriorChamfer', 'anteriorChamfer']);
  });

  it('cuts the rear 9 mm in front of the rear contacts and the front 60 mm in front of them', () => {
    expect(planes(60).get('posteriorFemur')!.offset).toBeCloseTo(-30 + 9, 12);
    expect(planes(60).get('anteriorFemur')!.offset).toBeCloseTo(-30 + 60, 12);
  });

  it('takes the rear corner 7 mm off the distal cut and as much off the rear one, at 45 deg', () => {
    const chamfer = planes(60).get('posteriorChamfer')!;
    expect(heightAt(chamfer, [0, -30 + 9 + 7, 1])).toBeCloseTo(0, 12);
    expect(heightAt(chamfer, [0, -30 + 9, 1 + 7])).toBeCloseTo(0, 12);
    // The corner itself is removed: it lies below the retained surface.
    expect(heightAt(chamfer, [0, -30 + 9, 1])).toBeLessThan(0);
  });

  it('takes the front corner 9 mm off the distal cut and as much off the front one', () => {
    const chamfer = planes(60).get('anteriorChamfer')!;
    expect(heightAt(chamfer, [0, -30 + 60 - 9, 1])).toBeCloseTo(0, 12);
    expect(heightAt(chamfer, [0, -30 + 60, 1 + 9])).toBeCloseTo(0, 12);
    expect(heightAt(chamfer, [0, -30 + 60, 1])).toBeGreaterThan(0);
  });

  it('turns all four with the frame: every normal makes the frame turn with the rear line', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 8 }), (turn) => {
        for (const plane of planes(63, turn).values()) {
          const [l, a] = plane.normal;
          expect(Math.atan2(l, a)).toBeCloseTo((turn * Math.PI) / 180, 12);
        }
      }),
    );
  });

  it('stands flush on a distal cut that is not square: rear and front stay square to it', () => {
    const tilted: CutPlane = {
      cut: 'distalFemur',
      normal: [-0.05, 0.08, Math.sqrt(1 - 0.05 ** 2 - 0.08 ** 2)],
      offset: 1,
      kerf: 1.4,
    };
    const cut = planes(60, 3, tilted);
    for (const name of ['posteriorFemur', 'anteriorFemur'] as const) {
      expect(dot(cut.get(name)!.normal, tilted.normal)).toBeCloseTo(0, 12);
    }
    // The chamfers of 45 deg make 45 deg with it.
    for (const name of ['posteriorChamfer', 'anteriorChamfer'] as const) {
      expect(Math.abs(dot(cut.get(name)!.normal, tilted.normal))).toBeCloseTo(Math.SQRT1_2, 12);
    }
  });
});
