import { deg, expectOk, toRadians, type Vec3 } from '@kerfline/geometry';
import { type LegFromBones, legFromBones, marksOfView, type Pixel } from '@kerfline/knee';
import { meanVectorOf } from '@kerfline/uncertainty';
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { typicalKnee } from '../knee-from-seed.ts';
import { phantomBones } from '../phantom-bones.ts';
import { bentLimb, flexionOf } from './bent-limb.ts';
import { type FilmLimb, filmLimb } from './film-limb.ts';
import { type FilmScene, filmScene } from './film-scene.ts';
import type { FilmSetup } from './film-setup.ts';
import { strawLimb } from './straw-limb.fixture.ts';

const inRad = (degrees: number): number => toRadians(deg(degrees));
const sceneOf = (limb: FilmLimb, setup: FilmSetup, rotate = 0, flex = 0): FilmScene =>
  expectOk(filmScene(limb, { rotate: inRad(rotate), flex: inRad(flex) }, setup), 'scene');
const markAt = (scene: FilmScene, name: string): Pixel => {
  const mark = scene.marks.find((m) => m.name === name);
  if (!mark) throw new Error(`no mark ${name}`);
  return mark.pixel;
};

describe('a film of a limb of known points', () => {
  const limb = strawLimb('right', 0);
  const front: FilmSetup = { view: 'knee-front', sourceDistanceMm: 1000, boneDistanceMm: 100, pixelMm: 0.5 };

  it('shows a point where similar triangles put it', () => {
    // Plane geometry. Rear contacts lie 30 mm behind the knee centre: 70 mm before the detector, 930 from the source.
    const scene = sceneOf(limb, front);
    const [column, row] = markAt(
      { ...scene, marks: [{ name: 'p', pixel: scene.project([25, -30, 5], 'femur')!.pixel }] },
      'p',
    );
    expect(column).toBeCloseTo(350 - (25 * (1000 / 930)) / 0.5, 9);
    expect(row).toBeCloseTo(430 - (5 * (1000 / 930)) / 0.5, 9);
    // In the plane of the bone everything is larger by source distance over source-to-bone distance.
    expect(markAt(scene, 'distalLateral')[0]).toBeCloseTo(350 - (25 * (1000 / 900)) / 0.5, 9);
    expect(markAt(scene, 'femoralKneeCentre')).toEqual([350, 430]);
  });

  it('shows the lateral side of a right limb at the left of a front view, and of a left limb at the right', () => {
    expect(markAt(sceneOf(limb, front), 'distalLateral')[0]).toBeLessThan(350);
    expect(markAt(sceneOf(strawLimb('left', 0), front), 'distalLateral')[0]).toBeGreaterThan(350);
  });

  it('shows the front of either limb at the left of a side view', () => {
    for (const side of ['left', 'right'] as const) {
      const scene = sceneOf(strawLimb(side, 0), { ...front, view: 'knee-lateral' });
      expect(markAt(scene, 'posteriorLateral')[0]).toBeGreaterThan(markAt(scene, 'distalLateral')[0]);
    }
  });

  it('puts both rear contacts at one depth when it is not turned, and the lateral one nearer to the film when turned in', () => {
    const scene = sceneOf(limb, front);
    const at = (s: FilmScene, l: number): number => s.project([l, -30, 5], 'femur')!.magnification;
    expect(at(scene, 25)).toBeCloseTo(at(scene, -25), 12);
    // Turned in, the lateral side of a limb comes forward: nearer to the source, larger.
    expect(at(sceneOf(limb, front, -15), 25)).toBeGreaterThan(at(sceneOf(limb, front, -15), -25));
  });

  it('turns over the marks of a picture that is turned over', () => {
    const plain = sceneOf(strawLimb('right', 0.1), front, 7, 12);
    const over = sceneOf(strawLimb('right', 0.1), { ...front, mirrored: true }, 7, 12);
    over.marks.forEach((mark, i) => {
      expect(mark.pixel[0]).toBeCloseTo(700 - plain.marks[i]!.pixel[0], 9);
      expect(mark.pixel[1]).toBeCloseTo(plain.marks[i]!.pixel[1], 9);
    });
  });

  it('enlarges a ball by source distance over what remains before it', () => {
    // Geometry: on the central ray's height the outline is magnified by SID / (SID - distance to the detector), to a share of
    // (radius / distance)^2 / 2 for the part of the sphere that rays touch.
    const scene = sceneOf(limb, { ...front, ballMm: 25, ballDepthMm: 40 });
    const rows = scene.ball!.rim.map(([, r]) => r * 0.5);
    expect(Math.max(...rows) - Math.min(...rows)).toBeCloseTo((25 * 1000) / (1000 - 140), 2);
    expect(scene.ball!.depthMm).toBe(40);
  });

  it('says which setting cannot be had, and what is needed', () => {
    const refused = filmScene(limb, { rotate: 0, flex: 0 }, { ...front, pixelMm: 0, exposures: 2 });
    expect(refused.ok).toBe(false);
    if (!refused.ok) expect(refused.error.map(({ kind }) => kind)).toEqual(['film-setup', 'film-setup']);
    // 1 m of film at 0.02 mm: 17,500 x 50,000 pixels.
    const huge = filmScene(limb, { rotate: 0, flex: 0 }, { ...front, pixelMm: 0.02, heightMm: 1000 });
    expect(!huge.ok && huge.error[0]!.message).toMatch(/17500 x 50000 pixels/);
    // In a side view the medial contacts lie 25 mm before the knee centre, which stands 100 mm from the source.
    const close = { view: 'knee-lateral', sourceDistanceMm: 500, boneDistanceMm: 400 } as const;
    const near = filmScene(limb, { rotate: 0, flex: 0 }, close);
    expect(!near.ok && near.error[0]!.message).toMatch(/75 mm from the source; at least 100 mm/);
    const none = filmScene(limb, { rotate: 0, flex: 0 }, { view: 'skyline' });
    expect(!none.ok && none.error[0]!.kind).toBe('no-kneecap');
  });
});

