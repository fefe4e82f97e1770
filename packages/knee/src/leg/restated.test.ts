import { meanOf, sdOf } from '@kerfline/uncertainty';
import { describe, expect, it } from 'vitest';
import { withBelief, withSpread } from './restated.ts';
import { typedLeg } from './stated-leg.fixture.ts';

const leg = typedLeg('right', 'LDFA=88deg', 'MPTA=87deg', 'JLCA=3deg');

describe('a stated belief', () => {
  it('takes the place of the mean and covariance of its names, and is independent of the rest', () => {
    const made = withBelief(leg, ['wearDistalMedial', 'wearDistalLateral'], [2, 1], [0.25, 0.1, 0.1, 0.16]);
    if (!made.ok) throw new Error(made.error.message);
    const { belief } = made.value;
    expect(meanOf(belief, 'wearDistalMedial')).toBe(2);
    expect(sdOf(belief, 'wearDistalMedial')).toBe(0.5);
    expect(sdOf(belief, 'wearDistalLateral')).toBe(0.4);
    const n = belief.mean.length;
    const at = (name: string): number => belief.slots.find((s) => s.name === name)!.at;
    expect(belief.covariance[at('wearDistalMedial') * n + at('wearDistalLateral')]).toBe(0.1);
    for (let c = 0; c < n; c += 1) {
      if (c === at('wearDistalMedial') || c === at('wearDistalLateral')) continue;
      expect(belief.covariance[at('wearDistalMedial') * n + c]).toBe(0);
      expect(belief.covariance[c * n + at('wearDistalMedial')]).toBe(0);
    }
    expect(made.value.sources.wearDistalMedial!.from).toBe('stated');
    expect(meanOf(leg.belief, 'wearDistalMedial')).toBe(0);
  });

  it.each([
    { names: ['wearDistalMedal'], mean: [1], covariance: [1], kind: 'unknown-name' },
    { names: ['hipCentre'], mean: [1], covariance: [1], kind: 'unknown-name' },
    { names: ['wearDistalMedial'], mean: [1, 2], covariance: [1], kind: 'belief-shape' },
    { names: ['wearDistalMedial', 'wearDistalLateral'], mean: [1, 2], covariance: [1, 0, 0], kind: 'belief-shape' },
  ])('of $names with $mean and $covariance is refused as $kind', ({ names, mean, covariance, kind }) => {
    expect(withBelief(leg, names, mean, covariance)).toMatchObject({ ok: false, error: { kind } });
  });

  it.each([
    { why: 'a negative variance', covariance: [-1, 0, 0, 1] },
    { why: 'one side of the diagonal unlike the other', covariance: [1, 0.5, -0.5, 1] },
    { why: 'more correlation than 1', covariance: [1, 2, 2, 1] },
    { why: 'not a number', covariance: [Number.NaN, 0, 0, 1] },
  ])('with $why is no covariance and is refused', ({ covariance }) => {
    expect(withBelief(leg, ['wearDistalMedial', 'wearDistalLateral'], [1, 2], covariance).ok).toBe(false);
  });
});

describe('a stated spread', () => {
  it('leaves the mean, and 0 is known exactly', () => {
    const made = withSpread(leg, 'ankleOffset', 0);
    if (!made.ok) throw new Error(made.error.message);
    expect(meanOf(made.value.belief, 'ankleOffset')).toBe(meanOf(leg.belief, 'ankleOffset'));
    expect(sdOf(made.value.belief, 'ankleOffset')).toBe(0);
  });

  it('of a name that is no single number is refused with those that are', () => {
    const refused = withSpread(leg, 'hipCentre', 1);
    expect(refused).toMatchObject({ ok: false, error: { kind: 'unknown-name' } });
    if (!refused.ok) expect(refused.error.message).toContain('ankleOffset');
  });
});
