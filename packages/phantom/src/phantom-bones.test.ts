import {
  type Field,
  invert,
  type Mesh,
  meshQuality,
  moved,
  rotated,
  type Transform,
  vertex,
  vertexCount,
} from '@kerfline/geometry';
import { randomStream } from '@kerfline/uncertainty';
import { beforeAll, describe, expect, it } from 'vitest';
import { STEEPNESS } from './body.ts';
import { kneeBodies } from './knee-bodies.ts';
import { kneeFromSeed, typicalKnee } from './knee-from-seed.ts';
import type { KneeParameters } from './knee-parameters.ts';
import { type PhantomBones, phantomBones } from './phantom-bones.ts';
import type { DrawnFrame } from './scan-pose.ts';

const names = ['femur', 'tibia', 'fibula', 'patella'] as const;
const right = (knee: KneeParameters): KneeParameters => ({ ...knee, side: 'right' });

describe('the bones of a typical knee', () => {
  let bones: PhantomBones;
  beforeAll(() => {
    bones = phantomBones(typicalKnee);
  });

  it.each(names)('[PH3] %s is closed, in one piece and faces outward', (name) => {
    const quality = meshQuality(bones[name]);
    expect(quality.closed).toBe(true);
    expect(quality.pieces.length).toBe(1);
    expect(quality.volumeMm3).toBeGreaterThan(0);
    expect(quality.degenerateTriangles).toBe(0);
  });

  it('[PH3] have the volumes of bones of that size', () => {
    // Four whole legs in open data: femur 350 to 640 cm3, tibia 250 to 390, fibula 45 to 71, patella 13 to 26.
    const cm3 = (name: (typeof names)[number]): number => meshQuality(bones[name]).volumeMm3 / 1000;
    expect(cm3('femur')).toBeGreaterThan(350);
    expect(cm3('femur')).toBeLessThan(640);
    expect(cm3('tibia')).toBeGreaterThan(230);
    expect(cm3('tibia')).toBeLessThan(390);
    expect(cm3('fibula')).toBeGreaterThan(40);
    expect(cm3('fibula')).toBeLessThan(75);
    expect(cm3('patella')).toBeGreaterThan(13);
    expect(cm3('patella')).toBeLessThan(30);
  });

  it('[PH1] are the same to the bit when built again', () => {
    const again = phantomBones(typicalKnee);
    for (const name of names) {
      expect(again[name].positions.length).toBe(bones[name].positions.length);
      expect(again[name].positions.every((x, i) => x === bones[name].positions[i])).toBe(true);
      expect(again[name].triangles.every((v, i) => v === bones[name].triangles[i])).toBe(true);
    }
  });

  it('[PH4] of a left knee are their mirror image across x, and face outward', () => {
    const left = phantomBones({ ...typicalKnee, side: 'left' });
    for (const name of names) {
      expect(left[name].positions.length).toBe(bones[name].positions.length);
      for (let v = 0; v < vertexCount(bones[name]); v += 101) {
        const [x, y, z] = vertex(bones[name], v);
        expect(vertex(left[name], v)).toEqual([-x, y, z]);
      }
      expect(meshQuality(left[name]).volumeMm3).toBeCloseTo(meshQuality(bones[name]).volumeMm3, 0);
      expect(meshQuality(left[name]).closed).toBe(true);
    }
  });

  it('[PH4] of a right knee lie on the side of the negative x, head up, patella in front', () => {
    const middle = (mesh: Mesh<'scan'>, axis: 0 | 1 | 2): number => {
      let sum = 0;
      for (let v = 0; v < vertexCount(mesh); v += 1) sum += vertex(mesh, v)[axis];
      return sum / vertexCount(mesh);
    };
    expect(middle(bones.femur, 0)).toBeLessThan(0);
    expect(middle(bones.fibula, 0)).toBeLessThan(middle(bones.tibia, 0));
    expect(middle(bones.femur, 2)).toBeGreaterThan(middle(bones.tibia, 2));
    expect(middle(bones.patella, 1)).toBeLessThan(middle(bones.tibia, 1));
    expect(middle(bones.fibula, 1)).toBeGreaterThan(middle(bones.tibia, 1));
  });

  it('[PH7] with noise wander about those without, in normal direction and stated spread', () => {
    const noise = { sdMm: 0.3, correlationMm: 12, random: randomStream(4, 'test') };
    const noisy = phantomBones(typicalKnee, { noise });
    let [sum, squares, count] = [0, 0, 0];
    for (const name of names) {
      expect(meshQuality(noisy[name]).closed).toBe(true);
      for (let v = 0; v < vertexCount(bones[name]); v += 7) {
        const [p, q] = [vertex(bones[name], v), vertex(noisy[name], v)];
        const d = Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
        sum += d;
        squares += d * d;
        count += 1;
      }
    }
    expect(Math.sqrt(squares / count)).toBeGreaterThan(0.2);
    expect(Math.sqrt(squares / count)).toBeLessThan(0.4);
    // The mean of the absolute value of a normal is 0.80 of its sd.
    expect(sum / count / Math.sqrt(squares / count)).toBeGreaterThan(0.7);
  });
});

