import { describe, expect, it } from 'vitest';
import { afterOperation } from './after-operation.ts';
import { mirroredReading, readingOf } from './film.fixture.ts';

const turned = (deg: number): number => (deg * Math.PI) / 180;

/** A film drawn in mm: lateral to the left of the picture, as of a right leg that faces you; knee at the origin. */
const drawn = (points: Readonly<Record<string, readonly [lateral: number, up: number]>>) =>
  readingOf('after-front', 'right', points);

const line = (at: number, half: number, tiltDeg: number) =>
  [
    [-half * Math.cos(turned(tiltDeg)), at - half * Math.sin(turned(tiltDeg))],
    [half * Math.cos(turned(tiltDeg)), at + half * Math.sin(turned(tiltDeg))],
  ] as const;

describe('components on a film after the operation', () => {
  const femur = line(-9, 30, 2);
  const tray = line(-20, 35, -1);
  const film = drawn({
    hipCentre: [0, 420],
    femoralKneeCentre: [0, 0],
    componentDistalMedial: femur[0],
    componentDistalLateral: femur[1],
    tibialKneeCentre: [0, -12],
    trayMedial: tray[0],
    trayLateral: tray[1],
    plafondCentre: [-360 * Math.tan(turned(3)), -372],
  });

  it('are told against the axes that were drawn: femur 2 deg lateral end up is LDFA 88', () => {
    const told = afterOperation('right', [film]);
    expect(told.ok && told.value.componentLDFA?.value).toBeCloseTo(88, 6);
  });

  it('tell a shin whose ankle lies 3 deg medial as HKA 177, and its tray to that axis', () => {
    const told = afterOperation('right', [film]);
    if (!told.ok) throw new Error('refused');
    expect(told.value.achievedHKA?.value).toBeCloseTo(177, 6);
    // The axis leans 3 deg lateral going up and the tray's lateral end is 1 deg down: 90 + 1 - 3 deg by hand.
    expect(told.value.componentMPTA?.value).toBeCloseTo(88, 6);
    expect(told.value.componentMPTA?.sd).toBeGreaterThan(0.2);
  });

  it('are the same on the mirrored film of a left leg', () => {
    const right = afterOperation('right', [film]);
    const left = afterOperation('left', [mirroredReading(film)]);
    if (!right.ok || !left.ok) throw new Error('refused');
    for (const [name, q] of Object.entries(right.value)) expect(left.value[name]?.value).toBeCloseTo(q.value!, 9);
  });

  /** Ewald, Clin Orthop 1989;248:9 (I5 of the published values, from memory): alpha 96, beta 90 is 6 deg of valgus. */
  it('add medial angles of 96 and 90 to 6 deg of valgus', () => {
    const level = line(-9, 30, 0);
    const flat = line(-20, 35, 0);
    const told = afterOperation('right', [
      drawn({
        componentDistalMedial: level[0],
        componentDistalLateral: level[1],
        femoralCanalLow: [100 * Math.tan(turned(6)), 100],
        femoralCanalHigh: [200 * Math.tan(turned(6)), 200],
        trayMedial: flat[0],
        trayLateral: flat[1],
        tibialCanalHigh: [0, -150],
        tibialCanalLow: [0, -250],
      }),
    ]);
    expect(told.ok && told.value.componentValgus?.value).toBeCloseTo(6, 6);
  });

  it('tell flexion and slope whichever way the picture faces', () => {
    const side = (facing: 1 | -1) =>
      afterOperation('right', [
        readingOf('after-lateral', 'right', {
          componentDistalFront: [facing * 20, -9 - 20 * Math.tan(turned(4))],
          componentDistalRear: [facing * -20, -9 + 20 * Math.tan(turned(4))],
          femoralCanalLow: [0, 100],
          femoralCanalHigh: [0, 200],
          trayFront: [facing * 22, -20 + 22 * Math.tan(turned(5))],
          trayRear: [facing * -22, -20 - 22 * Math.tan(turned(5))],
          tibialCanalHigh: [0, -150],
          tibialCanalLow: [0, -250],
        }),
      ]);
    for (const told of [side(1), side(-1)]) {
      if (!told.ok) throw new Error('refused');
      expect(told.value.componentFlexion?.value).toBeCloseTo(4, 6);
      expect(told.value.componentSlope?.value).toBeCloseTo(5, 6);
    }
  });

  it('are refused on a picture that is turned over without a word, and told once it is said', () => {
    const over = { ...mirroredReading(film), side: 'right' as const };
    const told = afterOperation('right', [over]);
    expect(!told.ok && told.error[0]?.kind).toBe('film-turned-over');
    const said = afterOperation('right', [{ ...over, mirrored: true }]);
    expect(said.ok && said.value.componentLDFA?.value).toBeCloseTo(88, 6);
  });

  it('are refused when a mark lies outside the film', () => {
    const told = afterOperation('right', [{ ...film, marks: [{ name: 'hipCentre', pixel: [-3, 10] }] }]);
    expect(!told.ok && told.error[0]?.kind).toBe('mark-outside');
  });
});