describe('what a film makes of an angle', () => {
  // Published values D80: tan(apparent) = tan v cos t + tan f sin t, with the source far away.
  const far: FilmSetup = { view: 'long-leg', sourceDistanceMm: 1e8, boneDistanceMm: 400 };
  const apparent = (varus: number, flex: number, rotate: number): number => {
    // The knee bends about a line straight side to side, which makes tan of the front-view angle larger by 1 / cos f.
    const limb = strawLimb('right', Math.atan(Math.tan(inRad(varus)) * Math.cos(inRad(flex))));
    const scene = sceneOf(limb, far, rotate, flex);
    const [knee, ankle] = [markAt(scene, 'tibialKneeCentre'), markAt(scene, 'plafondCentre')];
    return (Math.atan2(ankle[0] - knee[0], ankle[1] - knee[1]) * 180) / Math.PI;
  };

  it.each([
    [0, 10, 20, 3.451],
    [0, 0, 20, 0],
    [10, 0, 20, 9.408],
    [10, 10, 20, 12.735],
  ])('shows varus %d, bend %d, turn %d as %d degrees', (varus, flex, rotate, expected) => {
    // Right limb: medial is at the right of the picture, so varus shows as an ankle to the right.
    expect(apparent(varus, flex, rotate)).toBeCloseTo(expected, 3);
  });

  it('follows the law for every angle', () => {
    const angle = (most: number) => fc.double({ min: -most, max: most, noNaN: true });
    fc.assert(
      fc.property(angle(15), fc.double({ min: -5, max: 40, noNaN: true }), angle(40), (v, f, t) => {
        const law = Math.tan(inRad(v)) * Math.cos(inRad(t)) + Math.tan(inRad(f)) * Math.sin(inRad(t));
        expect(Math.tan(inRad(apparent(v, f, t)))).toBeCloseTo(law, 4);
      }),
    );
  });
});

describe('a long film of several exposures', () => {
  it('is continuous in the plane of the bone and one picture high', () => {
    const setup: FilmSetup = { view: 'long-leg', exposures: 3 };
    const limb = strawLimb('right', 0);
    const one = sceneOf(limb, { ...setup, exposures: 1 });
    const three = sceneOf(limb, setup);
    for (let p = 450; p > -400; p -= 7) {
      // In the plane of the bone (A = 0) a joined film is the same as one exposure.
      const at: Vec3 = [10, 0, p];
      const [single, joined] = [one.project(at, 'femur')!.pixel, three.project(at, 'femur')!.pixel];
      expect(joined[0]).toBeCloseTo(single[0], 9);
      expect(joined[1]).toBeCloseTo(single[1], 9);
    }
  });
});