describe('the bones of knees from seeds', () => {
  it('[PH3] are closed, in one piece and face outward', () => {
    for (const seed of [101, 102, 103, 104, 105, 106]) {
      const bones = phantomBones(kneeFromSeed(seed), { cellMm: 1.6 });
      for (const name of names) {
        const quality = meshQuality(bones[name]);
        expect(quality.closed, `${name} of seed ${seed}`).toBe(true);
        expect(quality.pieces.length, `${name} of seed ${seed}`).toBe(1);
        expect(quality.volumeMm3).toBeGreaterThan(0);
      }
    }
  });

  it('[PH5] share no point, and femur and tibia keep the wanted gap along P', () => {
    for (const seed of [1, 2, 3, 4]) {
      const knee = right(kneeFromSeed(seed));
      const bones = phantomBones(knee, { cellMm: 2 });
      const { femur, tibia, fibula, patella, placement } = kneeBodies(knee);
      const outside = <F extends DrawnFrame>(
        field: Field,
        scanFromBone: Transform<'right-scan', F>,
        other: Mesh<'scan'>,
      ): number => {
        const mesh = moved(invert(scanFromBone), { ...other, frame: 'right-scan' as const });
        let least = Number.POSITIVE_INFINITY;
        for (let v = 0; v < vertexCount(mesh); v += 1) least = Math.min(least, field(...vertex(mesh, v)));
        return least;
      };
      const where = `seed ${seed}`;
      expect(outside(femur.field, placement.scanFromFemur, bones.tibia), where).toBeGreaterThan(0.5);
      expect(outside(femur.field, placement.scanFromFemur, bones.patella), where).toBeGreaterThan(0.5);
      expect(outside(tibia.field, placement.scanFromTibia, bones.patella), where).toBeGreaterThan(0.5);
      expect(outside(tibia.field, placement.scanFromTibia, bones.fibula), where).toBeGreaterThan(0.5);
      expect(outside(femur.field, placement.scanFromFemur, bones.fibula), where).toBeGreaterThan(0.5);
      expect(outside(fibula.field, placement.scanFromTibia, bones.tibia), where).toBeGreaterThan(0.5);
      expect(outside(patella.field, placement.scanFromPatella, bones.femur), where).toBeGreaterThan(0.5);

      // Lifting the tibia along the femur's P by less than the gap keeps them apart, by more does not.
      const up = rotated(placement.scanFromFemur.rotation, [0, 0, 1]);
      const lifted = (by: number): number => {
        const positions = bones.tibia.positions.map((value, i) => value + by * up[(i % 3) as 0 | 1 | 2]);
        return outside(femur.field, placement.scanFromFemur, { ...bones.tibia, positions });
      };
      expect(lifted(knee.pose.jointGapMm - 0.3), where).toBeGreaterThan(0);
      expect(lifted(knee.pose.jointGapMm + 0.3), where).toBeLessThan(0);
    }
  });

  it('[PH6] have fields no steeper near them than the search relies on, and boxes with room to spare', () => {
    const { femur, tibia, fibula, patella } = kneeBodies(kneeFromSeed(9));
    for (const { field, box } of [femur, tibia, fibula, patella]) {
      const random = randomStream(1, 'steepness');
      let steepest = 0;
      for (let i = 0; i < 60_000; i += 1) {
        const [x, y, z] = [0, 1, 2].map((k) => box.min[k]! + (box.max[k]! - box.min[k]!) * random.uniform()) as [
          number,
          number,
          number,
        ];
        if (Math.abs(field(x, y, z)) > 4) continue;
        const h = 1e-4;
        const slope = Math.hypot(
          field(x + h, y, z) - field(x - h, y, z),
          field(x, y + h, z) - field(x, y - h, z),
          field(x, y, z + h) - field(x, y, z - h),
        );
        steepest = Math.max(steepest, slope / (2 * h));
      }
      expect(steepest).toBeLessThanOrEqual(STEEPNESS);
      expect(steepest).toBeGreaterThan(0.8);
      // The box has room to spare: positive all over its faces.
      for (let i = 0; i < 3000; i += 1) {
        const face = i % 6;
        const at = [0, 1, 2].map((k) => {
          if (k === face >> 1) return face & 1 ? box.max[k]! : box.min[k]!;
          return box.min[k]! + (box.max[k]! - box.min[k]!) * random.uniform();
        }) as [number, number, number];
        expect(field(...at)).toBeGreaterThan(0);
      }
    }
  });
});
