import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { guideOf, kitFrom } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { boneByHand, thigh } from './bone-by-hand.fixture.ts';
import { neutralSettings } from './choices.ts';
import type { LegView } from './leg-view.ts';
import { outputsOf, resectionFromIntact, rodAtHip } from './outputs.ts';
import { nothingMade } from './placement.ts';
import { planLeg } from './plan.ts';
import { walk } from './walker.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const core = guideOf(demo, 'canal-core');
const rodEntries = (
  JSON.parse(
    readFileSync(
      new URL('../../../../fixtures/published/derived-worked-examples/values.json', import.meta.url),
      'utf8',
    ),
  ) as { rod_entry_offset: { table: readonly { offset: number; L: number; angle: number }[] } }
).rod_entry_offset.table;
const deg = (value: number): number => (value * 180) / Math.PI;
const rad = (value: number): number => (value * Math.PI) / 180;

interface Set {
  readonly sigma: number;
  readonly rho?: number;
  readonly dial?: number;
  readonly extra?: number;
  readonly shimsMm?: Readonly<Record<string, number>>;
}

const placed = (leg: LegView, { sigma, rho = 0, dial = 9, extra = 0, shimsMm = {} }: Set) =>
  walk(
    core,
    leg,
    {
      ...neutralSettings(core, demo.components, 'right'),
      collar: { value: sigma },
      headTurn: { value: rho },
      dial: { value: dial },
      extra: { value: extra },
      foot: { value: 0, shimsMm },
    },
    demo.components,
    nothingMade,
  );

const cut = (leg: LegView, set: Set): { readonly phi: number; readonly f: number } => {
  const out = outputsOf(placed(leg, set), leg);
  return { phi: deg(out.femurValgus!), f: deg(out.femurFlexion!) };
};

/** Source: worked vectors of the trade notes, 2.5. */
describe('the canal core, forward', () => {
  it.each([
    { alpha: 6, beta: 0, sigma: 6, rho: 0, phi: 0.0, f: 0.0 },
    { alpha: 6, beta: 0, sigma: 5, rho: 0, phi: -1.0, f: 0.0 },
    { alpha: 6, beta: 3, sigma: 6, rho: 0, phi: 0.008, f: 2.967 },
    { alpha: 6, beta: 3, sigma: 6, rho: 10, phi: -0.076, f: 4.005 },
    { alpha: 6, beta: 0, sigma: 6, rho: 15, phi: -0.201, f: 1.542 },
    { alpha: 5.4, beta: 4.4, sigma: 7, rho: 0, phi: 1.62, f: 4.35 },
  ])('canal $alpha lateral, $beta forward, collar $sigma, head $rho out: $phi valgus, $f flexed deg', (v) => {
    const found = cut(thigh(v), v);
    expect(Math.abs(found.phi - v.phi)).toBeLessThan(0.00051);
    expect(Math.abs(found.f - v.f)).toBeLessThan(0.00051);
  });

  /** Source: trade notes, 3.5: the wrong face up turns 6 valgus into 6 varus, phi = -6 - alpha. */
  it('a collar of 6 with the wrong face up on a canal of 6 deg cuts 12 varus', () => {
    expect(cut(thigh({ alpha: 6 }), { sigma: -6 }).phi).toBeCloseTo(-12, 9);
  });

  it('without turn or forward lean the cut is collar less canal, to 1e-9 deg', () => {
    const angle = fc.double({ min: -2, max: 12, noNaN: true });
    fc.assert(
      fc.property(angle, angle, (alpha, sigma) => {
        expect(Math.abs(cut(thigh({ alpha }), { sigma }).phi - (sigma - alpha))).toBeLessThan(1e-9);
      }),
    );
  });
});

/** Source: plane geometry of fixtures/published/derived-worked-examples: angle = atan(offset / length); three decimals printed. */
describe('a rod that enters beside its canal and is centred further up', () => {
  it.each(rodEntries)('$offset mm off over $L mm is $angle deg', ({ offset, L, angle }) => {
    const rod = (low: number): LegView =>
      boneByHand('femur', {
        sites: {
          femoralCanalLow: [low, 0, 0],
          femoralCanalHigh: [0, 0, L],
          distalMedial: [-24, 0, -8],
          distalLateral: [24, 0, -8],
        },
      });
    // Entry medial of the canal leans the rod to lateral going up: the cut turns to varus, and the other way round.
    expect(Math.abs(cut(rod(-offset), { sigma: 0 }).phi + angle)).toBeLessThan(6e-4);
    expect(Math.abs(cut(rod(offset), { sigma: 0 }).phi - angle)).toBeLessThan(6e-4);
  });
});

