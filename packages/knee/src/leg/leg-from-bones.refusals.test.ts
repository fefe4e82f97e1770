import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { env } from 'node:process';
import { fileURLToPath } from 'node:url';
import { expectOk, type Mesh, type Vec3 } from '@kerfline/geometry';
import { describe, expect, it, test } from 'vitest';
import { keptBeyond, movedLeg, surfaceFromPly } from './bones/research-bones.fixture.ts';
import { type LegMeshes, legFromBones } from './leg-from-bones.ts';
import { measurement } from './measurement.ts';

const folder = env.KERFLINE_BONES ?? fileURLToPath(new URL('../../../../../shared/data/bones', import.meta.url));
const present = existsSync(join(folder, 'VSD_z013_L', 'reference.json'));

const mesh = (set: string, bone: string): Mesh<'scan'> =>
  surfaceFromPly(readFileSync(join(folder, set, `${bone}.ply`)));
const leg = (set: string): LegMeshes => ({
  femur: mesh(set, 'femur'),
  tibia: mesh(set, 'tibia'),
  fibula: mesh(set, 'fibula'),
  patella: mesh(set, 'patella'),
});
const point = (set: string, bone: 'femur' | 'tibia', name: string): Vec3 =>
  JSON.parse(readFileSync(join(folder, set, 'reference.json'), 'utf8'))[bone].points[name];
const directionTo = (from: Vec3, to: Vec3): Vec3 => {
  const d = [to[0] - from[0], to[1] - from[1], to[2] - from[2]] as const;
  const size = Math.hypot(...d);
  return [d[0] / size, d[1] / size, d[2] / size];
};
const between = (a: Vec3, b: Vec3, share: number): Vec3 => [
  a[0] + share * (b[0] - a[0]),
  a[1] + share * (b[1] - a[1]),
  a[2] + share * (b[2] - a[2]),
];

test.skipIf(present)(
  'SKIPPED, the research data is not here: set KERFLINE_BONES to a folder with */reference.json',
  ({ skip }) => skip(),
);

/** Source: hazards 1 and 3 of the trade notes; design 3: an unmirrored bone declared as the other side is refused. */
describe.skipIf(!present)('bones that are not of the declared leg', () => {
  it.each(['ICL_MRI_R', 'LHDL_CT_R', 'VAKHUM_CT_R', 'VSD_z013_L', 'VSD_z013_R'])(
    '%s declared as the other side is refused, naming both sides',
    (set) => {
      const [own, declared] = set.endsWith('_L') ? (['left', 'right'] as const) : (['right', 'left'] as const);
      const refused = legFromBones(leg(set), { side: declared });
      expect(refused).toMatchObject({ ok: false, error: [{ kind: 'wrong-side' }] });
      if (refused.ok) return;
      expect(refused.error[0]!.message).toContain(`declared ${declared}`);
      expect(refused.error[0]!.message).toContain(`of a ${own} leg`);
    },
  );

  it('the other side is refused too when only femur and tibia are given', () => {
    const { femur, tibia } = leg('VSD_z013_L');
    expect(legFromBones({ femur, tibia }, { side: 'right' })).toMatchObject({
      ok: false,
      error: [{ kind: 'wrong-side' }],
    });
  });

  it('a left femur with a right tibia is refused, naming which is which', () => {
    for (const side of ['left', 'right'] as const) {
      const refused = legFromBones(
        { femur: mesh('VSD_z013_L', 'femur'), tibia: mesh('VSD_z013_R', 'tibia') },
        { side },
      );
      expect(refused).toMatchObject({ ok: false, error: [{ kind: 'opposite-sides' }] });
      if (!refused.ok)
        expect(refused.error[0]!.message).toContain('femur is of a left leg and the tibia of a right leg');
    }
  });

  it('femur and tibia given for each other are both refused by name', () => {
    const { femur, tibia } = leg('VSD_z013_R');
    const refused = legFromBones({ femur: tibia, tibia: femur }, { side: 'right' });
    expect(refused).toMatchObject({ ok: false, error: [{ kind: 'not-a-femur' }, { kind: 'not-a-tibia' }] });
    if (refused.ok) return;
    expect(refused.error[0]!.message).toContain('looks like a tibia');
    expect(refused.error[1]!.message).toContain('looks like a femur');
  });

  it('a patella or a fibula given as femur is refused', () => {
    const { tibia, patella, fibula } = leg('VSD_z013_R');
    for (const femur of [patella!, fibula!]) {
      const refused = legFromBones({ femur, tibia }, { side: 'right' });
      expect(refused.ok).toBe(false);
      if (!refused.ok) expect(refused.error[0]!.message).toContain('femur');
    }
  });

  it('a tetrahedron given as femur is refused, not a failure', () => {
    const femur: Mesh<'scan'> = {
      frame: 'scan',
      positions: Float32Array.from([0, 0, 0, 400, 0, 0, 0, 60, 0, 0, 0, 60]),
      triangles: Uint32Array.from([0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3]),
    };
    expect(legFromBones({ femur, tibia: mesh('VSD_z013_R', 'tibia') }, { side: 'right' }).ok).toBe(false);
  });
});

