import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Philosophy, PhilosophyName } from './philosophy.ts';
import { philosophies, philosophy, philosophyNames } from './philosophy.ts';
import { brokenFence, fenceText, resolveAims, type Target } from './resolve-aims.ts';

const value = (target: Target): number => (target.kind === 'value' ? target.deg : Number.NaN);
const aim = (name: PhilosophyName, LDFA: number, MPTA: number, slope = 7) =>
  resolveAims(philosophy(name), { LDFA, MPTA, slope });

/** Source: worked vectors of the trade notes, 2.1, table of mechanical, kinematic and restricted. */
describe('targets of a native knee', () => {
  it.each([
    { ldfa: 88, mpta: 85, kinematic: [88, 85, -3], restricted: [88, 85, -3] },
    { ldfa: 86, mpta: 83, kinematic: [86, 83, -3], restricted: [86, 85, -1] },
    { ldfa: 91, mpta: 85, kinematic: [91, 85, -6], restricted: [91, 88, -3] },
    { ldfa: 83, mpta: 90, kinematic: [83, 90, 7], restricted: [85, 88, 3] },
  ])('LDFA $ldfa, MPTA $mpta deg', ({ ldfa, mpta, kinematic, restricted }) => {
    const all = (name: PhilosophyName): readonly unknown[] => {
      const found = aim(name, ldfa, mpta);
      expect(found.conflict).toEqual([]);
      return [value(found.LDFA), value(found.MPTA), found.limbDeg];
    };
    expect(all('mechanical')).toEqual([90, 90, 0]);
    expect(all('kinematic')).toEqual(kinematic);
    expect(all('restricted-kinematic')).toEqual(restricted);
  });

  /** Source: the same table's column of what changes: tibia +2; tibia +3; femur +2 and tibia -2. */
  it.each([
    { ldfa: 88, mpta: 85, bound: [] },
    { ldfa: 86, mpta: 83, bound: ['MPTA'] },
    { ldfa: 91, mpta: 85, bound: ['limb'] },
    { ldfa: 83, mpta: 90, bound: ['LDFA', 'limb'] },
  ])('LDFA $ldfa, MPTA $mpta deg: the fences that bind are $bound, each with its citation', ({ ldfa, mpta, bound }) => {
    const found = aim('restricted-kinematic', ldfa, mpta);
    expect(found.bound.map((b) => b.fence.on)).toEqual(bound);
    for (const b of found.bound) expect(b.fence.citation).toContain('Front Surg 2021');
  });

  /** Source: restricted rule of the trade notes, 2.1, written out as it stands there. */
  it('the restricted rule, femur first, on every knee of the range', () => {
    const clamp = (v: number, low: number, high: number): number => Math.min(high, Math.max(low, v));
    const degrees = fc.double({ min: 78, max: 100, noNaN: true });
    fc.assert(
      fc.property(degrees, degrees, (ldfa, mpta) => {
        const l = clamp(ldfa, 85, 95);
        let m = clamp(mpta, 85, 95);
        if (m - l < -3) m = l - 3;
        if (m - l > 3) m = l + 3;
        const found = aim('restricted-kinematic', ldfa, mpta);
        expect(value(found.LDFA)).toBeCloseTo(l, 9);
        expect(value(found.MPTA)).toBeCloseTo(m, 9);
        expect(found.conflict).toEqual([]);
        expect(Math.abs(found.limbDeg!)).toBeLessThan(3 + 1e-9);
      }),
    );
  });

  /** Source: table of philosophies of the trade notes, 2.1. */
  it('anatomic aims at 87 and 87 deg with no turn, mechanical turns 3 deg external', () => {
    const anatomic = aim('anatomic', 92, 84);
    expect([value(anatomic.LDFA), value(anatomic.MPTA), value(anatomic.rotation)]).toEqual([87, 87, 0]);
    expect(value(aim('mechanical', 92, 84).rotation)).toBe(3);
    expect(value(aim('kinematic', 92, 84).rotation)).toBe(0);
  });

  /** Source: the same table: tibia 90, LDFA held so that the limb stays within 3. By hand: 90 - 86 = 4 valgus, so 87. */
  it.each([
    { ldfa: 86, held: 87, limb: 3 },
    { ldfa: 88, held: 88, limb: 2 },
    { ldfa: 94, held: 93, limb: -3 },
  ])('adjusted mechanical holds a native LDFA of $ldfa at $held deg, the tibia at 90', ({ ldfa, held, limb }) => {
    const found = aim('adjusted-mechanical', ldfa, 84);
    expect([value(found.LDFA), value(found.MPTA), found.limbDeg]).toEqual([held, 90, limb]);
  });

  it('native slope is kept up to 10 deg and held there beyond', () => {
    expect(value(aim('restricted-kinematic', 88, 87, 9.5).slope)).toBe(9.5);
    const steep = aim('restricted-kinematic', 88, 87, 13);
    expect(value(steep.slope)).toBe(10);
    expect(steep.bound.map((b) => [b.fence.on, b.from, b.to])).toEqual([['slope', 13, 10]]);
    expect(value(aim('kinematic', 88, 87, 13).slope)).toBe(13);
  });
});