/** Source: trade notes, 3.5 and exercise 5: canal 5.4, wanted LDFA 88. */
describe('the collar for a canal of 5.4 and a wanted LDFA of 88 deg', () => {
  const leg = typedLeg('right', 'LDFA=88deg', 'MPTA=87deg', 'shaftMechanical=5.4deg');
  const line = planLeg(leg, { ...demo, guides: [core] }, philosophy('restricted-kinematic')).settings.find(
    (s) => s.link === 'collar',
  )!;

  it('would be 7.4, is called as 7, and leaves 1.6 valgus (LDFA 88.4): 0.4 less than wanted', () => {
    expect(line.exact).toBeCloseTo(7.4, 6);
    expect(line.call).toBe(7);
    expect(line.residual.femurValgus).toMatchObject({
      value: expect.closeTo(-0.4, 2),
      unit: 'deg',
      positive: 'valgus',
    });
    expect(cut(thigh({ alpha: 5.4 }), { sigma: 7 }).phi).toBeCloseTo(1.6, 9);
  });

  it('one more would give 2.6 valgus', () => {
    expect(cut(thigh({ alpha: 5.4 }), { sigma: 8 }).phi).toBeCloseTo(2.6, 9);
  });

  it('says its rounding and the face that is up', () => {
    expect(line.rounded).toBe('nearest');
    expect(line.text).toBe('Collar 7, face RIGHT up');
    expect(line.leftOver).toBe('wanted 7.4 deg; 0.4 deg left over');
  });
});

describe('the depth of a distal femoral cut', () => {
  /** Source: trade notes, 3.5: t_j = dial - n . (X_j - X_contact); n and the contact by hand for a cut without flexion. */
  it('is the dial at the condyle touched, and less by the step along the cut normal at the other', () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(
        number(3, 9),
        number(4, 9),
        number(-5, 5),
        number(42, 54),
        fc.integer({ min: 6, max: 14 }),
        (alpha, sigma, step, w, dial) => {
          const leg = thigh({ alpha, lateralUp: step, w });
          const plane = placed(leg, { sigma, dial }).cuts[0]!;
          const phi = rad(sigma - alpha);
          // n = (-sin phi, 0, cos phi): heights of the condyles along it.
          const height = (side: 1 | -1): number =>
            (-Math.sin(phi) * side * w) / 2 + Math.cos(phi) * (-8 + (side * step) / 2);
          const touched = Math.min(height(1), height(-1));
          expect(resectionFromIntact(plane, leg, 'distalMedial')).toBeCloseTo(dial - (height(-1) - touched), 9);
          expect(resectionFromIntact(plane, leg, 'distalLateral')).toBeCloseTo(dial - (height(1) - touched), 9);
        },
      ),
    );
  });

  it('grows with the pin row toward the hip, 2 mm for 2', () => {
    const leg = thigh();
    const depth = (extra: number) =>
      resectionFromIntact(placed(leg, { sigma: 6, extra }).cuts[0]!, leg, 'distalMedial');
    for (const extra of [-2, 0, 2, 4]) expect(depth(extra)).toBeCloseTo(9 + extra, 12);
  });

  it('rests on the surface as it is: 2 mm of medial wear and a shim of 2 mm there are the same as none of either', () => {
    const worn = (nowOut: number) =>
      boneByHand('femur', {
        sites: Object.fromEntries(
          [
            'hipCentre',
            'femoralKneeCentre',
            'femoralCanalLow',
            'femoralCanalHigh',
            'distalMedial',
            'distalLateral',
          ].map((name) => [name, thigh({ lateralUp: 3 }).site(name)]),
        ),
        layers: { distalMedial: { intactOut: 0, nowOut } },
      });
    const depth = (leg: LegView, shimsMm: Record<string, number>) =>
      resectionFromIntact(placed(leg, { sigma: 6, shimsMm }).cuts[0]!, leg, 'distalMedial');
    // By hand: the medial condyle stands 3 mm further down, so it is touched with 2 mm of wear too.
    expect(depth(worn(0), {})).toBeCloseTo(9, 12);
    expect(depth(worn(-2), {})).toBeCloseTo(11, 12);
    expect(depth(worn(-2), { distalMedial: 2 })).toBeCloseTo(9, 12);
    // 4 mm of wear hand the touch to the lateral side, 3 mm up: 9 there, 12 from intact here.
    expect(depth(worn(-4), {})).toBeCloseTo(12, 12);
  });
});

/** Source: rod at the hip, trade notes 4.1: L k phi, medial of the head for a cut in valgus; by hand 430 tan 1 = 7.506. */
it('a rod square to a cut of 1 valgus passes 7.5 mm medial of the head centre, 430 mm up', () => {
  const leg = thigh({ alpha: 6 });
  expect(rodAtHip(placed(leg, { sigma: 7 }).cuts[0]!, leg)).toBeCloseTo(7.506, 3);
});
