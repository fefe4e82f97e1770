import fc from 'fast-check';
import { type Rotation, rotationAbout, type Transform, transform, unit, type Vec3 } from './index.ts';

/** A source of numbers that gives the same ones again for the same seed. */
export interface Numbers {
  /** Even between two limits. */
  between(low: number, high: number): number;
  /** Normal with mean 0 and standard deviation 1. */
  normal(): number;
  /** Even over the unit sphere. */
  direction(): Vec3;
}

/** Mulberry32 (Tommy Ettinger, public domain; from memory): enough for tests, and no package is needed for it. */
export function numbers(seed: number): Numbers {
  let state = seed | 0;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  // Box and Muller 1958.
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  return {
    between: (low, high) => low + (high - low) * uniform(),
    normal,
    direction: () => unit([normal(), normal(), normal()]),
  };
}

export const anySeed: fc.Arbitrary<number> = fc.integer({ min: 0, max: 2 ** 31 - 1 });

/** A turn about any axis by any angle. */
export const anyRotation: fc.Arbitrary<Rotation> = anySeed.map((seed) => {
  const random = numbers(seed);
  return rotationAbout(random.direction(), random.between(-Math.PI, Math.PI));
});

/** Any turn, and a shift of up to 300 mm along each axis. */
export const anyMotion = <To extends string, From extends string>(
  to: To,
  from: From,
): fc.Arbitrary<Transform<To, From>> =>
  fc.tuple(anyRotation, anySeed).map(([rotation, seed]) => {
    const random = numbers(seed);
    const far = (): number => random.between(-300, 300);
    return transform(to, from, rotation, [far(), far(), far()]);
  });