describe.skipIf(!present)('a bone that is not whole', () => {
  it.each([
    ...[0.25, 0.5, 0.8].flatMap((share) => ['ICL_MRI_R', 'LHDL_CT_R', 'VSD_z013_L'].map((set) => ({ set, share }))),
  ])(
    '$set: a femur cut off flat at $share of the way to its head is refused, naming the head and no other bone',
    ({ set, share }) => {
      const [knee, hip] = [point(set, 'femur', 'knee_centre'), point(set, 'femur', 'head_centre')];
      const whole = leg(set);
      const femur = keptBeyond(whole.femur, between(knee, hip, share), directionTo(hip, knee));
      const refused = legFromBones({ ...whole, femur }, { side: set.endsWith('_L') ? 'left' : 'right' });
      expect(refused.ok).toBe(false);
      if (refused.ok) return;
      const said = refused.error.map((r) => r.message).join(' ');
      expect(said).toContain('head');
      expect(said).not.toContain('tibia');
    },
  );

  it.each([0.5, 0.75, 0.9])(
    'a tibia cut off flat at %d of the way to the ankle is refused, naming the ankle or its length',
    (share) => {
      const set = 'LHDL_CT_R';
      const [knee, ankle] = [point(set, 'tibia', 'knee_centre'), point(set, 'tibia', 'ankle_centre')];
      const whole = leg(set);
      const tibia = keptBeyond(whole.tibia, between(knee, ankle, share), directionTo(ankle, knee));
      const refused = legFromBones({ ...whole, tibia }, { side: 'right' });
      expect(refused.ok).toBe(false);
      if (!refused.ok) expect(refused.error.map((r) => r.message).join(' ')).toMatch(/ankle|mm long/);
    },
  );

  it('a bone in metres or in tenths of a millimetre is refused by its length', () => {
    const whole = leg('VSD_z013_R');
    const sized = (m: Mesh<'scan'>, factor: number): Mesh<'scan'> => ({
      ...m,
      positions: m.positions.map((v) => v * factor),
    });
    for (const factor of [0.001, 10]) {
      const refused = legFromBones(
        { femur: sized(whole.femur, factor), tibia: sized(whole.tibia, factor) },
        { side: 'right' },
      );
      expect(refused.ok, `times ${factor}`).toBe(false);
    }
  });
});