describe('the bend of a knee', () => {
  it('meets the wanted angle of the axes and keeps all lengths of the tibia', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -0.3, max: 2, noNaN: true }),
        fc.double({ min: -0.2, max: 0.2, noNaN: true }),
        (flex, varus) => {
          const limb = strawLimb('right', varus);
          const bent = bentLimb(limb, flex);
          const [knee, ankle] = [bent.at(limb.sites.tibialKneeCentre!), bent.at(limb.sites.plafondCentre!)];
          const up: Vec3 = [knee[0] - ankle[0], knee[1] - ankle[1], knee[2] - ankle[2]];
          expect(flexionOf(up)).toBeCloseTo(flex, 9);
          expect(Math.hypot(...up)).toBeCloseTo(350, 9);
        },
      ),
    );
  });

  it('keeps the opening of the joint', () => {
    // A plateau line 3 deg off a bend line straight side to side: seen from the front its tangent shrinks by cos f (geometry).
    const open = strawLimb('right', 0, {
      plateauMedial: { on: 'tibia', at: [-25, 0, -25 + 25 * Math.tan(inRad(3))] },
      plateauLateral: { on: 'tibia', at: [25, 0, -25 - 25 * Math.tan(inRad(3))] },
    });
    for (const flex of [0, 10, 20]) {
      const { inPose } = sceneOf(open, { view: 'knee-front' }, 0, flex);
      expect(Math.tan(inPose.jointConvergence!)).toBeCloseTo(Math.tan(inRad(3)) * Math.cos(inRad(flex)), 12);
    }
  });
});

describe('films of the bones of a typical knee', () => {
  let right: FilmLimb;
  let left: FilmLimb;
  let measured: LegFromBones;
  beforeAll(() => {
    const limb = (side: 'left' | 'right'): FilmLimb => {
      const bones = phantomBones({ ...typicalKnee, side }, { cellMm: 1.6 });
      measured = expectOk(legFromBones(bones, { side }), 'leg');
      return expectOk(filmLimb(measured, bones), 'limb');
    };
    left = limb('left');
    right = limb('right');
  });

  it('have every mark of the bones in a long film', () => {
    const scene = sceneOf(right, { view: 'long-leg' });
    expect(scene.beyond).toEqual([]);
    expect(scene.marks.map(({ name }) => name)).toEqual(marksOfView('long-leg').map(({ name }) => name));
  });

  it('take less than 2 ms each once the leg is measured', () => {
    // The best of ten runs, so that a machine with other work does not speak.
    const runs = Array.from({ length: 10 }, () => {
      const begun = performance.now();
      for (let i = 0; i < 50; i += 1) sceneOf(right, { view: 'long-leg' }, i / 5, i / 5);
      return (performance.now() - begun) / 50;
    });
    expect(Math.min(...runs)).toBeLessThan(2);
  });

  it.each(['long-leg', 'knee-front', 'skyline'] as const)(
    'of the mirrored bones declared as the other side are mirrored: %s',
    (view) => {
      const pose = view === 'skyline' ? ([8, 40] as const) : ([8, 11] as const);
      const [a, b] = [sceneOf(right, { view }, ...pose), sceneOf(left, { view }, ...pose)];
      expect(a.marks.length).toBeGreaterThan(3);
      a.marks.forEach((mark, i) => {
        expect(b.marks[i]!.name).toBe(mark.name);
        // Surfaces are stored in single precision, so sites agree to a few micrometres, not to the last digit.
        expect(b.marks[i]!.pixel[0]).toBeCloseTo(a.cone.columns - mark.pixel[0], 1);
        expect(b.marks[i]!.pixel[1]).toBeCloseTo(mark.pixel[1], 1);
      });
    },
  );

  it('have the rear contacts at one depth when the limb is not turned', () => {
    const scene = sceneOf(right, { view: 'knee-front' });
    const depth = (site: string): number =>
      scene.project(meanVectorOf(measured.leg.belief, site), 'femur')!.magnification;
    // By definition: 0 has the posterior condyle line parallel to the detector.
    expect(depth('posteriorMedial')).toBeCloseTo(depth('posteriorLateral'), 9);
  });

  it('tell HKA and JLCA of the pose that was scanned when they are posed as they were', () => {
    // The same two definitions, reached through the belief of the leg and through the posed sites.
    const scanned = flexionOf(right.tibiaUp);
    const { truthQuantities } = sceneOf(right, { view: 'long-leg' }, 0, (scanned * 180) / Math.PI);
    for (const name of ['HKA', 'clinicalHKA', 'JLCA']) {
      expect(truthQuantities[name]!.value).toBeCloseTo(right.quantities[name]!.value!, 4);
    }
  });

  it('show the kneecap in front of the groove in a skyline film', () => {
    const scene = sceneOf(right, { view: 'skyline' }, 0, 40);
    const groove = scene.project(meanVectorOf(measured.leg.belief, 'trochlearGroove'), 'femur')!.pixel;
    expect(markAt(scene, 'patellaRear')[1]).toBeLessThan(groove[1]);
    expect(markAt(scene, 'patellaFront')[1]).toBeLessThan(markAt(scene, 'patellaRear')[1]);
    expect(markAt(scene, 'patellaEdgeLateral')[0]).toBeLessThan(markAt(scene, 'patellaEdgeMedial')[0]);
  });
});
