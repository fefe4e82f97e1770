import { expectOk, type Mesh, rad } from '@kerfline/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { TraySize } from '../kits/kit.ts';
import type { CutPlane } from './cut-plane.ts';
import { buttonPeg, type Clearance, femurPegs, type Hole, holeClearances, trayKeel } from './keel-clearance.ts';
import { ellipse, prism, rectangle, together } from './prism.fixture.ts';

const cut = (name: CutPlane['cut'], normal: CutPlane['normal'], offset: number): CutPlane => ({
  cut: name,
  normal,
  offset,
  kerf: 1.4,
});
const level = cut('tibia', [0, 0, 1], -10);
const clearance = <F extends string>(bone: Mesh<F>, plane: CutPlane, hole: Hole): Clearance =>
  expectOk(holeClearances(bone, plane), 'clearance')(hole);

const tray: TraySize = { size: 74, depthMm: 49, thicknessMm: 4, keelMm: 35, drillMm: 12, wingMm: 18 };
const round: Hole = { mouth: [0, 0], depthMm: 35, diameterMm: 12 };
const turned = (l: number, a: number, turnDeg: number): Hole =>
  trayKeel(tray, { l, a, turn: rad((turnDeg * Math.PI) / 180) });

/** A shaft as round as 720 corners make it, and a block 60 wide and 44 deep; both begin 10 mm above the cut. */
const shaft = prism('tibia', ellipse(30, 30), [-200, 0]);
const block = prism('tibia', rectangle(-30, 30, -22, 22), [-200, 0]);

describe('the bone left round a hole', () => {
  /** Closed form: a hole of 12 mm in a shaft of 60 mm, that far off its middle. The bone above the cut is gone and counts no more. */
  it.each([0, 10, 24, 27])('%d mm off the middle of a round shaft is 30 - 6 - that', (off) => {
    const { clearanceMm } = clearance(shaft, level, { ...round, mouth: [off * 0.6, -off * 0.8] });
    expect(Math.abs(clearanceMm - (24 - off))).toBeLessThan(0.03);
  });

  it('below its tip counts: 5 mm over the end of the bone is 5 mm', () => {
    const short = prism('tibia', ellipse(30, 30), [-50, 0]);
    const found = clearance(short, level, round);
    expect(found.clearanceMm).toBeCloseTo(5, 4);
    expect(found.belowCutMm).toBe(35);
  });

  it('below the middle of its floor counts too', () => {
    // By hand: a hollow of 2 by 2 mm whose roof lies 5 mm under the middle of the floor; from the rim it is sqrt(5^2 + 5^2).
    const hollow = prism('tibia', rectangle(-1, 1, -1, 1), [-60, -50]);
    const found = clearance(together(shaft, hollow), level, round);
    expect(found.clearanceMm).toBeCloseTo(5, 4);
  });

  it('of a shaft that narrows is least at the tip, square to the wall', () => {
    // Closed form: walls lean in by 0.2: at 45 mm down they stand 21 off the middle; 15 from the hole, over sqrt(1 + 0.04).
    const wedge = prism(
      'tibia',
      [
        [-10, -100],
        [10, -100],
        [30, 0],
        [-30, 0],
      ],
      [-60, 60],
      'A',
    );
    const found = clearance(wedge, level, round);
    expect(found.clearanceMm).toBeCloseTo(15 / Math.sqrt(1.04), 2);
    expect(found.belowCutMm).toBe(35);
    expect(Math.abs(found.at[0])).toBeCloseTo(6, 1);
  });

  it('under a sloped cut follows the hole forward', () => {
    // Closed form: square to a cut with 10 deg of slope the tip comes forward by 35 sin 10; its front edge by 6 cos 10 more.
    const t = (10 * Math.PI) / 180;
    const sloped = cut('tibia', [0, -Math.sin(t), Math.cos(t)], -10 * Math.cos(t));
    const bone = prism('tibia', rectangle(-40, 40, -40, 22), [-200, 0]);
    // The hole begins where the cut crosses P = -10: over the origin's foot that is 10 sin 10 cos 10 off, which the mouth undoes.
    const found = clearance(bone, sloped, { ...round, mouth: [0, -10 * Math.sin(t)] });
    expect(found.clearanceMm).toBeCloseTo(22 - 35 * Math.sin(t) - 6 * Math.cos(t), 1);
    expect(found.belowCutMm).toBe(35);
  });
});