describe.skipIf(!present)('a small bone of another leg', () => {
  const away = [900, 0, 0] as const;
  const still = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ] as const;

  it('a fibula of another leg is left out with a doubt, and the ankle centre is taken from the joint surface', () => {
    const own = leg('VSD_z013_L');
    for (const fibula of [mesh('LHDL_CT_R', 'fibula'), movedLeg(own, { rotation: still, by: away }).fibula]) {
      const found = expectOk(legFromBones({ ...own, fibula }, { side: 'left' }), 'leg');
      expect(found.leg.findings.filter((f) => f.severity === 'doubt').map((f) => f.code)).toContain('fibula-elsewhere');
      const { landmarks, quantities } = measurement(found);
      expect(landmarks.malleolusLateral).toMatchObject({ xyzMm: null, unknown: 'no fibula was given' });
      // Population offset of 2 mm and its spread of 1.5 (published values D4: 2.1 +/- 1.1, widened).
      expect(quantities.ankleOffset!.value).toBeCloseTo(2, 6);
      expect(quantities.ankleOffset!.sd!).toBeGreaterThan(1.4);
      // MPTA moves by the few millimetres between the two ways of finding the ankle, no more.
      expect(Math.abs(quantities.MPTA!.value! - 89.65)).toBeLessThan(1.5);
    }
  });

  it('a patella of another leg is left out with a doubt, and its size is unknown with the reason', () => {
    const own = leg('VSD_z013_L');
    for (const patella of [mesh('VSD_z013_R', 'patella'), movedLeg(own, { rotation: still, by: away }).patella]) {
      const found = expectOk(legFromBones({ ...own, patella }, { side: 'left' }), 'leg');
      expect(found.leg.findings.filter((f) => f.severity === 'doubt').map((f) => f.code)).toContain(
        'patella-elsewhere',
      );
      const { landmarks, quantities } = measurement(found);
      expect(landmarks.patellaAnterior?.xyzMm).toBeNull();
      expect(quantities.patellaThickness).toMatchObject({ value: null });
      expect(quantities.patellaThickness!.unknown).toContain('does not lie in front of this femur');
    }
  });

  it('without any of them everything of the knee is still measured', () => {
    const { femur, tibia } = leg('VSD_z013_R');
    const found = expectOk(legFromBones({ femur, tibia }, { side: 'right' }), 'leg');
    const q = measurement(found).quantities;
    for (const name of ['LDFA', 'MPTA', 'HKA', 'JLCA', 'slope', 'shaftMechanical', 'tibiaWidth']) {
      expect(q[name]!.value, name).not.toBeNull();
    }
    expect(found.leg.findings.map((f) => f.code)).toContain('no-fibula');
  });
});

describe.skipIf(!present)('femur and tibia from two scans', () => {
  it('are measured each for itself: limb angle and opening unknown with the reason, one doubt, no error', () => {
    const found = expectOk(legFromBones(leg('VAKHUM_CT_R'), { side: 'right' }), 'leg');
    const q = measurement(found).quantities;
    expect(q.HKA).toMatchObject({ value: null, sd: null, unknown: 'femur and tibia come from two scans' });
    expect(q.JLCA).toMatchObject({ value: null, sd: null, unknown: 'femur and tibia come from two scans' });
    expect(q.clinicalHKA!.value).toBeNull();
    expect(found.leg.findings.filter((f) => f.code === 'two-scans')).toHaveLength(1);
    expect(found.leg.findings.filter((f) => f.severity === 'error')).toEqual([]);
  });
});

describe.skipIf(!present)('the length of the rod', () => {
  it('moves the stretch of canal that is measured, and nothing else', () => {
    const meshes = leg('ICL_MRI_R');
    const q = (rodLengthMm?: number) =>
      measurement(expectOk(legFromBones(meshes, { side: 'right', rodLengthMm }), 'leg')).quantities;
    const [usual, long] = [q(), q(340)];
    // Reference: 3.11 deg between 20 and 50 % of this femur, 4.83 between 20 and 75 %; it is bowed.
    expect(usual.shaftMechanical!.value).toBeCloseTo(3.11, 0);
    expect(long.shaftMechanical!.value!).toBeGreaterThan(usual.shaftMechanical!.value! + 0.5);
    expect(long.LDFA!.value).toBeCloseTo(usual.LDFA!.value!, 9);
  });
});
