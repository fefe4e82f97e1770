import { expectOk, type Mesh, reflection, reflectMesh } from '@kerfline/geometry';
import { type LegMeshes, legFromBones, type Side } from '@kerfline/knee';
import { describe, expect, it } from 'vitest';
import { typicalKnee } from '../knee-from-seed.ts';
import { phantomBones } from '../phantom-bones.ts';
import { filmLimb } from './film-limb.ts';
import { chord, type FilmLook, filmBand, filmPicture, filmPlan, usualLook } from './film-picture.ts';
import { filmScene } from './film-scene.ts';
import type { FilmSetup } from './film-setup.ts';
import { strawLimb } from './straw-limb.fixture.ts';

const small: FilmSetup = { view: 'knee-front', pixelMm: 1 };
const straight = { rotate: 0.1, flex: 0.1 };
const strawPlan = (look: Partial<FilmLook>, setup: Partial<FilmSetup> = {}) =>
  filmPlan(expectOk(filmScene(strawLimb('right', 0), straight, { ...small, ...setup }), 'scene'), {
    ...usualLook,
    ...look,
  });

const finished = (plan: ReturnType<typeof filmPlan>): Uint16Array => {
  const painting = filmPicture(plan);
  for (;;) {
    const step = painting.next();
    if (step.done) return step.value;
  }
};

describe('the picture of a film', () => {
  it('is the same to the bit for the same seed, and another for another', () => {
    const picture = finished(strawPlan({ seed: 7 }));
    expect(finished(strawPlan({ seed: 7 }))).toEqual(picture);
    expect(finished(strawPlan({ seed: 8 }))).not.toEqual(picture);
  });

  it('is the same whatever bands it is painted in', () => {
    const plan = strawPlan({ blurMm: 2, letter: 'R' });
    const { columns, rows } = plan.cone;
    const picture = finished(plan);
    for (const [from, to] of [
      [0, 30],
      [17, 90],
      [200, rows],
    ] as const) {
      expect(filmBand(plan, from, to)).toEqual(picture.subarray(from * columns, to * columns));
    }
  });

  it('tells how many rows are done and can be stopped', () => {
    const painting = filmPicture(strawPlan({}));
    expect(painting.next()).toEqual({ done: false, value: 256 });
    expect(painting.return(new Uint16Array(0)).done).toBe(true);
  });

  it('has noise that falls with the root of the exposure', () => {
    // Poisson statistics: four times the photons, half the relative spread.
    const spread = (exposure: number): number => {
      const plan = strawPlan({ exposure }, { pixelMm: 0.3, ballMm: 0 });
      // The upper right corner is bare: the limb is 130 mm wide in the middle of 350.
      const rows = filmBand(plan, 0, 60);
      const bare = Array.from({ length: 60 }, (_, row) => [
        ...rows.subarray((row + 1) * plan.cone.columns - 100, (row + 1) * plan.cone.columns),
      ]).flat();
      const mean = bare.reduce((a, b) => a + b, 0) / bare.length;
      return Math.sqrt(bare.reduce((a, b) => a + (b - mean) ** 2, 0) / bare.length);
    };
    // Rounding to whole values adds 1/12 to the variance; at these exposures that is a few percent.
    expect(spread(0.01) / spread(0.04)).toBeCloseTo(2, 1);
  });

  it('shows a ball whose edge is the outline that the scene tells', () => {
    const scene = expectOk(filmScene(strawLimb('right', 0), straight, { ...small, pixelMm: 0.25 }), 'scene');
    const plan = filmPlan(scene, { ...usualLook, noise: 0, blurMm: 0 });
    const picture = finished(plan);
    const middle = scene.ball!.rim.reduce((a, [c, r]) => [a[0]! + c / 12, a[1]! + r / 12], [0, 0]);
    const bright = (share: number, [c, r]: readonly [number, number]): boolean => {
      const [x, y] = [middle[0]! + share * (c - middle[0]!), middle[1]! + share * (r - middle[1]!)];
      return picture[Math.floor(y) * plan.cone.columns + Math.floor(x)]! > 800;
    };
    for (const at of scene.ball!.rim) {
      expect(bright(0.97, at)).toBe(true);
      expect(bright(1.03, at)).toBe(false);
    }
    // 2 sqrt(r^2 - d^2): a ray 3 mm off the middle of a ball of radius 5 runs through it for 8 mm.
    expect(chord(5, 3)).toBe(8);
    expect(chord(5, 6)).toBe(0);
  });

  it('carries the side letter at the lateral side, and is turned over with it', () => {
    const quiet = { noise: 0, letter: 'R' } as const;
    const [plain, over] = [strawPlan(quiet), strawPlan(quiet, { mirrored: true })];
    const { columns } = plain.cone;
    const [picture, turned] = [finished(plain), finished(over)];
    const white = (from: Uint16Array): number[] =>
      [...from.subarray(0, 60 * columns).entries()].flatMap(([at, value]) => (value === 4095 ? [at % columns] : []));
    expect(white(picture).length).toBeGreaterThan(50);
    expect(Math.max(...white(picture))).toBeLessThan(columns / 4);
    expect(white(finished(strawPlan({ noise: 0 })))).toEqual([]);
    const off = picture.filter((value, at) => {
      const column = at % columns;
      return Math.abs(value - turned[at - column + (columns - 1 - column)]!) > 1;
    });
    expect(off.length).toBe(0);
  });

  it('of mirrored bones declared as the other side is the mirrored picture, with shafts that have walls', () => {
    const bones = phantomBones({ ...typicalKnee, side: 'right' }, { cellMm: 2 });
    const turned = (mesh: Mesh<'scan'>): Mesh<'scan'> => ({
      ...reflectMesh(reflection('other', 'scan', [1, 0, 0]), mesh),
      frame: 'scan',
    });
    const other = Object.fromEntries(
      Object.entries(bones).map(([name, mesh]) => [name, turned(mesh)]),
    ) as unknown as LegMeshes;
    const taken = (meshes: LegMeshes, side: Side) => {
      const limb = expectOk(filmLimb(expectOk(legFromBones(meshes, { side }), 'leg'), meshes), 'limb');
      const scene = expectOk(filmScene(limb, straight, { ...small, pixelMm: 0.5 }), 'scene');
      return { scene, picture: finished(filmPlan(scene, { ...usualLook, noise: 0 })) };
    };
    const { scene, picture: right } = taken(bones, 'right');
    const left = taken(other, 'left').picture;
    const { columns } = scene.cone;
    let off = 0;
    let bone = 0;
    right.forEach((value, at) => {
      const column = at % columns;
      if (Math.abs(value - left[at - column + (columns - 1 - column)]!) > 1) off += 1;
      if (value > 1500) bone += 1;
    });
    expect(bone).toBeGreaterThan(10_000);
    expect(off).toBe(0);

    // A tube is seen brightest where rays run along its wall: the canal is darker than the cortex on both sides of it.
    const [canal, row] = scene.marks.find(({ name }) => name === 'femoralCanalLow')!.pixel.map(Math.floor) as [
      number,
      number,
    ];
    const along = right.subarray(row * columns, (row + 1) * columns);
    const wall = (from: number, to: number): number => Math.max(...along.subarray(from, to));
    expect(wall(canal - 40, canal)).toBeGreaterThan(along[canal]! + 20);
    expect(wall(canal, canal + 40)).toBeGreaterThan(along[canal]! + 20);
  });
});