describe('the bone left round a keel', () => {
  /** Closed form in the block: wings of 18 along the tray's side-to-side line, widest at the cut. */
  it.each([
    { turn: 0, left: 30 - 18, why: 'the wings point to the side' },
    { turn: 90, left: 22 - 18, why: 'the wings point to front and back' },
    { turn: 45, left: 22 - 18 * Math.SQRT1_2, why: 'the wings point between' },
  ])('turned $turn deg is $left mm: $why', ({ turn, left }) => {
    const found = clearance(block, level, turned(0, 0, turn));
    expect(found.clearanceMm).toBeCloseTo(left, 2);
    expect(found.belowCutMm).toBeLessThan(0.02);
  });

  it('of a tray laid too far forward breaks out, by what the wing stands out', () => {
    const found = clearance(block, level, turned(0, 7, 90));
    expect(found.clearanceMm).toBeCloseTo(-3, 2);
    expect(found.at[1]).toBeCloseTo(25, 2);
  });

  it('is that of its drilled hole where the kit does not say how wide the wings are', () => {
    const { wingMm, ...plain } = tray;
    expect(wingMm).toBe(18);
    const hole = trayKeel(plain, { l: 0, a: 0, turn: rad(0) });
    expect(clearance(block, level, hole).clearanceMm).toBeCloseTo(22 - 6, 2);
  });

  it('external turn brings the lateral wing to the back', () => {
    const found = clearance(block, level, turned(0, -3, 45));
    // Of the two wings the one that lies back is nearer to the wall: the lateral one.
    expect(found.at[0]).toBeCloseTo(18 * Math.SQRT1_2, 2);
    expect(found.at[1]).toBeCloseTo(-3 - 18 * Math.SQRT1_2, 2);
  });

  it('narrows to the drill at the tip: where the bone is narrow below, only the hole counts', () => {
    // Closed form: walls from 30 at P = 0 lean in by 0.4 (10 at -50). The wings run from 18 at the cut to 6 at 35 mm down,
    // by 0.343: less than the wall, so that the tip is nearest: at 45 mm down the wall stands 12 off, 6 from the hole.
    const wedge = prism(
      'tibia',
      [
        [-10, -50],
        [10, -50],
        [30, 0],
        [-30, 0],
      ],
      [-60, 60],
      'A',
    );
    expect(clearance(wedge, level, turned(0, 0, 0)).clearanceMm).toBeCloseTo(5, 2);
    expect(clearance(wedge, level, turned(0, 0, 90)).clearanceMm).toBeCloseTo(5, 2);
  });

  it('seen in a mirror is the same', () => {
    const outline = rectangle(-30, 26, -22, 20);
    const bone = prism('tibia', outline, [-200, 0]);
    const mirrored = prism('tibia', outline.map(([x, y]) => [-x, y] as const).reverse(), [-200, 0]);
    const coordinate = fc.double({ min: -8, max: 8, noNaN: true });
    const [asked, seen] = [bone, mirrored].map((mesh) => expectOk(holeClearances(mesh, level), 'clearance'));
    fc.assert(
      fc.property(coordinate, coordinate, fc.double({ min: -40, max: 40, noNaN: true }), (l, a, turn) => {
        const one = asked!(turned(l, a, turn));
        const other = seen!(turned(-l, a, -turn));
        // Surfaces are kept in 32 bits.
        expect(Math.abs(one.clearanceMm - other.clearanceMm)).toBeLessThan(1e-4);
        expect(Math.abs(one.belowCutMm - other.belowCutMm)).toBeLessThan(1e-9);
      }),
      { numRuns: 20 },
    );
  });
});

describe('the bone left round pegs', () => {
  it('of a femoral component go up from the distal cut, each to its own side', () => {
    // By hand: pegs of 6 mm, 40 apart, in a block from -26 to 31: 26 - 20 - 3 and 31 - 20 - 3; the block is 100 high.
    const femur = prism('femur', rectangle(-26, 31, -30, 30), [-9, 100]);
    const pegs = { depthMm: 14, diameterMm: 6, apartMm: 40 };
    const found = femurPegs(pegs, [0, 2]).map((hole) => clearance(femur, cut('distalFemur', [0, 0, 1], 0), hole));
    expect(found[0]!.clearanceMm).toBeCloseTo(3, 2);
    expect(found[0]!.at[0]).toBeCloseTo(-23, 2);
    expect(found[1]!.clearanceMm).toBeCloseTo(8, 1);
    // A block that ends 16 above the cut leaves 2 over the tips.
    const low = prism('femur', rectangle(-26, 31, -30, 30), [-9, 16]);
    const [medial] = femurPegs(pegs, [0, 2]);
    expect(clearance(low, cut('distalFemur', [0, 0, 1], 0), medial).clearanceMm).toBeCloseTo(2, 4);
  });

  it('of a button go forward into the remnant: 6 mm deep in 13 leaves 7', () => {
    const cap = prism('patella', ellipse(22, 20), [-9, 13], 'A');
    const peg = buttonPeg({ depthMm: 6, diameterMm: 5 }, [-3, 0]);
    expect(clearance(cap, cut('kneecap', [0, 1, 0], 0), peg).clearanceMm).toBeCloseTo(7, 4);
  });

  it('cannot be had where the cut keeps nothing', () => {
    expect(holeClearances(block, cut('tibia', [0, 0, 1], -300))).toMatchObject({
      ok: false,
      error: { kind: 'no-section' },
    });
  });
});