/** Source: table of philosophies of the trade notes, 2.1, on one knee of LDFA 88, MPTA 87, slope 7; 'gaps' wait for them. */
describe('every philosophy on one knee', () => {
  it.each([
    { name: 'mechanical', LDFA: 90, MPTA: 90, rotation: 3 },
    { name: 'adjusted-mechanical', LDFA: 88, MPTA: 90, rotation: 3 },
    { name: 'anatomic', LDFA: 87, MPTA: 87, rotation: 0 },
    { name: 'kinematic', LDFA: 88, MPTA: 87, rotation: 0 },
    { name: 'restricted-kinematic', LDFA: 88, MPTA: 87, rotation: 0 },
    { name: 'inverse-kinematic', LDFA: 'gaps', MPTA: 87, rotation: 'gaps' },
    { name: 'functional', LDFA: 'gaps', MPTA: 87, rotation: 'gaps' },
    { name: 'gap-balanced', LDFA: 90, MPTA: 90, rotation: 'gaps' },
  ] as const)('$name: LDFA $LDFA, MPTA $MPTA, turn $rotation external', ({ name, LDFA, MPTA, rotation }) => {
    const found = aim(name, 88, 87);
    const said = (target: Target): number | 'gaps' => (target.kind === 'value' ? target.deg : 'gaps');
    expect([said(found.LDFA), said(found.MPTA), said(found.rotation)]).toEqual([LDFA, MPTA, rotation]);
  });

  it('are all there are', () => {
    expect(philosophies.map((p) => p.name)).toEqual([...philosophyNames]);
    expect(philosophyNames).toHaveLength(8);
  });
});

describe('targets that wait for gaps', () => {
  /** By hand from the limb's fence of 6 varus to 3 valgus: LDFA = MPTA - limb, so 87 - 3 to 87 + 6. */
  it.each([
    { name: 'inverse-kinematic', mpta: 87, low: 84, high: 93 },
    { name: 'functional', mpta: 87, low: 84, high: 93 },
    // The tibia's own fence comes first: 84 to 92, and 84 to 93.
    { name: 'inverse-kinematic', mpta: 82, low: 81, high: 90 },
    { name: 'inverse-kinematic', mpta: 94, low: 89, high: 98 },
    { name: 'functional', mpta: 94, low: 90, high: 99 },
  ] as const)('$name, MPTA $mpta deg: LDFA waits, between $low and $high', ({ name, mpta, low, high }) => {
    const found = aim(name, 90, mpta);
    expect(found.LDFA).toEqual({ kind: 'needsGaps', low, high });
    expect(found.rotation.kind).toBe('needsGaps');
    expect(found.limbDeg).toBeUndefined();
  });

  /** By hand: a tibia that waits is bounded by the femur, MPTA = LDFA + limb: 88 - 6 to 88 + 3, and by its own 84. */
  it('a tibia that waits is bounded by the femur and its own fence', () => {
    const own: Philosophy = {
      ...philosophy('functional'),
      LDFA: { kind: 'native' },
      MPTA: { kind: 'gaps' },
    };
    expect(resolveAims(own, { LDFA: 88, MPTA: 80, slope: 5 }).MPTA).toEqual({ kind: 'needsGaps', low: 84, high: 91 });
    expect(resolveAims(own, { LDFA: 94, MPTA: 80, slope: 5 }).MPTA).toEqual({ kind: 'needsGaps', low: 88, high: 93 });
  });

  it('gap balanced knows both bones and waits for the turn only', () => {
    const found = aim('gap-balanced', 86, 84);
    expect([value(found.LDFA), value(found.MPTA), found.rotation.kind]).toEqual([90, 90, 'needsGaps']);
  });
});

describe('fences', () => {
  const own: Philosophy = {
    ...philosophy('restricted-kinematic'),
    fences: [
      { on: 'LDFA', low: 85, high: 95, citation: 'a' },
      { on: 'MPTA', low: 88, high: 90, citation: 'b' },
      { on: 'limb', low: -3, high: 3, citation: 'c' },
    ],
  };

  /** By hand: LDFA 95 with a limb of 3 varus needs MPTA 92, beyond 90. */
  it('that cannot be kept together are both named, with their citations', () => {
    const found = resolveAims(own, { LDFA: 95, MPTA: 88, slope: 5 });
    expect(found.conflict).toHaveLength(1);
    expect(found.conflict[0]).toContain('MPTA 92.0');
    expect(found.conflict[0]).toContain('limb 3 varus to 3 valgus (c)');
    expect(found.conflict[0]).toContain('MPTA 88 to 90 (b)');
    expect(value(found.MPTA)).toBe(90);
  });

  it('that need each other to the digit are kept: LDFA 93 with 3 varus is MPTA 90', () => {
    const found = resolveAims(own, { LDFA: 93, MPTA: 88, slope: 5 });
    expect(found.conflict).toEqual([]);
    expect(value(found.MPTA)).toBe(90);
  });

  it('are kept at their edges and broken a millionth of a degree beyond', () => {
    expect(brokenFence(own, 'LDFA', 85)).toBeUndefined();
    expect(brokenFence(own, 'LDFA', 95)).toBeUndefined();
    expect(brokenFence(own, 'LDFA', 95 + 1e-6)?.citation).toBe('a');
    expect(brokenFence(own, 'limb', -3 - 1e-6)?.citation).toBe('c');
    expect(brokenFence(own, 'slope', 40)).toBeUndefined();
  });

  it('of every philosophy carry a citation or say that they have none, and read as words', () => {
    const all = philosophies.flatMap((p) => p.fences);
    expect(all.length).toBeGreaterThan(8);
    for (const fence of all) expect(fence.citation.length).toBeGreaterThan(10);
    expect(fenceText({ on: 'limb', low: -6, high: 3, citation: 'x' })).toBe('limb 6 varus to 3 valgus (x)');
  });

  /** Source: table of philosophies of the trade notes, 2.1: releases none for kinematic, none intended for inverse kinematic. */
  it('of conduct: kinematic work never offers a release', () => {
    expect(philosophies.filter((p) => p.forbids.includes('ligamentRelease')).map((p) => p.name)).toEqual([
      'kinematic',
      'inverse-kinematic',
    ]);
  });
});
